"""The wait for hot water with a finished design, fixture by fixture, against codes and labels."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from service.building.model import Building
from service.building.water import framed_water
from service.design import MANIFOLD_DROP_MM, Design, Route, Service
from service.rules.tables import table
from service.survey.equipment import Heater
from service.survey.model import Survey, UnitSystem, WaterSupply
from service.trades.hot_limits import limits_of
from service.trades.hot_side import Hanging, HotSide, hot_side
from service.trades.waiting import wait_of
from service.trades.water_lines import Stretch
from service.trades.water_pipe import Bore, branch_bore_m
from service.units import Quantity, told
from service.usecases.recirculation import loop_report
from service.usecases.waiting_results import FixtureWait, WaitingReport

STANDING = (
    "Each fixture's own supply leaves the hot pipe where that is nearest and runs along the axes in 1/2 in pipe of the "
    "same material (common practice).",
    "The pipe has gone cold, and the fixture's hot tap alone is open, at the flow it is told with.",
    "Copper of a type that is not told holds as much water as type M.",
)
CITATION = "time = volume x mixing / flow + ignition; EPA label for homes 1.2 3.3, common practice"


@dataclass(frozen=True, slots=True)
class _House:
    """The hot pipe of a house with a heater's run on it."""

    survey: Survey
    water: WaterSupply
    hot: HotSide
    heater: Heater
    route: Route

    def way(self, hanging: Hanging) -> tuple[Stretch, ...]:
        tap = self.hot.spot(self.route.end_id, self.route.pieces[-1].end)
        return self.hot.pipework.way(tap, hanging.tee)


def waiting_report(survey: Survey, building: Building, design: Design) -> WaitingReport | None:
    """Waits of all fixtures; None for a design without a hot run to a line of the survey."""
    water, route = framed_water(survey.water, building.frame), design.route(Service.HOT)
    hot = hot_side(water)
    if route is None or route.end_id not in hot.ids:
        return None
    house = _House(survey, water, hot, design.heater, route)
    fixtures = tuple(_fixture_wait(house, h) for h in hot.hanging)
    return WaitingReport(
        fixtures=fixtures,
        mean_s=_mean_s(fixtures),
        price_cents=survey.preferences.waiting_cents_per_s or None,
        weighed_cents=design.weighed_cents,
        loop=loop_report(survey, hot, route.length_mm, house.way) if survey.preferences.recirculation else None,
        assumptions=tuple(_assumptions(house)),
        warnings=tuple(_warnings(house, fixtures)),
        citation=CITATION,
    )


def _fixture_wait(house: _House, hanging: Hanging) -> FixtureWait:
    way, fixture = house.way(hanging), hanging.fixture
    branch_mm = house.route.length_mm + MANIFOLD_DROP_MM
    length = branch_mm + sum(s.length_mm for s in way) + hanging.stub_mm
    missing = _missing(house, hanging, way)
    volume = None if missing else sum(_volumes_m3(house, hanging, way, branch_mm))
    return FixtureWait(
        fixture=fixture.id,
        kind=fixture.kind,
        count=fixture.count,
        flow_m3_s=fixture.flow_m3_s,
        length_mm=length,
        volume_m3=volume,
        wait=None if volume is None else wait_of(volume, fixture.flow_m3_s),
        missing=missing,
        lights_burner=fixture.flow_m3_s >= house.heater.activation_flow_m3_s,
        limits=() if volume is None else limits_of(
            length / 1000, volume, _largest(house, way), house.survey.site.rule_set
        ),
    )  # fmt: skip


def _missing(house: _House, hanging: Hanging, way: tuple[Stretch, ...]) -> str:
    """The fact without which no time can be told, empty if there is none."""
    lines = sorted({s.line for s in way if house.hot.bores[s.line] is None})
    if lines:
        return f"bore of {', '.join(house.hot.ids[i] for i in lines)}"
    if hanging.stub is None:
        return f"pipe of the supply of {hanging.fixture.id}"
    return "" if hanging.fixture.flow_m3_s > 0 else f"flow of {hanging.fixture.id}"


def _volumes_m3(house: _House, hanging: Hanging, way: tuple[Stretch, ...], branch_mm: int) -> Iterator[float]:
    """Water in the branch, in each stretch of old pipe, and in the fixture's own supply [m3]."""
    bore = branch_bore_m(house.route.option) or 0.0
    pipes = [(Bore(bore, bore), branch_mm), (hanging.stub, hanging.stub_mm)]
    pipes += [(house.hot.bores[s.line], s.length_mm) for s in way]
    yield from (pipe.area_m2 * mm / 1000 for pipe, mm in pipes if pipe is not None)


def _largest(house: _House, way: tuple[Stretch, ...]) -> str | None:
    """Nominal size of the widest pipe of a way, the branch's included."""
    sizes = {house.water.hot[s.line].size for s in way} | {house.route.option.rpartition(".")[2]}
    known = [r.text("nominal") for r in table("hot_water_lengths").rows]
    return max(sizes, key=known.index) if sizes <= set(known) else None


def _mean_s(fixtures: tuple[FixtureWait, ...]) -> float | None:
    """Mean of all later draws from cold pipe [s]; None if there are none or one is not known."""
    waits = [(f.count, f.wait.later) for f in fixtures if f.wait is not None]
    if not fixtures or len(waits) < len(fixtures):
        return None
    return sum(n * wait for n, wait in waits) / sum(n for n, _ in waits)


def _assumptions(house: _House) -> Iterator[str]:
    yield from STANDING
    for line, gap in house.hot.pipework.gaps_mm:
        length = told(Quantity.LENGTH, gap / 1000, house.survey.units)
        yield f"{house.hot.ids[line]} touches no other hot line: taken as joined to them by {length} of its own pipe."


def _warnings(house: _House, fixtures: tuple[FixtureWait, ...]) -> Iterator[str]:
    if not fixtures:
        yield "The survey names no fixtures: no wait can be told."
    for f in (f for f in fixtures if f.missing):
        yield f"{f.fixture}: the wait is not known for want of the {f.missing}."
    least = house.heater.activation_flow_m3_s
    for f in (f for f in fixtures if not f.lights_burner):
        yield f"{f.fixture}: its flow of {_flow(f.flow_m3_s, house)} does not light the burner, which starts at " \
              f"{_flow(least, house)}: it gets no hot water by itself."  # fmt: skip


def _flow(m3_s: float, house: _House) -> str:
    units: UnitSystem = house.survey.units
    return told(Quantity.FLOW, m3_s, units)
