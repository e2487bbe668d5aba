"""Hardness, softeners and saturation indices against published figures and worked examples, each with its mark."""

from __future__ import annotations

import pytest

from service.survey.model import WaterAnalysis
from service.trades.water_index import (
    Sample,
    index_at,
    log_k2,
    log_ks,
    ryznar_class,
    saturation_ph,
    short_saturation_ph,
)
from service.trades.water_quality import (
    compensated_mg_l,
    descaling,
    hardness_class,
    limits,
    sodium_added_mg_l,
    softener_is_advised,
    softener_size,
    use_m3_s,
)
from service.units import Quantity, to_si

GPG = to_si(Quantity.HARDNESS, 1.0, "gpg")
GRAIN = to_si(Quantity.HARDNESS_MASS, 1.0, "grains")
GAL_DAY = to_si(Quantity.DAILY_USE, 1.0, "gal/day")
EXAMPLE = Sample(7.5, 320, 150, 34)
"""Worked example of the short form (read)."""
HOUSE = Sample(7.6, 350, 180, 160)
"""Worked out from the published equations in a spreadsheet apart (computed)."""


def test_grains_a_gallon() -> None:
    """10 gpg are 171.18 mg/L (computed from the exact grain and gallon; read); 120 mg/L are 7.010 gpg."""
    ten, classed = 10 * GPG, 120 / GPG
    assert ten == pytest.approx(171.18, rel=1e-4)
    assert classed == pytest.approx(7.010, abs=1e-3)


@pytest.mark.parametrize(
    ("mg_l", "name"),
    [
        (0, "soft"), (60, "soft"), (61, "moderately hard"), (120, "moderately hard"), (121, "hard"), (180, "hard"),
        (181, "very hard"),
    ],
)  # fmt: skip
def test_classes(mg_l: float, name: str) -> None:
    """USGS classification (read): 0-60, 61-120, 121-180, over 180 mg/L as CaCO3."""
    assert hardness_class(mg_l) == name


def test_softener_for_four() -> None:
    """4 people, 75 gal, 10 gpg: 3,000 grains a day, 21,000 a week, next size up 24,000 (sizing sheet, read)."""
    size = softener_size(10 * GPG, None, use_m3_s(4))
    assert size.load_g / GRAIN == pytest.approx(3000, rel=1e-9)
    assert size.capacity_g / GRAIN == pytest.approx(21_000, rel=1e-9)
    assert (size.nominal_g or 0) / GRAIN == pytest.approx(24_000, rel=1e-9)
    assert size.reserved_g / GRAIN == pytest.approx(21_000 / 0.8, rel=1e-9)


def test_softener_for_iron() -> None:
    """4 people, 60 gal, 18 gpg, 1.5 mg/L of iron at 2 gpg each: 5,040 grains a day (sizing sheet, read). At 3 gpg
    (common practice) 3 people, 65 gal, 12 gpg, 0.5 mg/L: 2,632.5 (computed)."""
    harder = compensated_mg_l(18 * GPG, 1.5, 2 * GPG)
    assert softener_size(harder, None, 240 * GAL_DAY).load_g / GRAIN == pytest.approx(5040, rel=1e-9)
    assert softener_size(12 * GPG, 0.5, 195 * GAL_DAY).load_g / GRAIN == pytest.approx(2632.5, rel=1e-9)


def test_a_house_too_large_for_any_softener_is_told_so() -> None:
    """A week of 20,000 grains a day is more than the largest that is sold for houses (common practice)."""
    assert softener_size(20 * GPG, None, 1000 * GAL_DAY).nominal_g is None
    assert softener_size(0, None, 1000 * GAL_DAY).load_g == 0


def test_softening_is_advised_above_eight_grains() -> None:
    """Common practice, 8 gpg or 137 mg/L; at the limit it is not."""
    assert not softener_is_advised(8 * GPG)
    assert softener_is_advised(8.01 * GPG)
    assert softener_is_advised(137) and not softener_is_advised(136.9)


def test_sodium() -> None:
    """10 gpg add 78.6 mg/L by 2 Na for a CaCO3 (computed); a page that was read prints 79."""
    assert sodium_added_mg_l(10 * GPG) == pytest.approx(79, rel=0.01)
    assert sodium_added_mg_l(10 * GPG) == pytest.approx(2 * 22.99 / 100.09 * 171.18, rel=1e-4)


@pytest.mark.parametrize(("gpg", "months"), [(0, 12), (7, 12), (7.1, 6), (11, 6), (11.1, 3), (None, 3)])
def test_descaling(gpg: float | None, months: int) -> None:
    """Common practice: yearly below 7 gpg, half-yearly to 11, every 3 to 4 months above; unknown as the hardest."""
    assert descaling(None if gpg is None else gpg * GPG).months == months


@pytest.mark.parametrize(("t_c", "saturated", "index"), [(25, 8.2312, -0.731), (82, 7.2339, 0.266)])
def test_short_form(t_c: float, saturated: float, index: float) -> None:
    """Worked example (read): prints pHs 8.2 and 7.2, index -0.7 and +0.3; unrounded by its formula (computed)."""
    assert short_saturation_ph(EXAMPLE, t_c) == pytest.approx(saturated, abs=1e-4)
    assert index_at(EXAMPLE, "", t_c).langelier_short == pytest.approx(index, abs=1e-3)


@pytest.mark.parametrize(
    ("t_c", "short", "full", "ryznar"),
    [(10, -0.178, 0.076, 7.449), (25, 0.117, 0.299, 7.002), (48.9, 0.556, 0.612, 6.376), (60, 0.750, 0.747, 6.106)],
)
def test_both_forms(t_c: float, short: float, full: float, ryznar: float) -> None:
    """pH 7.6, TDS 350, Ca 180, alkalinity 160 (computed by the equations of Standard Methods 2330 B and of
    Plummer and Busenberg)."""
    index = index_at(HOUSE, "", t_c)
    assert index.langelier_short == pytest.approx(short, abs=1e-3)
    assert index.langelier == pytest.approx(full, abs=2e-3)
    assert index.ryznar == pytest.approx(ryznar, abs=3e-3)


def test_constants_of_calcite() -> None:
    """log Ks is -8.480 +/- 0.020 at 25 degC (Plummer and Busenberg 1982, read); pKs 8.759 at 60 degC and pK2 10.329 at
    25 degC (computed from their equations). Its solubility product at 60 degC is 0.45 of that at 10 degC."""
    assert log_ks(298.15) == pytest.approx(-8.480, abs=1e-3)
    assert -log_ks(333.15) == pytest.approx(8.759, abs=1e-3)
    assert -log_k2(298.15) == pytest.approx(10.329, abs=1e-3)
    assert 10 ** (log_ks(333.15) - log_ks(283.15)) == pytest.approx(0.45, abs=0.005)


@pytest.mark.parametrize("ph", [7.0, 7.6, 8.4])
def test_index_is_zero_at_saturation(ph: float) -> None:
    """By its definition: at a pH of pHs the index is nothing, and one unit of pH is one unit of index."""
    saturated = saturation_ph(HOUSE, 50.0)
    at_ph = Sample(saturated, 350, 180, 160)
    assert index_at(at_ph, "", 50.0).langelier == pytest.approx(0, abs=1e-12)
    shifted = index_at(Sample(ph, 350, 180, 160), "", 50.0)
    assert shifted.langelier == pytest.approx(ph - saturated, abs=1e-12)
    assert shifted.ryznar == pytest.approx(2 * saturated - ph, abs=1e-12)


@pytest.mark.parametrize(
    ("ryznar", "name"),
    [(5.9, "forms scale"), (6.0, "little of either"), (7.0, "little of either"), (7.1, "corrosive")],
)
def test_ryznar(ryznar: float, name: str) -> None:
    """Under 6 scale, 6 to 7 little of either, above corrosive (memory)."""
    assert ryznar_class(ryznar) == name


@pytest.mark.parametrize(
    ("country", "substance", "just", "over"),
    [("us", "chloride", 250, 251), ("us", "iron", 0.3, 0.31), ("us", "ph", 6.5, 6.4), ("us", "ph", 8.5, 8.6),
     ("us", "tds", 500, 501), ("ca", "chloride", 250, 251), ("ca", "iron", 0.1, 0.11), ("ca", "ph", 7.0, 6.9)],
)  # fmt: skip
def test_limits(country: str, substance: str, just: float, over: float) -> None:
    """40 CFR 143.3 and the Guidelines for Canadian Drinking Water Quality (memory): the limit itself is kept."""
    field = "ph" if substance == "ph" else f"{substance}_mg_l"

    def kept(value: float) -> bool | None:
        found = limits(WaterAnalysis(**{field: value}), country)
        return next(x.kept for x in found if x.substance == substance)

    assert kept(just) is True and kept(over) is False
    assert all(x.kept is None for x in limits(None, country))
