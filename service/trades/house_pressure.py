"""Pressure on its way through a house: supply, old cold pipe, branch, heater, branch, old hot pipe, fixture.

All fixtures run at once, the heater at their flow or the most that it passes. Friction by Darcy-Weisbach; fittings of
old pipe make it half as long again; copper of a type not told is taken as the narrowest, type K.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, field, replace
from functools import cached_property

from service.rules.tables import table
from service.survey.equipment import Heater
from service.survey.model import Point3, WaterItem, WaterSupply
from service.trades.friction import cold_c, darcy_pa_m, head_pa, hot_c
from service.trades.hot_side import Hanging, HotSide, hot_side
from service.trades.water_fittings import branch_fittings, old_share
from service.trades.water_flow import exchanger_pa, least_pressure
from service.trades.water_lines import Pipework, Spot, Stretch
from service.trades.water_pipe import Bore, bore_of, branch_bore_m

CONNECTION_MM = 300
"""Pipe between the point where a branch ends and the heater's port [mm], as ``MANIFOLD_DROP_MM`` says."""


@dataclass(frozen=True, slots=True)
class FixtureNeed:
    """What must come out of the hot branch for one fixture [Pa]: friction of old pipe and of its own supply, its rise
    over the place where the supply enters, and the least it needs while it runs."""

    hanging: Hanging
    old_pa: float
    stub_pa: float
    rise_pa: float
    least_pa: float

    @property
    def pa(self) -> float:
        """All together."""
        return self.old_pa + self.stub_pa + self.rise_pa + self.least_pa


def supply_pa(water: WaterSupply) -> float | None:
    """Pressure behind a reducing valve, that is there or must be put in, less what equipment takes [Pa]; None where
    static pressure, the setting of a valve that is there, or the loss of equipment is not told."""
    behind, equipment = _behind_valve_pa(water), water.equipment_loss_pa
    if behind is None or equipment is None:
        return None
    return (min(behind, _value("valve_set")) if needs_valve(water) else behind) - equipment


def needs_valve(water: WaterSupply) -> bool:
    """Whether more than 80 psi gets into the house by all that is told. Source: UPC 608.2 (read)."""
    behind = _behind_valve_pa(water)
    return behind is not None and behind > _value("static_most")


def with_bought(water: WaterSupply, items: Collection[WaterItem]) -> WaterSupply:
    """The water with a softener that is bought: it takes 15 psi beside all that is there (common practice, at most)."""
    if WaterItem.SOFTENER not in items:
        return water
    there = water.equipment_loss_pa
    return replace(water, softener=True, equipment_loss_pa=None if there is None else there + _value("softener"))


def _behind_valve_pa(water: WaterSupply) -> float | None:
    """Static pressure as the house has it today [Pa]; None where it, or the setting of the valve there, is not told."""
    static, setting = water.static_pressure_pa, water.reducing_valve_pa
    if static is None or (water.reducing_valve and setting is None):
        return None
    return static if setting is None else min(static, setting)


def _value(symbol: str) -> float:
    return table("water_pressure").constant(symbol)


def missing_facts(water: WaterSupply) -> tuple[str, ...]:
    """Facts without which residual pressure is not settled."""
    told = {
        "static water pressure": water.static_pressure_pa is not None,
        "fixtures": bool(water.fixtures) and all(f.flow_m3_s > 0 for f in water.fixtures),
        "loss of meter, softener and the like": water.equipment_loss_pa is not None,
        "setting of the reducing valve": not water.reducing_valve or water.reducing_valve_pa is not None,
    }
    lines = [w.id for w in (*water.cold, *water.hot) if bore_of(w.material, w.size) is None]
    return (*(name for name, is_told in told.items() if not is_told), *(f"bore of {line}" for line in lines))


@dataclass(frozen=True)
class HousePressure:
    """The chain for one heater; ``water`` has its points in one frame, its static pressure, fixtures with flows and all
    bores known. Pressures in [Pa], lengths in [mm]."""

    water: WaterSupply
    heater: Heater
    _needs: dict[tuple[str, Point3], tuple[FixtureNeed, ...]] = field(default_factory=dict)

    @cached_property
    def hot(self) -> HotSide:
        """The hot pipe."""
        return hot_side(self.water)

    @cached_property
    def cold(self) -> Pipework:
        """The cold pipe."""
        return Pipework([w.points for w in self.water.cold])

    @cached_property
    def entry(self) -> tuple[int, Point3]:
        """Cold line and its first point where the supply enters: the lowest of such points."""
        return min(enumerate(w.points[0] for w in self.water.cold), key=lambda e: (e[1][2], e[0]))

    @property
    def main_m3_s(self) -> float:
        """Flow in the old cold pipe: all fixtures at once."""
        return sum(f.count * f.flow_m3_s for f in self.water.fixtures)

    @property
    def hot_m3_s(self) -> float:
        """Flow through the heater and its branches."""
        return min(self.main_m3_s, self.heater.max_flow_m3_s)

    @property
    def budget_pa(self) -> float:
        """What is left for pipe, rise and fixture."""
        supply = supply_pa(self.water)
        assert supply is not None
        return supply - exchanger_pa(self.heater, self.hot_m3_s)

    def branch_pa_mm(self, option: str, hot: bool) -> float:
        """Friction of a millimetre of branch."""
        bore = branch_bore_m(option)
        if bore is None:
            raise KeyError(option)
        return darcy_pa_m(self.hot_m3_s, bore, hot_c() if hot else cold_c()) / 1000

    def branch_pa(self, option: str, hot: bool, length_mm: float, elbows: float) -> float:
        """Friction of a branch with its fittings."""
        fittings = branch_fittings(option)
        length = length_mm + CONNECTION_MM + fittings.standing_mm + elbows * fittings.elbow_mm
        return length * self.branch_pa_mm(option, hot)

    def cold_pa(self, line_id: str, tap: Point3) -> float:
        """Friction of old cold pipe between entry and tap."""
        line = [w.id for w in self.water.cold].index(line_id)
        way = self.cold.way(Spot(self.entry[0], 0), self.cold.nearest(tap, line)[0])
        bores = [_known(bore_of(w.material, w.size)) for w in self.water.cold]
        lost = (darcy_pa_m(self.main_m3_s, bores[s.line], cold_c()) * s.length_mm / 1000 for s in way)
        return old_share() * sum(lost)

    def needs(self, line_id: str, tap: Point3) -> tuple[FixtureNeed, ...]:
        """What each fixture needs at a tap of the old hot pipe."""
        if (line_id, tap) not in self._needs:
            spot = self.hot.spot(line_id, tap)
            ways = [self.hot.pipework.way(spot, h.tee) for h in self.hot.hanging]
            self._needs[line_id, tap] = tuple(self._need(i, ways) for i in range(len(ways)))
        return self._needs[line_id, tap]

    def hot_need_pa(self, line_id: str, tap: Point3) -> float:
        """What the fixture that needs most needs at a tap."""
        return max(n.pa for n in self.needs(line_id, tap))

    @property
    def least_need_pa(self) -> float:
        """What the fixture that needs most would need were there no pipe at all: its rise and its least."""
        rises = ((f, (f.at[2] - self.entry[1][2]) / 1000) for f in self.water.fixtures)
        return max(head_pa(rise_m, cold_c()) + least_pressure(f).pa for f, rise_m in rises)

    def _need(self, i: int, ways: list[tuple[Stretch, ...]]) -> FixtureNeed:
        hanging = self.hot.hanging[i]
        old = sum(self._old_pa(s, ways) for s in ways[i])
        stub = darcy_pa_m(hanging.fixture.flow_m3_s, _known(hanging.stub), hot_c()) * hanging.stub_mm / 1000
        rise = head_pa((hanging.fixture.at[2] - self.entry[1][2]) / 1000, cold_c())
        least = least_pressure(hanging.fixture).pa
        return FixtureNeed(hanging, old * old_share(), stub * old_share(), rise, least)

    def _old_pa(self, stretch: Stretch, ways: list[tuple[Stretch, ...]]) -> float:
        """Friction of a stretch, each part at the flow of the fixtures beyond it."""
        bore = _known(self.hot.bores[stretch.line])
        parts = ((hi - lo, self._passing_m3_s(stretch.line, lo, hi, ways)) for lo, hi in _parts(stretch, ways))
        return sum(darcy_pa_m(flow, bore, hot_c()) * mm / 1000 for mm, flow in parts)

    def _passing_m3_s(self, line: int, lo: int, hi: int, ways: list[tuple[Stretch, ...]]) -> float:
        """What the fixtures beyond a part of a line draw, at most what the heater passes."""
        beyond = (any(s.line == line and s.lo_mm <= lo and hi <= s.hi_mm for s in way) for way in ways)
        drawn = (h.fixture for h, is_beyond in zip(self.hot.hanging, beyond, strict=True) if is_beyond)
        return min(sum(f.count * f.flow_m3_s for f in drawn), self.hot_m3_s)


def _parts(stretch: Stretch, ways: list[tuple[Stretch, ...]]) -> Iterator[tuple[int, int]]:
    """A stretch cut where any way begins or ends on it."""
    cuts = {c for way in ways for s in way if s.line == stretch.line for c in (s.lo_mm, s.hi_mm)}
    inside = sorted(c for c in cuts | {stretch.lo_mm, stretch.hi_mm} if stretch.lo_mm <= c <= stretch.hi_mm)
    yield from zip(inside, inside[1:], strict=False)


def _known(bore: Bore | None) -> float:
    if bore is None:
        raise KeyError("bore of a water pipe")
    return bore.narrowest_m
