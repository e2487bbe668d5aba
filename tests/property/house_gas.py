"""Invented gas systems for the generated houses: trees along walls and ceilings, sound and less so. All invented."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from random import Random

from service.survey.model import (
    Appliance,
    GasFittings,
    GasMaterial,
    GasMethod,
    GasNode,
    GasSegment,
    GasSupply,
    LineRegulator,
    Point3,
    PressureOption,
    Room,
)

WC_PA, PSI_PA = 249.08891, 6894.757293168361
SUPPLY_PA, DROP_PA = 1744.0, 124.5
STEEL = GasMaterial.STEEL.value
UNKNOWN = "galvanised, no standard"
METHODS = (GasMethod.LONGEST_TABLES, *GasMethod)
"""The default counts twice."""
STYLES: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "ample": (("1-1/4", "1-1/2"), ("3/4", "1")),
    "narrow trunk": (("1/2", "3/4", "3/4"), ("3/4", "1")),
    "slim": (("3/4", "3/4", "1"), ("1/2", "1/2", "3/4")),
    "mixed": (("1/2", "3/4", "1", "1-1/4"), ("3/8", "1/2", "3/4", "1")),
    "usual": (("1", "1", "1-1/4"), ("1/2", "3/4")),
}
"""Sizes of pipes that others hang on, and of those that end."""
OTHERS = {
    GasMaterial.CSST.value: ("18", "23", "25", "31", "37"),
    GasMaterial.COPPER_L.value: ("1/2", "5/8", "3/4", "1"),
}
PRESSURES = (
    PressureOption("10 in", 10 * WC_PA, 3 * WC_PA),
    PressureOption("10 in, piping regulated", 10 * WC_PA, 3 * WC_PA, 7 * WC_PA, 0.5 * WC_PA),
    PressureOption("2 psi", 2 * PSI_PA, PSI_PA, 7 * WC_PA),
    PressureOption("2 psi, more drop", 2 * PSI_PA, PSI_PA, 8 * WC_PA, 1.5 * WC_PA),
)
NARROWEST_MM = 250


@dataclass(frozen=True)
class Box:
    """Where the pipes of one room may run: bounds in plan, the line along the south wall, floor and ceiling [mm]."""

    room: Room
    x0: int
    x1: int
    y1: int
    south: int
    floor: int
    ceiling: int


@dataclass
class _Tree:
    """Nodes and segments grown so far; every node knows the room whose walls it may follow."""

    r: Random
    boxes: list[Box]
    at: dict[str, tuple[Point3, Box]] = field(default_factory=dict)
    pipes: list[tuple[str, str, int]] = field(default_factory=list)

    def grow(self, count: int) -> None:
        """Hang ``count`` more pipes on what is there, mostly on the newest nodes."""
        for _ in range(20 * count):
            if count > 0 and self._hang(self.r.choice(list(self.at)[-4:])):
                count -= 1

    def _hang(self, start: str) -> bool:
        here, box = self.at[start]
        way = self.r.choice(("along", "along", "along", "up", "ceiling", "north", "hop"))
        there, beyond = self._moved(way, here, box)
        taken = [p for p, _ in self.at.values()]
        if there in taken or sum(abs(a - b) for a, b in zip(here, there, strict=True)) < NARROWEST_MM:
            return False
        self.join(start, f"n{len(self.at)}", there, beyond)
        return True

    def join(self, start: str, end: str, there: Point3, box: Box) -> None:
        """Lay a pipe from a node to a new one."""
        here = self.at[start][0]
        straight = sum(abs(a - b) for a, b in zip(here, there, strict=True))
        self.at[end] = there, box
        self.pipes.append((start, end, max(straight + self.r.choice((0, 0, 0, self.r.randint(20, 900))), 100)))

    def _moved(self, way: str, here: Point3, box: Box) -> tuple[Point3, Box]:
        """The end of a pipe along x, up or down the south wall, north under the ceiling, or in another room."""
        x, y, z = here
        r, inside = self.r, y >= box.south
        if way == "along" and inside:
            return (min(max(x + r.choice((-1, 1)) * r.randint(400, 2200), box.x0), box.x1), y, z), box
        if way == "up" and y == box.south:
            return (x, y, r.randint(box.floor + 150, box.ceiling - 50)), box
        if way == "ceiling" and y == box.south:
            return (x, y, box.ceiling), box
        if way == "north" and z == box.ceiling and inside:
            return (x, min(y + r.randint(400, 1800), box.y1), z), box
        if way == "hop" and len(self.boxes) > 1:
            other = r.choice([b for b in self.boxes if b is not box])
            there = r.randint(other.x0, other.x1), other.south, r.randint(other.floor + 150, other.ceiling - 50)
            return (there, other) if x != there[0] and z != there[2] else (here, box)
        return here, box


def gas_of(r: Random, rooms: tuple[Room, ...]) -> GasSupply:
    """A meter at the south wall of a room, and three to eight pipes."""
    tree = _tree(r, rooms)
    appliances = _appliances(r, tree)
    supply = GasSupply(
        delivery_node="meter",
        pressure_pa=SUPPLY_PA,
        meter_capacity_w=sum(a.input_w for a in appliances) + r.choice((0.0, 20_000.0, 40_000.0, 80_000.0)),
        allowable_drop_pa=DROP_PA,
        nodes=tuple(GasNode(n, p) for n, (p, _) in tree.at.items()),
        segments=_segments(r, tree),
        appliances=appliances,
        free_outlets=tuple(n for n in _leaves(tree) if r.random() < 0.1),
        method=r.choice(METHODS),
        fittings=r.choice((GasFittings.COUNTED, GasFittings.COUNTED, GasFittings.ALLOWANCE)),
        diversity=0.75 if r.random() < 0.12 else None,
        branch_materials=r.choice(((STEEL,), (STEEL,), (STEEL, GasMaterial.CSST.value))),
        pressure_options=tuple(o for o in PRESSURES if r.random() < 0.18),
        service_regulator_w=r.choice((None, None, 60_000.0, 150_000.0)),
    )
    return _hybrid(r, supply) if r.random() < 0.1 else supply


def _tree(r: Random, rooms: tuple[Room, ...]) -> _Tree:
    off = r.choice((0, 0, 0, 60))
    boxes = [_box(room, off) for room in rooms]
    box = r.choice(boxes)
    tree = _Tree(r, boxes)
    entry = r.randint(box.x0, box.x1), box.south, box.floor + r.choice((500, 1100))
    if r.random() < 0.4:
        tree.at["meter"] = (entry[0], box.south - off - 350, entry[2]), box
        tree.join("meter", "tee", (entry[0], box.south, entry[2] + 15 * (off > 0)), box)
    else:
        tree.at["meter"] = entry, box
    tree.grow(r.randint(3, 8) - len(tree.pipes))
    return tree


def _box(room: Room, off: int) -> Box:
    xs, ys = zip(*room.outline, strict=True)
    ceiling = room.ceiling_z_mm
    return Box(room, min(xs) + 100, max(xs) - 100, max(ys) - 100, min(ys) + off, room.floor_z_mm, ceiling)


def _leaves(tree: _Tree) -> list[str]:
    starts = {a for a, _, _ in tree.pipes}
    return [b for _, b, _ in tree.pipes if b not in starts]


def _segments(r: Random, tree: _Tree) -> tuple[GasSegment, ...]:
    trunk, ends = STYLES[r.choice(sorted(STYLES))]
    leaves, counted = _leaves(tree), r.random() < 0.15
    return tuple(
        _segment(r, GasSegment(f"pipe {i}", a, b, STEEL, r.choice(ends if b in leaves else trunk), mm), counted)
        for i, (a, b, mm) in enumerate(tree.pipes)
    )


def _segment(r: Random, steel: GasSegment, counted: bool) -> GasSegment:
    """Of steel as given, or of another material or size; some behind plaster, some not to be touched."""
    kind = r.choices(("steel", *OTHERS, UNKNOWN, "new"), (30, 5, 3, 2, 2))[0]
    found = replace(steel, finished=r.random() < 0.3, fixed=kind not in ("new", UNKNOWN) and r.random() < 0.07)
    if counted:
        found = replace(found, elbows=r.choice((0, 1, 3, 6)), tees=r.choice((None, 0, 1)))
    if kind in OTHERS:
        return replace(found, material=kind, size=r.choice(OTHERS[kind]))
    return replace(found, size=None) if kind == "new" else replace(found, material=STEEL if kind == "steel" else kind)


def _appliances(r: Random, tree: _Tree) -> tuple[Appliance, ...]:
    """On most of the ends, on some joints; at least one."""
    leaves = _leaves(tree)
    nodes = [n for n in tree.at if r.random() < (0.7 if n in leaves else 0.08)] or leaves[:1]
    return tuple(_appliance(r, i, n, tree.at[n][1].room.id) for i, n in enumerate(nodes))


def _appliance(r: Random, i: int, node: str, room: str) -> Appliance:
    least, most = r.choice((*[(None, None)] * 3, (4 * WC_PA, 10.5 * WC_PA), (5 * WC_PA, 8 * WC_PA)))
    watts = r.choice((5_000.0, 10_000.0, 16_000.0, 25_000.0))
    where = room if r.random() < 0.9 else None
    return Appliance(f"appliance {i}", "other", watts, r.choice((True, True, None)), where, node, least, most)


def _capacity_w(supply: GasSupply) -> float | None:
    """What an old line regulator passes, if anybody read it; drawn apart, so that houses stay as they were."""
    return Random(round(supply.meter_capacity_w)).choice((None, 60_000.0, 200_000.0, 200_000.0))


def _hybrid(r: Random, supply: GasSupply) -> GasSupply:
    """The same piping at 2 psi, with a line regulator at the delivery or at the end of its one pipe."""
    first = [s.end for s in supply.segments if s.start == supply.delivery_node]
    nodes = [supply.delivery_node, *(first if len(first) == 1 else [])]
    at = nodes[-1] if r.random() < 0.7 else nodes[0]
    ahead = [i for i, s in enumerate(supply.segments) if s.start == at and r.random() < 0.2]
    segments = tuple(replace(s, before_regulator=i in ahead[:1]) for i, s in enumerate(supply.segments))
    regulator = LineRegulator(at, SUPPLY_PA, DROP_PA, _capacity_w(supply), r.choice((None, 250.0)))
    return replace(
        supply, pressure_pa=2 * PSI_PA, allowable_drop_pa=PSI_PA, regulators=(regulator,), segments=segments,
        pressure_options=(),
    )  # fmt: skip
