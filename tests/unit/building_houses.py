"""Small invented houses for the tests of the building step, and ways to turn and shuffle them."""

from __future__ import annotations

from dataclasses import replace
from itertools import accumulate, pairwise
from math import cos, radians, sin
from random import Random

from service.survey.model import (
    KeepOut,
    KeepOutKind,
    Opening,
    OpeningKind,
    Point2,
    Room,
    RoomUse,
    Storey,
    Survey,
    Wall,
    WallKind,
)
from tests.unit.open_plans import plain_site, with_services


def box(x0: int, y0: int, x1: int, y1: int) -> tuple[Point2, ...]:
    """Rectangle as a counter-clockwise outline [mm]."""
    return (x0, y0), (x1, y0), (x1, y1), (x0, y1)


def room(room_id: str, outline: tuple[Point2, ...], z0: int = 0, z1: int = 2500) -> Room:
    """A finished room of unknown use."""
    return Room(room_id, RoomUse.UNKNOWN, outline, True, z0, z1)


def window(opening_id: str, start: Point2, end: Point2, sill: int = 900, head: int = 2100) -> Opening:
    """A window of which nobody knows whether it opens."""
    return Opening(opening_id, OpeningKind.WINDOW, start, end, sill, head)


def storey(
    *rooms: Room, name: str = "ground", openings: tuple[Opening, ...] = (), walls: tuple[Wall, ...] = ()
) -> Storey:
    """Storey that reaches from its lowest floor to its highest ceiling."""
    z0, z1 = min(r.floor_z_mm for r in rooms), max(r.ceiling_z_mm for r in rooms)
    return Storey(name, z0, z1, rooms, openings, walls)


def party(wall_id: str, start: Point2, end: Point2, thickness: int = 240) -> Wall:
    """A party wall."""
    return Wall(wall_id, start, end, WallKind.PARTY, thickness)


def house(*storeys: Storey, grade: int = -150) -> Survey:
    """A survey of these storeys on level ground."""
    return replace(with_services("invented", storeys), site=plain_site(grade))


def turned(survey: Survey, degrees: float) -> Survey:
    """The same rooms, walls, openings and keep-outs on a plan turned about its origin."""
    quarter = round(degrees / 90) if degrees % 90 == 0 else None
    exact = [(1, 0), (0, 1), (-1, 0), (0, -1)]
    c, s = exact[quarter % 4] if quarter is not None else (cos(radians(degrees)), sin(radians(degrees)))

    def point(p: Point2) -> Point2:
        return round(c * p[0] - s * p[1]), round(s * p[0] + c * p[1])

    def outline(points: tuple[Point2, ...]) -> tuple[Point2, ...]:
        return tuple(point(p) for p in points)

    def turn(st: Storey) -> Storey:
        return replace(
            st,
            rooms=tuple(replace(r, outline=outline(r.outline)) for r in st.rooms),
            openings=tuple(replace(o, start=point(o.start), end=point(o.end)) for o in st.openings),
            walls=tuple(replace(w, start=point(w.start), end=point(w.end)) for w in st.walls),
            keep_outs=tuple(replace(k, outline=outline(k.outline)) for k in st.keep_outs),
        )

    grades = tuple(replace(g, start=point(g.start), end=point(g.end)) for g in survey.site.grades)
    site = replace(survey.site, grades=grades)
    return replace(survey, site=site, storeys=tuple(turn(st) for st in survey.storeys))


def shuffled(survey: Survey) -> Survey:
    """The same survey with every list in reverse and every outline started at another corner."""

    def other_way(st: Storey) -> Storey:
        rooms = tuple(replace(r, outline=r.outline[1:] + r.outline[:1]) for r in st.rooms[::-1])
        return replace(st, rooms=rooms, openings=st.openings[::-1], walls=st.walls[::-1], keep_outs=st.keep_outs[::-1])

    return replace(survey, storeys=tuple(other_way(st) for st in survey.storeys[::-1]))


L_SHAPE = ((0, 0), (6000, 0), (6000, 3000), (3000, 3000), (3000, 6000), (0, 6000))
BAY = ((0, 0), (1000, 0), (2000, -1000), (3000, -1000), (4000, 0), (5000, 0), (5000, 4000), (0, 4000))


def two_storey_house() -> Survey:
    """Two rooms below, one above half of them, a garage beside, a bay, windows and a duct."""
    low = storey(
        room("hall", BAY),
        room("kitchen", box(0, 4100, 5000, 7000)),
        room("garage", box(5100, 0, 8300, 7000), z0=-100),
        openings=(
            window("bay window", (2200, -1000), (2800, -1000)),
            window("kitchen window", (2200, 7000), (1000, 7000)),
            window("inner door", (1000, 4050), (1900, 4050), 0, 2000),
            window("garage window", (8300, 2000), (8300, 3000)),
        ),
    )
    high = storey(
        room("bedroom", box(0, 0, 5000, 7000), z0=2800, z1=5300),
        name="upper",
        openings=(window("bedroom window", (5000, 3000), (5000, 4500), 3700, 4900),),
    )
    duct = KeepOut("duct", KeepOutKind.DUCT, box(4500, 3500, 5000, 4000), 0, 2500)
    return house(replace(low, keep_outs=(duct,)), high)


def grid_house(seed: int) -> Survey:
    """Up to three storeys of rooms on an uneven grid with some left out: courts, overhangs, split levels."""
    r = Random(seed)
    gap = r.choice([0, 100, 120, 200, 350])
    xs = list(accumulate((r.randint(900, 5000) for _ in range(r.randint(1, 4))), initial=0))
    ys = list(accumulate((r.randint(900, 5000) for _ in range(r.randint(1, 4))), initial=0))
    cells = [(a, c, b - gap, d - gap) for a, b in pairwise(xs) for c, d in pairwise(ys)]
    storeys = []
    for k in range(r.randint(1, 3)):
        kept = [c for c in cells if r.random() < 0.75] or cells[:1]
        floors = [k * 2800 + r.choice([0, 0, 0, 13, -400]) for _ in kept]
        tops = [k * 2800 + r.choice([2500, 2500, 2400, 5300]) for _ in kept]
        rooms = (room(f"{k}-{i}", box(*c), floors[i], tops[i]) for i, c in enumerate(kept))
        storeys.append(storey(*rooms, name=f"storey {k}"))
    return house(*storeys)
