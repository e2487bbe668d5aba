"""An invented one-room house with a lawful design drawn by hand, to be spoiled by the tests of the checker.

The room is 6 x 4 m and 3 m high, walls 200 mm. A window is in the south wall, the heater hangs west of it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from service.building.build import build
from service.check.check import findings
from service.check.gas_works import split_option
from service.design import Design, Finding, GasWorks, Mount, Piece, Route, Service, Surface, Terminal, Verdict
from service.rules.catalogue import heaters, price_book
from service.siting.costing import Extras, bill
from service.survey.equipment import Heater
from service.survey.model import (
    Drain,
    GasNode,
    GasSegment,
    GasSupply,
    KeepOut,
    KeepOutKind,
    Opening,
    OpeningKind,
    Point2,
    Point3,
    Receptacle,
    Room,
    RoomUse,
    Site,
    Storey,
    Survey,
    UnitSystem,
    Wall,
    WallKind,
    WaterLine,
    WaterSupply,
)
from service.trades.gas_pipe import elbow_mm, tee_mm

W, C, OUT, STUB = Surface.WALL, Surface.CEILING, Surface.OUTER_WALL, Surface.STUB
HEATER = replace(heaters()["co-direct-120"], vents=())
"""With its standard vent alone, so that tests may change that."""
WINDOW = Opening("window", OpeningKind.WINDOW, (2200, 0), (3200, 0), 900, 2100, operable=True)
OUTLINE = (0, 0), (6000, 0), (6000, 4000), (0, 4000)
X = 1500
NO_WORKS = GasWorks()


def site(**changes: Any) -> Site:
    """A level plot, natural gas."""
    plain = Site("us-2021", "natural_gas", 38.0e6, 0.6, 0.0, 0, -5.0, -150)
    return replace(plain, **changes)


def plant(**changes: Any) -> Room:
    """The room."""
    return replace(Room("plant", RoomUse.MECHANICAL, OUTLINE, False, 0, 3000), **changes)


def gas(**changes: Any) -> GasSupply:
    """Meter in the west wall with a short pipe behind it."""
    plain = GasSupply(
        "meter", 1750.0, 73_000.0, 125.0,
        (GasNode("meter", (0, 1500, 900)), GasNode("tee", (0, 1000, 900))),
        (GasSegment("stem", "meter", "tee", "steel_sch40", "1", 500),),
    )  # fmt: skip
    return replace(plain, **changes)


def house(
    *, rooms: tuple[Room, ...] | None = None, openings: tuple[Opening, ...] = (WINDOW,), walls: tuple[Wall, ...] = (),
    on: dict[str, Any] | None = None, **changes: Any,
) -> Survey:  # fmt: skip
    """The survey; ``on`` changes its storey."""
    given = rooms or (plant(),)
    storey = replace(Storey("ground", 0, 3000, given, openings, walls or outer_walls(given)), **(on or {}))
    plain = Survey(
        "invented", UnitSystem.SI, site(), (storey,), gas(),
        WaterSupply(
            (WaterLine("cold", ((0, 2000, 0), (0, 2000, 1200)), "3/4", "copper"),),
            (WaterLine("hot", ((0, 2500, 0), (0, 2500, 1200)), "3/4", "copper"),),
        ),
        (HEATER,), price_book("demo-si"),
        drains=(Drain("drain", (800, 0, 0)),), receptacles=(Receptacle("outlet", (1900, 0, 900)),),
    )  # fmt: skip
    return replace(plain, **changes)


def outer_walls(rooms: Iterable[Room]) -> tuple[Wall, ...]:
    """All edges of the house's box as exterior wall, 200 thick."""
    xs = [x for r in rooms for x, _ in r.outline]
    ys = [y for r in rooms for _, y in r.outline]
    ring = ((min(xs), min(ys)), (max(xs), min(ys)), (max(xs), max(ys)), (min(xs), max(ys)))
    ends = zip(ring, ring[1:] + ring[:1], strict=True)
    return tuple(Wall(f"outer {i}", a, b, WallKind.EXTERIOR, 200) for i, (a, b) in enumerate(ends))


def run(points: list[Point3], surfaces: list[Surface]) -> tuple[Piece, ...]:
    """Pieces between points."""
    return tuple(Piece(a, b, s) for a, b, s in zip(points, points[1:], surfaces, strict=False))


def route(service: Service, option: str, end: str, pieces: tuple[Piece, ...], elbows: int, **more: Any) -> Route:
    """A route; gas is told with its turns and the tee of its tap, 500 mm of pipe lying before that."""
    if service is Service.GAS:
        pipe, length = split_option(option), sum(p.length_mm for p in pieces)
        more = {"equivalent_mm": 500 + length + elbows * elbow_mm(*pipe) + tee_mm(*pipe)} | more
    return Route(service, option, end, pieces, elbows, **more)


def routes(bottom: int = 1200, x: int = X, heater: Heater = HEATER) -> dict[Service, Route]:
    """The lawful runs of a heater whose vent port is at ``x`` of the south wall."""
    m, top = bottom - 300, bottom + heater.height_mm
    bend = top + heater.vent_rise_mm
    along = [(x, 0, m), (0, 0, m)]
    upright = [(0, 2000, m), (0, 2500, m)]
    found = [
        route(Service.VENT, heater.vent.system, "F1", run([(x, 0, top), (x, 0, bend), (x, -200, bend)], [W, OUT]), 1),
        route(Service.GAS, "3/4", "tee", _to_tee(along, m), 2 if m != 900 else 1),
        route(Service.COLD, "3/4", "cold", run([*along, upright[0]], [W, W]), 1),
        route(Service.HOT, "3/4", "hot", run([*along, upright[1]], [W, W]), 1),
        route(Service.POWER, "cable", "outlet", _to_outlet(x, m), 1 if m != 900 else 0),
    ]
    if heater.condensing:
        found.append(route(Service.DRAIN, "drain", "drain", run([(x, 0, m), (x, 0, 0), (800, 0, 0)], [W, W]), 1))
    return {r.service: r for r in found}


def _to_tee(along: list[Point3], m: int) -> tuple[Piece, ...]:
    points = [*along, (0, 1000, m)]
    return run([*points, (0, 1000, 900)], [W, W, W]) if m != 900 else run(points, [W, W])


def _to_outlet(x: int, m: int) -> tuple[Piece, ...]:
    points: list[Point3] = [(x, 0, m), (1900, 0, m)]
    return run([*points, (1900, 0, 900)], [W, W]) if m != 900 else run(points, [W])


def design(
    at: Survey, *, bottom: int = 1200, x: int = X, heater: Heater = HEATER, changed: tuple[Route, ...] = (),
    terminal: tuple[int, int] | None = None, air_openings: bool = False, meter_upgrade: bool = False,
    works: GasWorks = NO_WORKS,
) -> Design:  # fmt: skip
    """The lawful design with some runs replaced, billed by the service's own costing."""
    own = routes(bottom, x, heater) | {r.service: r for r in changed}
    given = tuple(own[s] for s in Service if s in own)
    garage = at.storeys[0].rooms[0].use is RoomUse.GARAGE
    extras = Extras(air_openings, garage, meter_upgrade, works.service_regulator)
    lines, total = bill(heater, given, at.prices, extras, works, at.gas, W)
    s, z = terminal or (x + 200, bottom + heater.height_mm + heater.vent_rise_mm)
    south = next(f.id for f in build(at).faces if f.start == (0, 0))
    return Design(
        heater, Mount(south, x, bottom), Terminal("F1", s, z), given, air_openings, meter_upgrade, lines, total, works
    )  # fmt: skip


def vent(points: list[Point3], surfaces: list[Surface], elbows: int, heater: Heater = HEATER) -> Route:
    """A vent run."""
    return route(Service.VENT, heater.vent.system, "F1", run(points, surfaces), elbows)


def judged(at: Survey, given: Design) -> tuple[Finding, ...]:
    """Findings of the checker."""
    return findings(at, build(at), given)


def broken(at: Survey, given: Design, *verdicts: Verdict) -> set[str]:
    """Rule ids that failed or stay unknown, or those with other verdicts."""
    wanted = verdicts or (Verdict.FAIL, Verdict.UNKNOWN)
    return {f.rule_id for f in judged(at, given) if f.verdict in wanted}


def box(x0: int, y0: int, x1: int, y1: int) -> tuple[Point2, ...]:
    """Rectangle."""
    return (x0, y0), (x1, y0), (x1, y1), (x0, y1)


def keep_out(
    outline: tuple[Point2, ...], z0: int, z1: int, kind: KeepOutKind = KeepOutKind.DUCT, *changed: Route
) -> tuple[Survey, Design]:
    """The lawful design in a house with a duct."""
    at = house(on={"keep_outs": (KeepOut("duct", kind, outline, z0, z1),)})
    return at, design(at, changed=changed)


def redrawn(*changed: Route, at: Survey | None = None) -> tuple[Survey, Design]:
    """The lawful design with runs drawn anew."""
    given = at or house()
    return given, design(given, changed=changed)
