"""How high a gas vent ends over the roof that it passes through."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import ceil

from service.rules.figures import Figure, figure_of
from service.rules.tables import Table, table

_NOISE = 1e-6


@dataclass(frozen=True, slots=True)
class RoofHeight:
    """Least heights of the vent's opening [mm].

    ``over_roof_mm`` over the roof where the vent passes through it, at its highest point. ``over_parts_mm`` over every
    part of a building within ``reach_mm`` in plan; both 0 where the table by pitch serves. ``mark`` is that of the
    least sure figure.
    """

    over_roof_mm: int
    over_parts_mm: int
    reach_mm: int
    citation: str
    mark: str

    def kept_by(self, over_roof_mm: int, over_parts_mm: int) -> bool:
        """Whether an opening so high [mm] over the roof and over the highest part within reach keeps both."""
        return over_roof_mm >= self.over_roof_mm and (not self.reach_mm or over_parts_mm >= self.over_parts_mm)


@cache
def roof_rule(symbol: str) -> Figure:
    """Figure of the table of roof rules; KeyError for an unknown symbol."""
    return figure_of(table("roof_rules").where(symbol=symbol))


def rule_mm(symbol: str) -> int:
    """That figure in whole millimetres that keep it [mm]."""
    return _whole_mm(roof_rule(symbol).value)


def roof_height(pitch_in_12: float, vent_size_mm: float, to_wall_mm: float) -> RoofHeight:
    """Least height of a listed gas vent's opening over the roof.

    Args:
        pitch_in_12: rise of the roof in a run of 12 [-].
        vent_size_mm: size of the vent [mm].
        to_wall_mm: distance from the nearest upright wall or like obstruction [mm]; infinity where there is none.

    Raises:
        ValueError: negative pitch, or one steeper than the table reaches (21 in 12).

    Source: IRC 2018 G2427.6 by pitch; a vent over 12 in, or within 8 ft of a wall, IFGC 503.6.5 (memory).
    """
    if pitch_in_12 < 0:
        raise ValueError("a roof's pitch is not negative")
    near = to_wall_mm < roof_rule("from_wall").value * 1000 - _NOISE
    return _over_all() if is_wide(vent_size_mm) or near else _by_pitch(pitch_in_12)


def is_wide(vent_size_mm: float) -> bool:
    """Whether a vent [mm] is too wide for the table by pitch."""
    return vent_size_mm > roof_rule("widest_vent").value * 1000 + _NOISE


def is_steep(pitch_in_12: float) -> bool:
    """Whether a roof is steeper than the table by pitch reaches."""
    return pitch_in_12 > _heights().rows[-1].printed("pitch_upto")


def uphill_mm(pitch_in_12: float, radius_mm: int) -> int:
    """How much higher the roof is at the upper side of a vent of some radius than on its axis [mm]."""
    return ceil(radius_mm * pitch_in_12 / 12 - _NOISE)


def least_rise_mm(pitch_in_12: float, radius_mm: int, snow_mm: int) -> int | None:
    """Least height [mm] of a vent's opening over the roof at its axis, far from walls: by pitch, by practice, and
    ``snow_mm`` for snow, all from the highest point where a vent of ``radius_mm`` passes. None where no table tells."""
    if is_steep(pitch_in_12) or is_wide(2 * radius_mm):
        return None
    asked = max(_by_pitch(pitch_in_12).over_roof_mm, rule_mm("least"), snow_mm)
    return asked + uphill_mm(pitch_in_12, radius_mm)


def _heights() -> Table:
    return table("roof_height")


def _by_pitch(pitch_in_12: float) -> RoofHeight:
    heights = _heights()
    row = next((r for r in heights.rows if pitch_in_12 <= r.printed("pitch_upto")), None)
    if row is None:
        raise ValueError("the table of roof heights ends at 21 in 12")
    citation = f"{heights.standard} {heights.edition}, {heights.section}"
    return RoofHeight(_whole_mm(row.si("height")), 0, 0, citation, row.text("known_from"))


def _over_all() -> RoofHeight:
    over, parts, reach = (rule_mm(symbol) for symbol in ("over_roof", "over_parts", "reach"))
    rule = roof_rule("over_roof")
    return RoofHeight(over, parts, reach, rule.citation, rule.known_from)


def _whole_mm(metres: float) -> int:
    return ceil(metres * 1000 - _NOISE)
