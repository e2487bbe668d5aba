"""An invented house of two dwellings of one room each, side by side along the street, with one gas pipe before both."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from service.rules.catalogue import heaters
from service.survey.model import (
    Drain,
    Dwelling,
    GasMaterial,
    GasMethod,
    GasNode,
    GasSegment,
    GasSupply,
    Point2,
    Receptacle,
    Room,
    RoomUse,
    Survey,
    WaterLine,
    WaterSupply,
)
from service.survey.roof import Roof, RoofPlane
from tests.unit.check_house import house, site

STEEL = GasMaterial.STEEL.value
WIDTH, DEPTH, CEILING, WALL = 3_000, 3_500, 2_700, 100
FAR = 2 * WIDTH + WALL


def two_dwellings(
    ids: tuple[str, ...] = ("co-direct-120",), *, rules: str = "us-2021", pipe: str = "1-1/4", tee: int = 2_500,
    own_taps: bool = False, **changes: Any,
) -> Survey:  # fmt: skip
    """Left and right of an inner wall; pipes for both end near it, so that both heaters are drawn there. The gas pipe
    runs along the street to ``tee`` and on; with ``own_taps`` each dwelling may tap one node of it alone."""
    rooms = tuple(_room(name, x) for name, x in (("left", 0), ("right", WIDTH + WALL)))
    plain = house(
        rooms=rooms, openings=(), heaters=tuple(heaters()[i] for i in ids),
        site=site(rule_set=rules),
        gas=gas(pipe, tee),
        drains=(Drain("left-drain", (2_500, 0, 0)), Drain("right-drain", (3_600, 0, 0))),
        receptacles=(Receptacle("left-outlet", (2_900, 60, 900)), Receptacle("right-outlet", (3_200, 60, 900))),
        water=WaterSupply(
            (_line("left-cold", 2_400), _line("right-cold", 3_700)),
            (_line("left-hot", 2_600), _line("right-hot", 3_500)),
        ),
    )  # fmt: skip
    storeys = (replace(plain.storeys[0], ceiling_z_mm=CEILING),)
    dwellings = tuple(_dwelling(name, own_taps) for name in ("left", "right"))
    return replace(plain, storeys=storeys, dwellings=dwellings, **changes)


def over_both(pitch: float = 0.0, over_mm: int = 305) -> Roof:
    """A roof over both with its eaves 300 mm before the walls, ``over_mm`` over the ceilings: level, or a gable whose
    ridge runs beside the street."""
    low, high, far, middle, eave = -300, DEPTH + 300, FAR + 300, DEPTH // 2, CEILING + over_mm
    if not pitch:
        return Roof((RoofPlane("top", _rect(low, low, far, high), eave),))
    south, north = _rect(low, low, far, middle), _rect(low, middle, far, high)
    return Roof((
        RoofPlane("south", south, eave, pitch, ((low, low), (far, low))),
        RoofPlane("north", north, eave, pitch, ((far, high), (low, high))),
    ))  # fmt: skip


def _rect(x0: int, y0: int, x1: int, y1: int) -> tuple[Point2, ...]:
    return (x0, y0), (x1, y0), (x1, y1), (x0, y1)


def gas(pipe: str = "1-1/4", tee: int = 2_500) -> GasSupply:
    """A meter in the west wall and one pipe along the street."""
    nodes = (
        GasNode("meter", (0, 1_500, 900)), GasNode("corner", (0, 0, 900)), GasNode("left-tap", (tee, 0, 900)),
        GasNode("right-tap", (FAR - tee, 0, 900)),
    )  # fmt: skip
    segments = (
        GasSegment("entry", "meter", "corner", STEEL, pipe, 1_500),
        GasSegment("first", "corner", "left-tap", STEEL, pipe, tee),
        GasSegment("second", "left-tap", "right-tap", STEEL, pipe, FAR - 2 * tee),
    )
    return GasSupply("meter", 1_750.0, 150_000.0, 125.0, nodes, segments)


def _room(name: str, x: int) -> Room:
    outline = (x, 0), (x + WIDTH, 0), (x + WIDTH, DEPTH), (x, DEPTH)
    return Room(name, RoomUse.MECHANICAL, outline, False, 0, CEILING)


def _line(name: str, x: int) -> WaterLine:
    return WaterLine(name, ((x, 3_400, 300), (x, 3_400, 1_500)), "3/4", "copper")


def _dwelling(name: str, own_taps: bool) -> Dwelling:
    return Dwelling(
        name, (name,), water_lines=(f"{name}-cold", f"{name}-hot"), drains=(f"{name}-drain",),
        receptacles=(f"{name}-outlet",), gas_taps=(f"{name}-tap",) if own_taps else None,
    )  # fmt: skip


def row(count: int, heater: str = "co-direct-120") -> Survey:
    """Flats of one room each in a row, alike but for their place on one gas pipe that is wide enough for all."""
    flats = range(count)
    left = {i: i * (WIDTH + WALL) for i in flats}
    plain = house(
        rooms=tuple(_room(f"room {i}", left[i]) for i in flats), openings=(), heaters=(heaters()[heater],),
        gas=_row_gas(left),
        drains=tuple(Drain(f"drain {i}", (x + 600, 0, 0)) for i, x in left.items()),
        receptacles=tuple(Receptacle(f"outlet {i}", (x + 400, 0, 900)) for i, x in left.items()),
        water=WaterSupply(
            tuple(_line(f"cold {i}", x + 500) for i, x in left.items()),
            tuple(_line(f"hot {i}", x + 700) for i, x in left.items()),
        ),
    )  # fmt: skip
    storeys = (replace(plain.storeys[0], ceiling_z_mm=CEILING),)
    dwellings = tuple(
        Dwelling(
            f"flat {i}", (f"room {i}",), water_lines=(f"cold {i}", f"hot {i}"), drains=(f"drain {i}",),
            receptacles=(f"outlet {i}",), gas_taps=(f"tap {i}",),
        )
        for i in flats
    )  # fmt: skip
    return replace(plain, storeys=storeys, dwellings=dwellings)


def _row_gas(left: dict[int, int]) -> GasSupply:
    nodes = [GasNode("meter", (0, 0, 900)), *(GasNode(f"tap {i}", (x + 800, 0, 900)) for i, x in left.items())]
    pipes = [
        GasSegment(f"pipe {i}", f"tap {i - 1}" if i else "meter", f"tap {i}", STEEL, "4", WIDTH + WALL if i else 800)
        for i in left
    ]
    return GasSupply("meter", 1_750.0, 73_000.0, 125.0, tuple(nodes), tuple(pipes), method=GasMethod.BRANCH_TABLES)




def parallel(
    ids: tuple[str, ...] = ("co-direct-120",), *, apart: int = 0, hole_cents: int | None = None, **changes: Any
) -> Survey:
    """Two heaters in the left room, whose water comes through the inner wall from old pipe behind it: the second's
    ``apart`` beside the first's [mm]. The first drains and has power at the street, the second at the back."""
    survey = two_dwellings(ids, pipe="2", tee=1_000, **changes)
    gas = survey.gas
    cold, hot = ((_behind(n, y), _behind(f"{n} 2", y + apart)) for n, y in (("cold", 600), ("hot", 800)))
    back = Drain("back-drain", (2_500, DEPTH, 0)), Receptacle("back-outlet", (2_600, DEPTH - 60, 900))
    dwellings = tuple(
        Dwelling(
            name, ("left",), water_lines=(c.id, h.id), drains=(f"{at}-drain",), receptacles=(f"{at}-outlet",)
        )
        for name, at, c, h in zip(("one", "two"), ("left", "back"), cold, hot, strict=True)
    )  # fmt: skip
    items, key = survey.prices.items, "water.wall_crossing"
    if hole_cents is not None:
        items = {**items, key: replace(items[key], cents=hole_cents)}
    return replace(
        survey, water=WaterSupply(cold, hot), dwellings=dwellings, drains=(*survey.drains, back[0]),
        receptacles=(*survey.receptacles, back[1]), prices=replace(survey.prices, items=items),
        gas=replace(gas, nodes=gas.nodes[:3], segments=gas.segments[:2], method=GasMethod.BRANCH_TABLES),
    )  # fmt: skip


def _behind(name: str, y: int) -> WaterLine:
    at = WIDTH + WALL
    return WaterLine(name, ((at, y, 300), (at, y, 1_500)), "3/4", "copper")
