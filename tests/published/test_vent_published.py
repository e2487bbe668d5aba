"""Vent systems, slopes, equivalent lengths and condensate against published figures.

Row numbers are those of the project's list of check values; each says whether its figure was read, is known from
memory, or is common practice without a source.
"""

from __future__ import annotations

from dataclasses import replace

import fluids
import pytest
from fluids import fittings

from service.rules.catalogue import heaters
from service.rules.tables import UNITS, table
from service.survey.equipment import Category, Heater, VentMaterial
from service.trades import condensate, vent
from service.trades.vent_systems import (
    category_facts,
    fall_faults,
    is_flat,
    suitability,
    temperature_classes,
)

FT, IN = 304.8, 25.4
DRY, WET = heaters()["nc-room-199"], heaters()["co-room-199"]


def of(heater: Heater, system: str = "own", **told: object) -> Heater:
    """A heater with a vent system of its own, told by the survey."""
    return replace(heater, vent=replace(heater.vent, system=system, **told))  # type: ignore[arg-type]


def answers(heater: Heater, country: str) -> dict[str, bool | None]:
    """What each question is answered with."""
    return {s.rule_id: s.suits for s in suitability(heater, country)}


def test_row_40_equivalent_length() -> None:
    """20 ft straight, three 90s, two 45s at 5 and 2.5 ft: 40 ft (common practice)."""
    total = 20 * FT + 3 * vent.default_elbow_mm() + 2 * vent.default_elbow_mm(45)
    assert total == pytest.approx(40 * FT)


def test_row_41_fall_of_category_iv() -> None:
    """8 ft at 1/4 in per ft: 2.0 in, towards the heater (direction read, amount common practice); the printed
    20.8 mm/m gives the same to half a millimetre."""
    assert vent.fall_mm(round(8 * FT), WET.vent) == pytest.approx(2.0 * IN, abs=0.5)
    assert vent.falls_to_heater(Category.IV) and WET.vent.falls_to_heater


@pytest.mark.parametrize(("inches", "ninety_ft", "forty_five_ft"), [(3, 6.25, 2.5), (4, 8.33, 3.33)])
def test_elbows_by_friction(inches: float, ninety_ft: float, forty_five_ft: float) -> None:
    """k D / f with k 0.75 and 0.3, f 0.03 (handbook, memory): 3 in 6.25 and 2.5 ft, 4 in 8.3 and 3.3 ft."""
    assert vent.friction_elbow_mm(inches * IN) / FT == pytest.approx(ninety_ft, abs=0.01)
    assert vent.friction_elbow_mm(inches * IN, 45) / FT == pytest.approx(forty_five_ft, abs=0.01)


@pytest.mark.parametrize("inches", [3, 4])
def test_loss_factors_lie_among_those_of_a_library(inches: int) -> None:
    """fluids, after Crane 410: a standard elbow of 90 degrees loses less than k 0.75, a mitred one more; k 0.3 is
    within a quarter of a standard and of a mitred elbow of 45 degrees."""
    constants = table("vent")
    bore = inches * IN / 1000
    standard = {a: fittings.bend_rounded(Di=bore, angle=a, bend_diameters=1, method="Crane standard") for a in (90, 45)}
    mitred = {a: fittings.bend_miter(angle=a, Di=bore, method="Crane") for a in (90, 45)}
    assert standard[90] < constants.constant("elbow_k_90") < mitred[90]
    for k in (standard[45], mitred[45]):
        assert constants.constant("elbow_k_45") == pytest.approx(k, rel=0.25)


def test_five_feet_are_not_on_the_safe_side() -> None:
    """By friction an elbow of 3 in counts 25 bores and by the library's own k and friction factor 30: both more than
    the 5 ft of common practice, which is why a listing's own table governs."""
    library = fittings.bend_rounded(Di=3 * IN / 1000, angle=90, bend_diameters=1, method="Crane standard")
    bores = library / fluids.friction.ft_Crane(3 * IN / 1000)
    assert bores == pytest.approx(30, rel=0.01)
    assert vent.friction_elbow_mm(3 * IN) == pytest.approx(25 * 3 * IN, abs=1)
    assert vent.default_elbow_mm() < vent.friction_elbow_mm(3 * IN) < bores * 3 * IN


@pytest.mark.parametrize(
    ("category", "pressure", "water"),
    [("I", "non_positive", "avoided"), ("II", "non_positive", "possible"), ("III", "positive", "avoided"),
     ("IV", "positive", "possible")],
)  # fmt: skip
def test_categories(category: str, pressure: str, water: str) -> None:
    """Definitions of IFGC and NFPA 54 (read)."""
    facts = category_facts(category)
    assert (facts.pressure, facts.condensate, facts.known_from) == (pressure, water, "read")


def test_category_v_is_none() -> None:
    """There are four."""
    with pytest.raises(KeyError):
        category_facts("V")


@pytest.mark.parametrize("country", ["us", "ca"])
@pytest.mark.parametrize("heater", [DRY, WET], ids=["III", "IV"])
def test_type_b_serves_no_tankless_heater(heater: Heater, country: str) -> None:
    """Neither for positive pressure nor for wet gas (training text and a county's code answer, read)."""
    assert answers(of(heater, material=VentMaterial.TYPE_B), country)["vent.material"] is False


@pytest.mark.parametrize("country", ["us", "ca"])
@pytest.mark.parametrize("material", ["polypropylene", "pvc", "cpvc"])
def test_plastic_is_for_category_iv(material: str, country: str) -> None:
    """Category III takes special stainless (UL 1738, scope read); plastic is for IV, where the listing names it."""
    told = {"material": VentMaterial(material), "listed_to": ("UL 1738", "ULC S636")}
    assert answers(of(DRY, **told), country)["vent.material"] is False
    assert answers(of(WET, **told), country)["vent.material"] is True


def test_stainless_must_be_a_special_vent() -> None:
    """UL 1738 in the United States (memory), ULC S636 in Canada (B149.1 8.9.6, read); not told: the listing decides."""
    stainless = {"material": VentMaterial.STAINLESS}
    for country, standard in (("us", "UL 1738"), ("ca", "ULC S636")):
        assert answers(of(DRY, **stainless, listed_to=(standard,)), country)["vent.listed_to"] is True
        assert answers(of(DRY, **stainless, listed_to=()), country)["vent.listed_to"] is False
        assert answers(of(DRY, **stainless), country)["vent.listed_to"] is None


def test_plastic_in_canada_must_be_of_s636() -> None:
    """B149.1 8.9.6 (read); in the United States the heater's own listing decides."""
    plain = of(WET, material=VentMaterial.PVC, listed_to=("none of these",))
    assert answers(plain, "ca")["vent.listed_to"] is False
    assert "vent.listed_to" not in answers(plain, "us")


@pytest.mark.parametrize(
    ("name", "celsius", "fahrenheit"),
    [("I", 245, 470), ("IIA", 65, 149), ("IIB", 90, 194), ("IIC", 110, 230), ("IID", 135, 275)],
)
def test_classes_of_s636(name: str, celsius: float, fahrenheit: float) -> None:
    """Upper limits in both scales as printed (training text, read), which agree to 3 degF."""
    assert temperature_classes()[name] == celsius
    assert celsius * 1.8 + 32 == pytest.approx(fahrenheit, abs=3.1)


@pytest.mark.parametrize(("celsius", "suits"), [(65.0, True), (65.1, False)])
def test_flue_gas_up_to_the_limit_of_its_class(celsius: float, suits: bool) -> None:
    """PVC of class IIA stands 65 degC (read); equality passes."""
    pvc = of(WET, material=VentMaterial.PVC, listed_to=("ULC S636",), temperature_class="IIA",
             flue_temperature_c=celsius)  # fmt: skip
    assert answers(pvc, "ca")["vent.class"] is suits
    assert "vent.class" not in answers(pvc, "us")


@pytest.mark.parametrize("lacking", ["temperature_class", "flue_temperature_c"])
def test_class_not_told_is_no_pass(lacking: str) -> None:
    """Without either figure only the listing can decide, and the missing fact is named."""
    told = {"material": VentMaterial.PVC, "listed_to": ("ULC S636",), "temperature_class": "IIA",
            "flue_temperature_c": 60.0, lacking: None}  # fmt: skip
    (asked,) = (s for s in suitability(of(WET, **told), "ca") if s.rule_id == "vent.class")
    assert asked.suits is None and asked.missing


def test_unknown_system_is_no_pass() -> None:
    """A system of the survey's own of which nothing is told: no question is answered yes."""
    (asked,) = suitability(of(WET), "us")
    assert asked.suits is None and "material" in asked.missing


@pytest.mark.parametrize("country", ["us", "ca"])
def test_catalogue_suits_both_countries(country: str) -> None:
    """Every invented heater is listed with a system that serves its category, and falls as it must."""
    for heater in (h for h in heaters().values() if h.indoors):
        assert set(answers(heater, country).values()) == {True}, heater.id
        assert fall_faults(heater.vent, heater.category) == ()


def test_slope_too_small_and_the_wrong_way() -> None:
    """Less than 1/4 in per ft (common practice), and Category IV towards the terminal (read) are faults."""
    flat = replace(WET.vent, fall=0.0207)
    outward = replace(WET.vent, falls_to_heater=False)
    assert len(fall_faults(flat, Category.IV)) == len(fall_faults(outward, Category.IV)) == 1
    assert fall_faults(replace(DRY.vent, falls_to_heater=True, fall=0.0), Category.III) == ()
    assert is_flat(flat) and not is_flat(WET.vent)


@pytest.mark.parametrize(
    ("material", "upright", "apart_mm"),
    [("polypropylene", False, 1000), ("polypropylene", True, 2000), ("stainless", False, 4 * FT), (None, False, 1000)],
)
def test_support_spacing(material: str | None, upright: bool, apart_mm: float) -> None:
    """Polypropylene 1 m level, 2 m upright (read); metal 4 to 5 ft (common practice), the shorter taken; of what is
    not known the shortest."""
    assert vent.spacing_mm(material, upright) == pytest.approx(apart_mm)


def test_row_64_condensate_of_a_large_heater() -> None:
    """199,000 Btu/h, one hour of full fire: 2.0 gal by 1 gal a therm (read), at most 2.24 (computed)."""
    gal_h = UNITS["gpm"] / 60
    watts = 199_000 * UNITS["Btu/h"]
    assert condensate.flow_m3_s(watts) / gal_h == pytest.approx(2.0, abs=0.011)
    assert condensate.cap_m3_s(watts, "natural_gas") / gal_h == pytest.approx(2.24, abs=0.011)


@pytest.mark.parametrize(
    ("fuel", "gal", "litres"), [("natural_gas", 1.13, 4.27), ("propane", 0.90, 3.42)]
)
def test_most_condensate_of_a_therm(fuel: str, gal: float, litres: float) -> None:
    """CO12, both units (computed from heats of combustion 55.5 and 50.35 MJ/kg)."""
    therm_w = 1e5 * UNITS["Btu/h"]
    m3_h = condensate.cap_m3_s(therm_w, fuel) * 3600
    assert m3_h / (UNITS["gpm"] * 60) == pytest.approx(gal, abs=0.005)
    assert m3_h * 1000 == pytest.approx(litres, abs=0.02)


def test_row_66_slope_of_a_drain() -> None:
    """1/8 in per ft (IFGC 2024 307.2, read) passes, 1/16 fails: 10 ft need 1-1/4 in."""
    run = round(10 * FT)
    assert condensate.slope() == pytest.approx(0.0104, abs=0.0001)
    assert condensate.gravity_ok(32, 0, run)
    assert not condensate.gravity_ok(16, 0, run)


@pytest.mark.parametrize(("size", "wide"), [("1/2", False), ("3/4", True), ("1", True), ("1-1/4", True)])
def test_waste_line_of_three_quarters(size: str, wide: bool) -> None:
    """IMC 307.2.2 (read)."""
    inches = condensate.nominal_in(size)
    assert inches is not None and condensate.is_wide_enough(inches) is wide


@pytest.mark.parametrize("text", ["", "drain", "0", "3/0", "1-x", "-3/4"])
def test_no_size_is_no_size(text: str) -> None:
    """What is not a nominal size is not guessed at."""
    assert condensate.nominal_in(text) is None


def test_acidity() -> None:
    """pH 3 to 5 (training text, read)."""
    assert condensate.acidity() == (3, 5)


def test_every_rule_on_condensate_is_cited() -> None:
    """CO1 to CO12, each with where it stands and how it is known."""
    rules = [condensate.condensate_rule(f"CO{n}") for n in range(1, 13)]
    assert all(r.citation and r.known_from in ("read", "memory", "common_practice") for r in rules)
    assert [r.known_from for r in rules[:4]] == ["read"] * 4
