"""What the search and the checks may count on in the shipped heaters and price books."""

from __future__ import annotations

import pytest

from service.rules import catalogue
from service.rules.tables import RULES, load
from service.survey.equipment import Category, Draft, Heater, Per, PortService
from service.trades import vent, vent_systems

HEATERS = [h for h in catalogue.heaters().values() if h.indoors]
OUTDOORS = [h for h in catalogue.heaters().values() if not h.indoors]
heater_cases = pytest.mark.parametrize("heater", HEATERS, ids=[h.id for h in HEATERS])


def test_natural_gas_offers_each_type_in_three_input_classes() -> None:
    """Category III and IV, direct and room air, at 120, 160 and 199 thousand Btu/h."""
    offered = {(h.category, h.draft, round(h.input_max_w / 293.07107)) for h in HEATERS if "natural_gas" in h.fuels}
    assert offered == {(c, d, k) for c in Category for d in Draft for k in (120, 160, 199)}


def test_propane_is_offered_too() -> None:
    """Propane heaters are entries of their own, because their inlet range is another."""
    assert {h.draft for h in HEATERS if h.fuels == ("propane",)} == set(Draft)


@heater_cases
def test_entry_is_whole_and_plausible(heater: Heater) -> None:
    """Sizes, ranges and efficiencies of real wall-hung heaters (common practice)."""
    assert 350 <= heater.width_mm <= 470 and 570 <= heater.height_mm <= 700 and 200 <= heater.depth_mm <= 280
    assert heater.input_min_w < heater.input_max_w and heater.gas_inlet_min_pa < heater.gas_inlet_max_pa
    assert heater.condensing == (heater.category is Category.IV)
    assert (0.90 <= heater.efficiency <= 0.98) if heater.condensing else (0.80 <= heater.efficiency <= 0.84)
    assert 6000 <= heater.vent.max_equivalent_mm <= 18000
    assert heater.price_cents > 0


@heater_cases
def test_vent_port_is_at_the_middle_of_the_top(heater: Heater) -> None:
    """The search turns about the vent port's line and relies on symmetry."""
    port = next(p for p in heater.ports if p.service is PortService.VENT)
    assert port.on_top and 2 * port.dx_mm == heater.width_mm == 2 * heater.vent_dx_mm


@heater_cases
def test_ports_lie_within_the_case_and_suit_the_type(heater: Heater) -> None:
    """Only condensing heaters have a drain; all have gas, cold, hot and power below."""
    services = [p.service for p in heater.ports]
    expected = set(PortService) - (set() if heater.condensing else {PortService.DRAIN})
    assert len(services) == len(expected) and set(services) == expected
    assert all(0 < p.dx_mm < heater.width_mm for p in heater.ports)
    assert [p.service for p in heater.ports if p.on_top] == [PortService.VENT]


@heater_cases
def test_vent_falls_the_way_of_its_category(heater: Heater) -> None:
    """III to the terminal, IV to the heater, at least 1/4 in per ft."""
    assert heater.vent.falls_to_heater == vent.falls_to_heater(heater.category)
    assert not vent_systems.is_flat(heater.vent)


@pytest.mark.parametrize("heater", OUTDOORS, ids=[h.id for h in OUTDOORS])
def test_a_heater_for_outdoors_only_has_its_listing_and_no_vent(heater: Heater) -> None:
    """At least one that does not condense; the outlet on the case, its protection told."""
    assert heater.outdoor_listed and heater.outdoor is not None and not heater.condensing
    assert PortService.VENT not in {p.service for p in heater.ports}
    flue = heater.outdoor.flue
    assert flue.radius_mm <= flue.dx_mm <= heater.width_mm - flue.radius_mm and flue.up_mm <= heater.height_mm
    assert heater.outdoor.min_temperature_c is not None and heater.outdoor.min_temperature_c < 0


def test_some_heater_is_listed_for_outdoors() -> None:
    """Else nothing of the catalogue could hang there."""
    assert OUTDOORS


@heater_cases
def test_pressure_loss_is_a_parabola(heater: Heater) -> None:
    """Loss grows with the square of flow (common practice), so the three points give one coefficient."""
    coefficients = [loss / flow**2 for flow, loss in heater.pressure_loss]
    assert coefficients == pytest.approx([coefficients[0]] * 3, rel=1e-9)


def test_port_heights_take_at_most_three_values() -> None:
    """The search's grid grows with each distinct height of the vent's first turn above the case's bottom."""
    assert len({v.height_mm + v.vent_rise_mm for h in HEATERS for v in h.vented}) <= 3


def test_a_further_vent_is_larger_runs_farther_and_costs_more() -> None:
    """As invented: what a larger diameter is for (common practice)."""
    book, several = catalogue.price_book("demo"), [h for h in HEATERS if h.vents]
    assert several
    for heater in several:
        standard, *others = heater.listings
        for vent_of in (v for v in others if v.intake is None):
            assert vent_of.pipe_radius_mm > standard.pipe_radius_mm
            assert vent_of.max_equivalent_mm > standard.max_equivalent_mm
            assert vent_of.terminal_radius_mm > vent_of.pipe_radius_mm
            assert vent_of.falls_to_heater == standard.falls_to_heater and not vent_systems.is_flat(vent_of)
            for part in ("pipe", "elbow", "terminal"):
                assert book[f"vent.{vent_of.system}.{part}"].cents > book[f"vent.{standard.system}.{part}"].cents


def test_further_vents_belong_to_heaters_of_the_catalogue() -> None:
    """No row of the second table is lost."""
    rows = load(RULES / "catalogue" / "other_vents.csv").rows
    assert sum(len(h.listings) - 1 for h in HEATERS) == len(rows)


@pytest.mark.parametrize("book_id", catalogue.price_book_ids())
def test_books_price_everything(book_id: str) -> None:
    """Each book holds every key that the catalogue can need, of the right kind, in whole positive cents."""
    book = catalogue.price_book(book_id)
    needed = catalogue.required_prices(HEATERS)
    assert set(book.items) == set(needed) | set(catalogue.optional_prices())
    for key, by_length in needed.items():
        assert book[key].cents > 0 and (book[key].per is not Per.EACH) == by_length


def test_required_prices_follow_the_vent_systems_offered() -> None:
    """A survey with heaters of its own needs prices for their vent systems only."""
    keys = catalogue.required_prices([h for h in HEATERS if h.vent.system == "ss4"])
    assert {k for k in keys if k.startswith("vent.") and k.count(".") == 2} == {
        "vent.ss4.pipe",
        "vent.ss4.elbow",
        "vent.ss4.terminal",
    }
    assert keys["vent.ss4.pipe"] and not keys["vent.outer_wall"] and keys["access.vent.finished"]


def test_books_are_by_the_foot_and_by_the_metre() -> None:
    """One book of each kind."""
    lengths = {b: {p.per for p in catalogue.price_book(b).items.values()} for b in catalogue.price_book_ids()}
    assert lengths == {"demo": {Per.EACH, Per.FOOT}, "demo-si": {Per.EACH, Per.METRE}}


def test_unknown_book_is_a_key_error() -> None:
    """Also one that tries to leave the folder."""
    for book_id in ("none", "../catalogue/heaters"):
        with pytest.raises(KeyError):
            catalogue.price_book(book_id)


INVENTED = [
    "catalogue/heaters.csv", "catalogue/other_vents.csv", "catalogue/outdoor.csv", "price_books/demo.csv",
    "price_books/demo-si.csv",
]  # fmt: skip


@pytest.mark.parametrize("path", INVENTED)
def test_demo_data_says_that_it_is_invented(path: str) -> None:
    """No reader may take it for a product or an offer."""
    assert load(RULES / path).known_from == "invented"
