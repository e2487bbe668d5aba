"""Small invented houses by seed: rooms in a row, one or two storeys, openings, keep-outs. All invented."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import pairwise
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
from tests.property import house_services

GROUND_USES = (
    RoomUse.UTILITY, RoomUse.LAUNDRY, RoomUse.KITCHEN, RoomUse.HALL, RoomUse.GARAGE, RoomUse.LIVING, RoomUse.BEDROOM,
    RoomUse.MECHANICAL, RoomUse.BATHROOM,
)  # fmt: skip
UPPER_USES = (RoomUse.BEDROOM, RoomUse.HALL, RoomUse.OFFICE, RoomUse.BATHROOM, RoomUse.LAUNDRY)
BARE = (RoomUse.GARAGE, RoomUse.MECHANICAL, RoomUse.BASEMENT)


@dataclass(frozen=True)
class Cell:
    """Rectangle in plan, from (x0, y0) to (x1, y1) [mm]."""

    x0: int
    y0: int
    x1: int
    y1: int

    @property
    def outline(self) -> tuple[Point2, ...]:
        """Counter-clockwise outline."""
        return (self.x0, self.y0), (self.x1, self.y0), (self.x1, self.y1), (self.x0, self.y1)


@cache
def house(seed: int) -> Survey:
    """A whole survey of one to four rooms; the same for the same seed."""
    r = Random(seed)
    cells, gaps = _row(r)
    storeys = [_storey(r, "ground", cells, gaps, *_heights(r, 0), GROUND_USES)]
    if r.random() < 0.3:
        floor = storeys[0].ceiling_z_mm + r.choice((220, 300))
        upper = [_narrowed(r, cells[r.randrange(len(cells))])]
        storeys.append(_storey(r, "upper", upper, [], *_heights(r, floor), UPPER_USES))
    return house_services.with_services(r, f"invented house {seed}", tuple(storeys))


def _row(r: Random) -> tuple[list[Cell], list[int]]:
    """One to three rooms side by side, their south walls not always in line; gaps are inner walls' thicknesses."""
    count, x = r.choice((1, 1, 2, 2, 2, 3)), 0
    cells, gaps = [], []
    y = 0
    for i in range(count):
        width, depth = r.randint(2000, 4200), r.randint(2300, 4000)
        cells.append(Cell(x, y, x + width, y + depth))
        if i + 1 < count:
            gaps.append(r.choice((100, 115, 140)))
            x += width + gaps[-1]
            y += r.choice((0, 0, r.randint(-900, 900)))
    return cells, gaps


def _heights(r: Random, floor: int) -> tuple[int, int]:
    return floor, floor + r.choice((2400, 2440, 2600))


def _narrowed(r: Random, cell: Cell) -> Cell:
    """A cell that stands over this one, its walls in line or drawn in."""
    drawn = r.choice((0, 0, 300))
    return Cell(cell.x0, cell.y0, cell.x1 - drawn, cell.y1 - drawn)


def _storey(
    r: Random, name: str, cells: list[Cell], gaps: list[int], floor: int, ceiling: int, uses: tuple[RoomUse, ...]
) -> Storey:
    rooms = tuple(_room(r, f"{name}-{i}", c, floor, ceiling, uses) for i, c in enumerate(cells))
    openings = [*_doors_between(r, name, cells, gaps, floor), *_outside(r, name, cells, floor)]
    walls = tuple(_wall(r, f"{name}-wall-{i}", c) for i, c in enumerate(cells) if r.random() < 0.3)
    keep_outs = tuple(_keep_out(r, f"{name}-thing-{i}", c, floor, ceiling) for i, c in enumerate(cells))
    kept = tuple(k for k in keep_outs if r.random() < 0.5)
    return Storey(name, floor, ceiling, rooms, tuple(openings), walls, kept)


def _room(r: Random, room_id: str, cell: Cell, floor: int, ceiling: int, uses: tuple[RoomUse, ...]) -> Room:
    use = r.choice(uses)
    return Room(room_id, use, cell.outline, use not in BARE and r.random() < 0.75, floor, ceiling)


def _wall(r: Random, wall_id: str, cell: Cell) -> Wall:
    """The south wall, its thickness given."""
    return Wall(wall_id, (cell.x0, cell.y0), (cell.x1, cell.y0), WallKind.EXTERIOR, r.choice((150, 240, 300)))


def _doors_between(r: Random, name: str, cells: list[Cell], gaps: list[int], floor: int) -> list[Opening]:
    out = []
    for i, (a, b) in enumerate(pairwise(cells)):
        low, high = max(a.y0, b.y0), min(a.y1, b.y1)
        if high - low > 1100 and r.random() < 0.7:
            y = r.randint(low + 100, high - 900)
            x = a.x1 + gaps[i] // 2
            out.append(_opening(f"{name}-door-{i}", OpeningKind.DOOR, (x, y), (x, y + 800), floor, floor + 2030, None))
    return out


def _outside(r: Random, name: str, cells: list[Cell], floor: int) -> list[Opening]:
    """A window or a door in most south and north walls, and in the outer ends of the row."""
    sides = [(f"{i}{k}", c.x0, c.x1, y) for i, c in enumerate(cells) for k, y in (("s", c.y0), ("n", c.y1))]
    out = [_along_x(r, f"{name}-{k}", x0, x1, y, floor) for k, x0, x1, y in sides if r.random() < 0.55]
    if r.random() < 0.5:
        c = cells[0]
        y, operable = r.randint(c.y0 + 150, c.y1 - 1100), r.choice((True, None))
        ends = (c.x0, y + 900), (c.x0, y)
        out.append(_opening(f"{name}-w", OpeningKind.WINDOW, *ends, floor + 900, floor + 2000, operable))
    return out


def _along_x(r: Random, name: str, x0: int, x1: int, y: int, floor: int) -> Opening:
    width = r.choice((600, 800, 900))
    x = r.randint(x0 + 100, x1 - width - 100)
    if floor == 0 and r.random() < 0.25:
        swings = r.choice((True, False, None))
        return _opening(name, OpeningKind.DOOR, (x, y), (x + width, y), floor, floor + 2050, True, swings)
    sill = floor + r.choice((500, 900, 1200))
    operable = r.choice((True, False, None))
    return _opening(name, OpeningKind.WINDOW, (x, y), (x + width, y), sill, sill + r.choice((600, 900)), operable)


def _opening(
    name: str, kind: OpeningKind, start: Point2, end: Point2, sill: int, head: int, operable: bool | None,
    swings: bool | None = None,
) -> Opening:  # fmt: skip
    return Opening(name, kind, start, end, sill, head, operable, swings)


def _keep_out(r: Random, name: str, cell: Cell, floor: int, ceiling: int) -> KeepOut:
    """A cupboard at the north wall, a duct under the ceiling along the south wall, or a post in the room."""
    what = r.randrange(3)
    if what == 0:
        x, width = r.randint(cell.x0, cell.x1 - 700), r.randint(300, 700)
        gap = r.choice((0, 0, 30, 80))
        box = Cell(x, cell.y1 - gap - 400, x + width, cell.y1 - gap)
        return KeepOut(name, KeepOutKind.CUPBOARD, box.outline, floor, floor + r.choice((900, 2000)))
    if what == 1:
        box = Cell(cell.x0, cell.y0 + r.choice((0, 200)), cell.x1 - r.choice((0, 800)), cell.y0 + 500)
        return KeepOut(name, KeepOutKind.DUCT, box.outline, ceiling - 300, ceiling)
    x, y = r.randint(cell.x0 + 200, cell.x1 - 500), r.randint(cell.y0 + 200, cell.y1 - 500)
    return KeepOut(name, KeepOutKind.OTHER, Cell(x, y, x + 250, y + 250).outline, floor, ceiling)
