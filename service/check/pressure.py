"""Whether water pressure is left at every fixture: the chain from the supply added up again, pipe by pipe.

All fixtures run at once, the heater at their flow or the most that it passes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from service.building.model import Building
from service.building.water import framed_water
from service.check.routes import elbows_of
from service.check.verdicts import stated
from service.design import MANIFOLD_DROP_MM, Design, Finding, Route, Service, Verdict
from service.phrases import phrase, water_pascals
from service.rules.tables import table
from service.survey.model import Survey, WaterLine, WaterSupply
from service.trades.friction import cold_c, darcy_pa_m, head_pa, hot_c
from service.trades.hot_side import Hanging, HotSide, hot_side
from service.trades.house_pressure import missing_facts, needs_valve, supply_pa, with_bought
from service.trades.water_fittings import branch_fittings, old_share
from service.trades.water_flow import exchanger_pa, least_pressure
from service.trades.water_lines import Pipework, Spot, Stretch
from service.trades.water_pipe import bore_of, branch_bore_m

CITATION = "IPC 604.3, E103; NSPC 10.14.2"
ROUNDING_PA = 1.0


@dataclass(frozen=True, slots=True)
class _House:
    """A design's water in the frame, its flows [m3/s], and where its runs meet the old pipe."""

    water: WaterSupply
    hot: HotSide
    main_m3_s: float
    hot_m3_s: float
    runs: tuple[Route, Route]


def pressure_findings(survey: Survey, building: Building, design: Design) -> tuple[Finding, ...]:
    """Residual pressure at the fixture that has least to spare, and whether a reducing valve is to be put in."""
    valve = _valve(design) if needs_valve(survey.water) else ()
    cold, hot = design.route(Service.COLD), design.route(Service.HOT)
    if cold is None or hot is None or not (cold.pieces and hot.pieces):
        return valve
    return (*_residual(survey, building, design, (cold, hot)), *valve)


def _valve(design: Design) -> tuple[Finding, ...]:
    most = water_pascals(table("water_pressure").constant("static_most"), 0)
    detail = phrase("more than ", most, " gets in: a pressure reducing valve with strainer is to be put in")
    cite = table("water_pressure").where(symbol="static_most").text("section")
    return (Finding("water.valve", Verdict.ADVICE, Service.COLD, design.heater.id, detail, citation=cite),)


def _residual(
    survey: Survey, building: Building, design: Design, runs: tuple[Route, Route]
) -> tuple[Finding, ...]:
    lacking = list(missing_facts(survey.water)) + ["loss of pressure in the heater"] * (not design.heater.pressure_loss)
    if lacking:
        missing = ", ".join(lacking)
        why, named = f"residual pressure is not settled for want of: {missing}", design.heater.id
        return (Finding("water.pressure", Verdict.ADVICE, Service.HOT, named, why, None, None, CITATION, missing),)
    house = _house(survey, building, design, runs)
    if house is None:
        return ()
    supply = supply_pa(with_bought(survey.water, design.water_items))
    assert supply is not None
    start = supply - exchanger_pa(design.heater, house.hot_m3_s) - _cold_pa(house) - _branch_pa(house, runs[1], True)
    spare, fixture = min((start - _from_tap_pa(house, h), h.fixture.id) for h in house.hot.hanging)
    detail = phrase(water_pascals(spare), f" to spare at {fixture}, which has least, with all fixtures open")
    return (stated("water.pressure", Service.HOT, fixture, spare >= -ROUNDING_PA, detail, CITATION),)


def _house(survey: Survey, building: Building, design: Design, runs: tuple[Route, Route]) -> _House | None:
    """None where a run names no line or no size that there is, which other rules refuse."""
    water = framed_water(survey.water, building.frame)
    known = runs[0].end_id in {w.id for w in water.cold} and runs[1].end_id in {w.id for w in water.hot}
    if not known or any(branch_bore_m(r.option) is None for r in runs):
        return None
    drawn = sum(f.count * f.flow_m3_s for f in water.fixtures)
    return _House(water, hot_side(water), drawn, min(drawn, design.heater.max_flow_m3_s), runs)


def _branch_pa(house: _House, route: Route, is_hot: bool) -> float:
    """A run with its elbows, the tee at its tap, valve and elbows at the heater."""
    fittings, bore = branch_fittings(route.option), branch_bore_m(route.option)
    assert bore is not None
    counted = sum(p.length_mm for p in route.pieces) + MANIFOLD_DROP_MM + elbows_of(route) * fittings.elbow_mm
    lost = darcy_pa_m(house.hot_m3_s, bore, hot_c() if is_hot else cold_c())
    return lost * (counted + fittings.standing_mm) / 1000


def _cold_pa(house: _House) -> float:
    """Old cold pipe from where the supply enters, and the cold run."""
    lines, route = house.water.cold, house.runs[0]
    work = Pipework([w.points for w in lines])
    tap, _ = work.nearest(route.pieces[-1].end, [w.id for w in lines].index(route.end_id))
    lost = sum(
        darcy_pa_m(house.main_m3_s, _narrowest_m(lines[s.line]), cold_c()) * s.length_mm
        for s in work.way(Spot(_entry(house.water), 0), tap)
    )
    return old_share() * lost / 1000 + _branch_pa(house, route, False)


def _entry(water: WaterSupply) -> int:
    """Line whose first point is the lowest: the supply enters there."""
    heights = [w.points[0][2] for w in water.cold]
    return heights.index(min(heights))


def _from_tap_pa(house: _House, hanging: Hanging) -> float:
    """Old hot pipe, the fixture's own supply, its rise and the least that it needs."""
    fixture, bore = hanging.fixture, hanging.stub
    assert bore is not None
    lost = darcy_pa_m(fixture.flow_m3_s, bore.narrowest_m, hot_c()) * hanging.stub_mm
    for line, lo, hi, flow in _loaded(house, hanging):
        lost += darcy_pa_m(min(flow, house.hot_m3_s), _narrowest_m(house.water.hot[line]), hot_c()) * (hi - lo)
    rise = fixture.at[2] - house.water.cold[_entry(house.water)].points[0][2]
    return old_share() * lost / 1000 + head_pa(rise / 1000, cold_c()) + least_pressure(fixture).pa


def _loaded(house: _House, hanging: Hanging) -> Iterator[tuple[int, int, int, float]]:
    """Parts of the way to a fixture that no other way leaves or joins, each with what all fixtures draw through it."""
    ways = [(h, _way(house, h)) for h in house.hot.hanging]
    for stretch in _way(house, hanging):
        ends = {e for _, way in ways for s in way if s.line == stretch.line for e in (s.lo_mm, s.hi_mm)}
        marks = sorted(e for e in ends if stretch.lo_mm <= e <= stretch.hi_mm)
        for lo, hi in zip(marks, marks[1:], strict=False):
            yield stretch.line, lo, hi, sum(
                h.fixture.count * h.fixture.flow_m3_s for h, way in ways if _covers(way, stretch.line, (lo + hi) / 2)
            )


def _way(house: _House, hanging: Hanging) -> tuple[Stretch, ...]:
    route = house.runs[1]
    return house.hot.pipework.way(house.hot.spot(route.end_id, route.pieces[-1].end), hanging.tee)


def _covers(way: tuple[Stretch, ...], line: int, at: float) -> bool:
    return any(s.line == line and s.lo_mm < at < s.hi_mm for s in way)


def _narrowest_m(line: WaterLine) -> float:
    bore = bore_of(line.material, line.size)
    assert bore is not None
    return bore.narrowest_m
