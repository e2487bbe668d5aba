"""What the code and good practice ask for along gas pipe besides its size: supports, valves, tests, bonding, labels.

Every figure is a row of ``gas_practice``, with its section and how it is known.
"""

from __future__ import annotations

from functools import cache
from math import pow

from service.rules.figures import Figure, figure_of
from service.rules.tables import table
from service.trades.supports import spacings_begun

ANY = "any"


@cache
def practice(rule: str, material: str = ANY, size: str = ANY) -> Figure:
    """Figure of a rule for a material (or fuel) and size.

    The row for all sizes of the material stands in for a size that has none of its own. Raises KeyError for an
    unknown rule, and for a material or size that the rule does not speak of.
    """
    rows = {(r.text("material"), r.text("size")): r for r in table("gas_practice").rows if r.text("rule") == rule}
    found = rows.get((material, size)) or rows.get((material, ANY))
    if found is None:
        raise KeyError(f"{rule} says nothing of {material} {size}")
    return figure_of(found)


def support_spacing_mm(material: str, size: str) -> float:
    """Farthest that supports may be apart [mm]. Source: IFGC Table 415.1 (steel read, the rest memory).
    Raises KeyError for a material or size without a row, such as plastic pipe, which lies in the ground."""
    return practice("support_spacing", material, size).value * 1000


def supports(length_mm: int, spacing_mm: float) -> int:
    """How many supports hold a run of a length [mm]: one at its start, and one at the end of every spacing
    begun. Source: common practice. Raises ValueError for a negative length or no spacing."""
    return spacings_begun(length_mm, spacing_mm) + 1 if length_mm else 0


def labels(length_mm: int) -> int:
    """Yellow labels along a length [mm] of pipe other than steel: one at its start, and one every 5 ft.
    Source: IFGC 401.5 (read). Raises ValueError for a negative length."""
    return supports(length_mm, practice("label_spacing").value * 1000)


def strength_test_pa(working_pa: float) -> float:
    """Gauge pressure of the strength test [Pa]: 1.5 x working pressure [Pa, gauge], 3 psi at the least.
    Source: IFGC 406.4 (read). Raises ValueError for a negative pressure."""
    if working_pa < 0:
        raise ValueError("working pressure must not be negative")
    return max(practice("test_pressure_least").value, practice("test_pressure_factor").printed * working_pa)


def regulator_loss_most_pa(fuel: str) -> float:
    """Most that a line regulator itself may take [Pa] where a 2 psi table sizes the pipe ahead of it.
    Source: IFGC A.7.2, natural gas (read); notes to the propane tables (read, damaged). KeyError for another fuel."""
    return practice("regulator_loss", fuel).value


def usual_inlet_pa(fuel: str) -> tuple[float, float]:
    """Range of inlet pressure [Pa, gauge] that tankless heaters commonly take. Source: common practice; the
    nameplate decides. KeyError for another fuel than natural_gas or propane."""
    return practice("inlet_min", fuel).value, practice("inlet_max", fuel).value


def speed_note_m_s() -> float:
    """Speed of gas [m/s] above which a note is due. Source: common practice, no rule of the code."""
    return practice("speed_note").value


def atmosphere_pa(altitude_m: float) -> float:
    """Pressure of the air [Pa] at an altitude [m], -500 to 5000 m: standard atmosphere, from 30 in of mercury at
    the sea. Source: ISO 2533 (memory)."""
    ratio = 1 - practice("atmosphere_gradient").printed * altitude_m
    return table("gas_equation").constant("atmosphere") * pow(ratio, practice("atmosphere_exponent").printed)


def speed_m_s(flow_m3_s: float, area_m2: float, pressure_pa: float, altitude_m: float) -> float:
    """Speed [m/s] in a bore [m2] of a flow told at standard conditions [m3/s], at a gauge pressure [Pa] and an
    altitude [m]: ideal gas at the standard temperature. Raises ValueError unless bore and absolute pressure are
    positive."""
    absolute_pa = pressure_pa + atmosphere_pa(altitude_m)
    if area_m2 <= 0 or absolute_pa <= 0:
        raise ValueError("bore and absolute pressure must be positive")
    return flow_m3_s * atmosphere_pa(0.0) / absolute_pa / area_m2
