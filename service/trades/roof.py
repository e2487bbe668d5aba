"""How high a gas vent ends over the roof that it passes through."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from service.rules.tables import table

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
    rules = table("roof_rules")
    wide = vent_size_mm > rules.constant("widest_vent") * 1000 + _NOISE
    near = to_wall_mm < rules.constant("from_wall") * 1000 - _NOISE
    return _over_all() if wide or near else _by_pitch(pitch_in_12)


def _by_pitch(pitch_in_12: float) -> RoofHeight:
    heights = table("roof_height")
    row = next((r for r in heights.rows if pitch_in_12 <= r.printed("pitch_upto")), None)
    if row is None:
        raise ValueError("the table of roof heights ends at 21 in 12")
    citation = f"{heights.standard} {heights.edition}, {heights.section}"
    return RoofHeight(_whole_mm(row.si("height")), 0, 0, citation, row.text("known_from"))


def _over_all() -> RoofHeight:
    rules = table("roof_rules")
    over, parts, reach = (_whole_mm(rules.constant(s)) for s in ("over_roof", "over_parts", "reach"))
    return RoofHeight(over, parts, reach, "IFGC 503.6.5", rules.where(symbol="over_roof").text("known_from"))


def _whole_mm(metres: float) -> int:
    return ceil(metres * 1000 - _NOISE)
