"""Whether a design weighs its waiting for hot water as the survey prices it: every second reckoned once more."""

from __future__ import annotations

from collections.abc import Iterator

from service.building.model import Building
from service.building.water import framed_water
from service.check.verdicts import stated
from service.design import MANIFOLD_DROP_MM, Design, Finding, Part, Route, Service
from service.rules.tables import table
from service.survey.model import Survey
from service.trades.hot_side import Hanging, HotSide, hot_side
from service.trades.water_pipe import Bore, branch_bore_m

ROUNDING_CENTS = 2
"""The search prices each millimetre in whole money units; over a house's pipe that is less than a cent."""
CITATION = "the survey's own price"


def waiting_findings(survey: Survey, building: Building, design: Design) -> tuple[Finding, ...]:
    """A statement of what waiting weighs, where one is made; nothing where the design tells none."""
    route, told = design.route(Service.HOT), design.weighed_cents
    if told is None or route is None or not route.pieces or not design.has(Part.COST, Part.HOT_RUN):
        return ()
    cents = survey.preferences.waiting_cents_per_s
    if not cents:
        detail = "waiting is weighed, though the survey puts no price on it"
        return (stated("waiting.weighed", Service.HOT, route.end_id, False, detail, CITATION),)
    hot = hot_side(framed_water(survey.water, building.frame))
    if route.end_id not in hot.ids:
        return ()
    due = cents * _mean_wait_s(hot, route)
    detail = f"{told} cents stated, {due:.2f} computed"
    return (stated("waiting.weighed", Service.HOT, route.end_id, abs(told - due) <= ROUNDING_CENTS, detail, CITATION),)


def _mean_wait_s(hot: HotSide, route: Route) -> float:
    """Mean wait of all fixtures at a later draw from cold pipe [s], each as many times as it stands for."""
    waits = [(h.fixture.count, _wait_s(hot, h, route)) for h in hot.hanging]
    return sum(n * wait for n, wait in waits) / sum(n for n, _ in waits)


def _wait_s(hot: HotSide, hanging: Hanging, route: Route) -> float:
    volume_m3 = sum(area * mm / 1000 for area, mm in _held(hot, hanging, route))
    rules = table("waiting")
    return volume_m3 / hanging.fixture.flow_m3_s * rules.constant("mixing") + rules.constant("ignition")


def _held(hot: HotSide, hanging: Hanging, route: Route) -> Iterator[tuple[float, int]]:
    """Cross-section [m2] and length [mm] of all pipe between the heater and a fixture."""
    bore = branch_bore_m(route.option) or 0.0
    yield Bore(bore, bore).area_m2, route.length_mm + MANIFOLD_DROP_MM
    tap = hot.spot(route.end_id, route.pieces[-1].end)
    for stretch in hot.pipework.way(tap, hanging.tee):
        yield _area_m2(hot.bores[stretch.line]), stretch.length_mm
    yield _area_m2(hanging.stub), hanging.stub_mm


def _area_m2(bore: Bore | None) -> float:
    return 0.0 if bore is None else bore.area_m2
