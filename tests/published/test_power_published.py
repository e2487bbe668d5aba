"""Power of a heater against published figures. Source and mark stand beside each check."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.rules.catalogue import heaters
from service.rules.tables import table
from service.survey.equipment import Heater
from service.survey.model import RoomUse, Site
from service.trades.circuits import (
    breaker_disconnects,
    continuous_limit_a,
    current_a,
    drop_v,
    load_of,
    longest_mm,
    new_breaker_a,
    ohm_per_m,
    shared_limit_a,
    wire_for,
)
from service.trades.electrical_code import OutletPlace, default_code, edition_of, ground_fault, ground_fault_outdoors

FOOT_MM = 304.8
SITE = Site("us-2021", "natural_gas", 38.0e6, 0.6, 0.0, 0, -5.0, -150)


def drawing(watts: float) -> Heater:
    """A heater that draws so much in all."""
    return replace(heaters()["nc-direct-120"], electrical_w=watts, freeze_element_w=0.0)


@pytest.mark.parametrize(
    ("wire", "amperes", "feet", "lost", "share"),
    [
        ("14", 4, 100, 2.456, 0.02047),  # NEC Ch. 9 Table 8 (read), 2 I R L (computed)
        ("12", 12, 60, 2.779, 0.02316),
        ("14", 0.5, 100, 0.307, 0.00256),
        ("14", 12, 60, 4.421, 0.0368),  # over 3 %
    ],
)
def test_voltage_drop_of_solid_copper(wire: str, amperes: float, feet: float, lost: float, share: float) -> None:
    """Volts and share of 120 V on the way there and back."""
    found = drop_v(amperes, wire, feet * FOOT_MM)
    assert found == pytest.approx(lost, abs=0.0006)  # half of the last figure printed
    assert found / 120 == pytest.approx(share, abs=0.00006)


@pytest.mark.parametrize(
    ("wire", "amperes", "feet"), [("14", 12, 48.86), ("12", 16, 58.29), ("12", 12, 77.72), ("14", 4, 146.58)]
)
def test_longest_run_for_three_per_cent(wire: str, amperes: float, feet: float) -> None:
    """3.6 V over 2 R I (NEC 210.19(A) informational note, read; arithmetic computed)."""
    assert longest_mm(amperes, wire, 120) / FOOT_MM == pytest.approx(feet, abs=0.006)


def test_drop_by_circular_mils() -> None:
    """The trade's K form, 2 x 12.9 x I x L / circular mils (common practice): near Table 8's figures."""
    for row in (r for r in table("power_wire").rows if r.cells["solid"] is not None):
        by_mils = 2 * 12.9 * 4 * 100 / row.integer("circular_mils")
        assert drop_v(4, row.text("size"), 100 * FOOT_MM) == pytest.approx(by_mils, rel=0.03)


def test_thicker_wire_resists_less_and_mils_go_with_it() -> None:
    """Resistance times area is one material's: Table 8's own two columns agree within 2 % (read)."""
    products = [ohm_per_m(r.text("size")) * r.integer("circular_mils") for r in table("power_wire").rows]
    assert max(products) / min(products) < 1.03


def test_continuous_load_and_shared_circuit() -> None:
    """12 A of a 15 A breaker (NEC 210.20(A), memory); 7.5 A fastened in place where it feeds others (210.23(A)(2),
    text of 2017, read), not on larger circuits and not known for Canada; 300 VA at 120 V are 2.5 A (computed)."""
    assert continuous_limit_a(15) == 12
    assert shared_limit_a(15, "us") == 7.5 and shared_limit_a(20, "us") == 10
    assert shared_limit_a(30, "us") == shared_limit_a(15, "ca") == float("inf")
    assert current_a(300, 120) == 2.5


def test_breaker_and_wire_of_a_new_circuit() -> None:
    """14 AWG to 15 A, 12 to 20, 10 to 30 (NEC 240.4(D), memory); 1,440 W are the most of 15 A."""
    assert [wire_for(a) for a in (15, 20, 30, 40)] == ["14", "12", "10", None]
    assert [new_breaker_a(load_of(drawing(w))) for w in (1440, 1441, 1921, 2881)] == [15, 20, 30, None]


def test_breaker_may_disconnect_a_small_heater() -> None:
    """NEC 422.31, text of 2017 (read): 240 VA yes, 400 VA no; 300 VA is the limit."""
    assert breaker_disconnects(load_of(drawing(240))) and breaker_disconnects(load_of(drawing(300)))
    assert not breaker_disconnects(load_of(drawing(400)))


def test_an_element_that_is_not_told_draws_the_most() -> None:
    """Elements draw 100 to 300 W (common practice)."""
    load = load_of(heaters()["nc-direct-120"])
    assert (load.running_w, load.most_w, load.element_known) == (90, 390, False)


@pytest.mark.parametrize(
    ("use", "finished", "below", "code", "asked"),
    [
        (RoomUse.BASEMENT, True, True, "nec-2020", True),  # 2020 took in finished basements (read)
        (RoomUse.BASEMENT, True, True, "nec-2017", False),  # not for that reason (read)
        (RoomUse.BASEMENT, False, True, "nec-2017", True),  # unfinished ones before (read)
        (RoomUse.UTILITY, False, True, "nec-2017", True),  # any room below the ground may be one
        (RoomUse.GARAGE, False, False, "nec-2014", True),  # in the list (read)
        (RoomUse.BATHROOM, True, False, "nec-2014", True),
        (RoomUse.LAUNDRY, False, False, "nec-2017", True),
        (RoomUse.UTILITY, False, False, "nec-2023", False),  # not in the list
        (RoomUse.KITCHEN, True, False, "nec-2020", None),  # those at the counter only
        (RoomUse.KITCHEN, True, False, "nec-2023", True),  # all (memory)
        (RoomUse.UNKNOWN, False, False, "nec-2014", True),
        (RoomUse.BATHROOM, True, False, "cec", None),  # that code is not in the tables
    ],
)
def test_ground_fault_protection_by_room_and_edition(
    use: RoomUse, finished: bool, below: bool, code: str, asked: bool | None
) -> None:
    """NEC 210.8(A) by its editions."""
    edition = edition_of(replace(SITE, electrical_code=code))
    assert ground_fault(edition, OutletPlace(use, finished, below, near_water=False)).asked is asked


def test_an_outlet_near_water_needs_protection() -> None:
    """Sinks within 6 ft (NEC 210.8(A)(7), the list is read)."""
    edition = edition_of(replace(SITE, electrical_code="nec-2017"))
    assert ground_fault(edition, OutletPlace(RoomUse.UTILITY, False, False, near_water=True)).asked is True


@pytest.mark.parametrize(
    ("code", "wired", "asked"),
    [
        ("nec-2014", False, True), ("nec-2014", True, False), ("nec-2017", True, False), ("nec-2020", True, True),
        ("nec-2023", True, True), ("nec-2020", False, True), ("cec", True, None), ("cec", False, None),
    ],
)  # fmt: skip
def test_ground_fault_protection_outdoors(code: str, wired: bool, asked: bool | None) -> None:
    """Receptacles outdoors, 210.8(A)(3) (read); from 2020 on what is wired in there too, 210.8(F) (memory)."""
    assert ground_fault_outdoors(edition_of(replace(SITE, electrical_code=code)), wired).asked is asked


def test_each_rule_set_has_its_electrical_code() -> None:
    """A residential code reprints the NEC of the year before (memory)."""
    assert [default_code(r) for r in ("us-2015", "us-2018", "us-2021", "ca-b149")] == [
        "nec-2014", "nec-2017", "nec-2020", "cec",
    ]  # fmt: skip
    assert edition_of(SITE).id == "nec-2020" and not edition_of(SITE).is_surveyed
