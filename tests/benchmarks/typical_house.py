"""The typical house of the benchmarks as a survey document, by seed. Everything in it is invented.

A basement and two storeys, about 14 m by 11 m, 13 rooms, 25 outer openings, a gas tree of 16 nodes,
the twelve heaters of the catalogue that burn natural gas. Measures here are whole millimetres; the
document speaks metres and kilowatts.
"""

from __future__ import annotations

import random
from itertools import pairwise
from typing import Any

from tests.benchmarks.typical_services import services

Document = dict[str, Any]
Box = tuple[int, int, int, int]
"""x0, y0, x1, y1 [mm]."""

GRADE_MM = -750
STOREYS = {"basement": (-2450, -230), "ground": (0, 2500), "upper": (2800, 5220)}
OUTER_OPENINGS = {"basement": 4, "ground": 11, "upper": 10}
ALL_OUTER_OPENINGS = sum(OUTER_OPENINGS.values())
SLOT_MM = 1900
"""Length of outer wall that one opening asks for."""


def document(seed: int) -> Document:
    """Survey of the house of one seed, ready to be sent."""
    rng = random.Random(seed)
    width, depth = _about(rng, 14000, 500), _about(rng, 11000, 400)
    rooms = {"basement": _basement(rng, width, depth), "ground": _ground(rng, width, depth)}
    rooms["upper"] = _upper(rng, width, depth)
    return {
        "name": f"Typical house {seed} (invented)",
        "units": "si",
        "site": _site(rng, width, depth),
        "storeys": [_storey(rng, name, rooms[name], (width, depth)) for name in STOREYS],
        **services(rng, rooms, width, depth),
        "prices": {"book": "demo"},
    }


def metres(value: int) -> float:
    """Millimetres as the document's metres."""
    return value / 1000


def _about(rng: random.Random, middle: int, spread: int) -> int:
    """Some whole centimetres near a middle [mm]."""
    return round(rng.randint(middle - spread, middle + spread), -1)


def _basement(rng: random.Random, w: int, d: int) -> dict[str, Box]:
    x, y = _about(rng, w * 2 // 5, 700), _about(rng, d // 2, 600)
    return {"mechanical": (0, 0, x, y), "laundry": (0, y, x, d), "cellar": (x, 0, w, d)}


def _ground(rng: random.Random, w: int, d: int) -> dict[str, Box]:
    front, back = _about(rng, d * 2 // 5, 400), _about(rng, d * 3 // 5, 300)
    x_front, x_back = _about(rng, w * 3 // 5, 900), _about(rng, w // 2, 900)
    return {
        "living": (0, 0, x_front, front),
        "office": (x_front, 0, w, front),
        "hall": (0, front, w, back),
        "kitchen": (0, back, x_back, d),
        "toilet": (x_back, back, w, d),
    }


def _upper(rng: random.Random, w: int, d: int) -> dict[str, Box]:
    front, back = _about(rng, d * 2 // 5, 300), _about(rng, d * 11 // 20, 200)
    x_front, x_back = _about(rng, w // 2, 900), _about(rng, w * 3 // 5, 900)
    return {
        "bedroom-west": (0, 0, x_front, front),
        "bedroom-east": (x_front, 0, w, front),
        "landing": (0, front, w, back),
        "bedroom-north": (0, back, x_back, d),
        "bath": (x_back, back, w, d),
    }


USES = {
    "mechanical": "mechanical", "laundry": "laundry", "cellar": "basement", "living": "living", "office": "office",
    "hall": "hall", "kitchen": "kitchen", "toilet": "toilet", "landing": "hall", "bath": "bathroom",
    "bedroom-west": "bedroom", "bedroom-east": "bedroom", "bedroom-north": "bedroom",
}  # fmt: skip
CENTRE = {"basement": "cellar", "ground": "hall", "upper": "landing"}
"""The room of each storey that the others open into."""


def _storey(rng: random.Random, name: str, rooms: dict[str, Box], size: tuple[int, int]) -> Document:
    floor, ceiling = STOREYS[name]
    outer = _outer_openings(rng, name, rooms, size)
    return {
        "id": name,
        "floor": metres(floor),
        "ceiling": metres(ceiling),
        "rooms": [
            {"id": room, "use": USES[room], "outline": outline(box), "finished": name != "basement"}
            for room, box in rooms.items()
        ],
        "openings": [*outer, *_inner_doors(rng, rooms, CENTRE[name])],
        "keep_outs": _keep_outs(rng, name, rooms, ceiling - floor),
    }


def outline(box: Box) -> list[list[float]]:
    """Corners of a box, counter-clockwise [m]."""
    x0, y0, x1, y1 = map(metres, box)
    return [[x0, y0], [x1, y0], [x1, y1], [x0, y1]]


def _outer_openings(rng: random.Random, storey: str, rooms: dict[str, Box], size: tuple[int, int]) -> list[Document]:
    """The storey's share of windows and doors, each in a slot of its own."""
    slots = [slot for box in rooms.values() for slot in _slots(box, size)]
    chosen = rng.sample(slots, OUTER_OPENINGS[storey])
    return [_outer_opening(rng, storey, i, slot) for i, slot in enumerate(chosen)]


def _slots(box: Box, size: tuple[int, int]) -> list[tuple[int, int, int, int]]:
    """(axis, place of the wall, from, to) of the stretches of outer wall of one room [mm]."""
    walls = [(0, box[1], size[1], box[0], box[2]), (0, box[3], size[1], box[0], box[2])]
    walls += [(1, box[0], size[0], box[1], box[3]), (1, box[2], size[0], box[1], box[3])]
    out = []
    for axis, at, far, lo, hi in walls:
        cuts = [lo + (hi - lo) * k // n for n in [(hi - lo) // SLOT_MM] if n for k in range(n + 1)]
        out += [(axis, at, a, b) for a, b in pairwise(cuts) if at in (0, far)]
    return out


def _outer_opening(rng: random.Random, storey: str, number: int, slot: tuple[int, int, int, int]) -> Document:
    axis, at, lo, hi = slot
    door = storey == "ground" and number < 2
    width = _about(rng, 900, 20) if door else _about(rng, 700 if storey == "basement" else 1100, 250)
    start = _about(rng, (lo + hi - width) // 2, 150)
    sill, head = _sill_and_head(rng, storey, door)
    ends = [[metres(v), metres(at)] if axis == 0 else [metres(at), metres(v)] for v in (start, start + width)]
    kind = {"kind": "door", "swings_out": False} if door else {"kind": "window"}
    return {
        "id": f"{storey}-{kind['kind']}-{number}", **kind, "from": ends[0], "to": ends[1], "sill": metres(sill),
        "head": metres(head), "operable": door or rng.random() < 0.7,
    }  # fmt: skip


def _sill_and_head(rng: random.Random, storey: str, door: bool) -> tuple[int, int]:
    if storey == "basement":
        return 1790, 2140
    return (0, 2050) if door else (_about(rng, 900, 150), 2100)


def _inner_doors(rng: random.Random, rooms: dict[str, Box], centre: str) -> list[Document]:
    """A door of each room into the storey's centre."""
    hub = rooms[centre]
    out = []
    for name, box in rooms.items():
        if name == centre:
            continue
        if box[1] == hub[3] or box[3] == hub[1]:
            y, lo, hi = box[1] if box[1] == hub[3] else box[3], max(box[0], hub[0]), min(box[2], hub[2])
            start = _about(rng, (lo + hi - 800) // 2, 300)
            ends = [[metres(start), metres(y)], [metres(start + 800), metres(y)]]
        else:
            x, lo, hi = box[2], max(box[1], hub[1]), min(box[3], hub[3])
            start = _about(rng, (lo + hi - 800) // 2, 300)
            ends = [[metres(x), metres(start)], [metres(x), metres(start + 800)]]
        out.append({"id": f"door-{name}", "kind": "door", "from": ends[0], "to": ends[1], "sill": 0, "head": 2.0})
    return out


def _keep_outs(rng: random.Random, storey: str, rooms: dict[str, Box], height: int) -> list[Document]:
    """Cupboards, stair, ducts: things against walls or under the ceiling."""
    if storey == "basement":
        (_, _, x, y), cellar = rooms["mechanical"], rooms["cellar"]
        return [
            _keep_out("furnace", "fixture", (x - 1300, y - 1400, x - 600, y - 650), 0, 1700),
            _keep_out("old-tank", "fixture", (150, 600, 750, 1200), 0, 1500),
            _keep_out("duct", "duct", (x - 600, 1500, cellar[2] - 2500, 2100), height - 350, height),
            _keep_out("beam", "beam", (x + 2000, 0, x + 2200, cellar[3]), height - 250, height),
            _keep_out("shelves", "cupboard", (cellar[2] - 500, 1000, cellar[2], _about(rng, 4500, 900)), 0, 1900),
            _keep_out("washer", "fixture", (0, rooms["laundry"][1] + 900, 650, rooms["laundry"][1] + 2250), 0, 950),
        ]
    if storey == "ground":
        kitchen, hall, toilet = rooms["kitchen"], rooms["hall"], rooms["toilet"]
        run = _about(rng, kitchen[2] * 3 // 4, 400)
        return [
            _keep_out("base-units", "cupboard", (kitchen[0], kitchen[3] - 600, run, kitchen[3]), 0, 880),
            _keep_out("tall-units", "cupboard", (kitchen[0], kitchen[1], 600, kitchen[1] + 1800), 0, 2200),
            _keep_out("stair", "stair", (3000, hall[3] - 950, 6200, hall[3]), 0, 2200),
            _keep_out("coats", "cupboard", (hall[2] - 600, hall[1], hall[2], hall[1] + 700), 0, 2000),
            _keep_out("vanity", "fixture", (toilet[2] - 450, toilet[1] + 500, toilet[2], toilet[1] + 1100), 0, 850),
            _keep_out("hearth", "chimney", (1800, 0, 3000, 450), 0, height),
        ]
    bath, west, east = rooms["bath"], rooms["bedroom-west"], rooms["bedroom-east"]
    return [
        _keep_out("tub", "fixture", (bath[2] - 750, bath[1] + 300, bath[2], bath[1] + 2000), 0, 600),
        _keep_out("linen", "cupboard", (bath[0], bath[3] - 900, bath[0] + 500, bath[3]), 0, 2100),
        _keep_out("wardrobe-west", "cupboard", (0, west[3] - 600, _about(rng, 2400, 500), west[3]), 0, 2300),
        _keep_out("wardrobe-east", "cupboard", (east[0], 400, east[0] + 600, _about(rng, 2400, 500)), 0, 2300),
    ]


def _keep_out(name: str, kind: str, box: Box, base: int, top: int) -> Document:
    return {"id": name, "kind": kind, "outline": outline(box), "base": metres(base), "top": metres(top)}


def _site(rng: random.Random, w: int, d: int) -> Document:
    x_inlet = _about(rng, w * 3 // 4, 900)
    gap = _about(rng, 2600, 900)
    return {
        "rule_set": "us-2021", "fuel": "natural_gas", "altitude": rng.randint(50, 600),
        "snow_depth": metres(_about(rng, 250, 150)), "winter_design_temperature": -rng.randint(5, 20),
        "grade": metres(GRADE_MM),
        "lot_lines": [
            {"id": "lot-west", "start": [metres(-gap), -8.0], "end": [metres(-gap), 20.0]},
            {"id": "lot-east", "start": [metres(w + 4000), -8.0], "end": [metres(w + 4000), 20.0]},
        ],
        "ways": [
            {"id": "sidewalk", "kind": "public_walkway", "outline": outline((-6000, -9500, 20000, -8000))},
            {"id": "path", "kind": "private_walkway", "outline": outline((6000, -8000, 7200, 0))},
        ],
        "decks": [
            {"id": "deck", "outline": outline((1500, d, 5500, d + 3000)), "underside": -0.35, "top": -0.15,
             "open_sides": 3}
        ],
        "air_inlets": [
            {"id": "fresh-air", "kind": "forced", "at": [metres(x_inlet), metres(d)], "width": 0.3, "bottom": 2.45,
             "top": 2.7}
        ],
        "regulators": [{"id": "service-regulator", "at": [0, 0.9, 0.05], "inlet_pressure": 10, "with_meter": True}],
    }  # fmt: skip
