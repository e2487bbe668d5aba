"""Gas, water, drains and outlets of the typical house. Whole millimetres in, a part of the document out."""

from __future__ import annotations

import random
from typing import Any

Document = dict[str, Any]
Box = tuple[int, int, int, int]

TRUNK_Z_MM = -280
"""Height of the pipes under the basement's ceiling."""
COLD_Z_MM, HOT_Z_MM = -330, -380
GROUND_TAP_MM = 600
"""Height of a tap on the ground floor."""


def services(rng: random.Random, rooms: dict[str, dict[str, Box]], w: int, d: int) -> Document:
    """Gas, water, drains and outlets."""
    return {
        "gas": _gas(rng, rooms, w),
        "water": _water(rng, rooms, d),
        "drains": _drains(rng, rooms),
        "receptacles": _receptacles(rng, rooms, w),
    }


def _at(x: int, y: int, z: int) -> list[float]:
    return [x / 1000, y / 1000, z / 1000]


def _gas(rng: random.Random, rooms: dict[str, dict[str, Box]], w: int) -> Document:
    """A tree of 16 nodes: meter, trunk under the basement ceiling with four tees, six ends."""
    basement, kitchen = rooms["basement"], rooms["ground"]["kitchen"]
    _, _, x, y = basement["mechanical"]
    trunk_y, tee_x = rng.randrange(1500, 2300, 10), rng.randrange(x + 700, x + 1600, 10)
    range_x, dryer_y = rng.randrange(1500, 3500, 10), y + rng.randrange(900, 2500, 10)
    at = {
        "meter": (-250, trunk_y, -100), "entry": (0, trunk_y, TRUNK_Z_MM), "tee-tank": (800, trunk_y, TRUNK_Z_MM),
        "tank-stub": (800, trunk_y, -1400), "tee-furnace": (x - 950, trunk_y, TRUNK_Z_MM),
        "furnace-corner": (x - 950, y - 1500, TRUNK_Z_MM), "furnace-tap": (x - 950, y - 1500, -1900),
        "tee-east": (tee_x, trunk_y, TRUNK_Z_MM), "hearth-corner": (tee_x, 300, TRUNK_Z_MM),
        "hearth-tap": (tee_x, 300, 200), "tee-north": (tee_x, dryer_y, TRUNK_Z_MM),
        "dryer-tap": (600, dryer_y, TRUNK_Z_MM), "range-corner": (tee_x, kitchen[1] + 300, TRUNK_Z_MM),
        "range-riser": (range_x, kitchen[1] + 300, TRUNK_Z_MM), "range-tap": (range_x, kitchen[1] + 300, 150),
        "grill-stub": (w - 400, trunk_y, TRUNK_Z_MM),
    }  # fmt: skip
    pipes = [
        ("meter", "entry", "1-1/4"), ("entry", "tee-tank", "1-1/4"), ("tee-tank", "tank-stub", "3/4"),
        ("tee-tank", "tee-furnace", "1-1/4"), ("tee-furnace", "furnace-corner", "3/4"),
        ("furnace-corner", "furnace-tap", "3/4"), ("tee-furnace", "tee-east", "1"), ("tee-east", "grill-stub", "1/2"),
        ("tee-east", "hearth-corner", "1/2"), ("hearth-corner", "hearth-tap", "1/2"), ("tee-east", "tee-north", "1"),
        ("tee-north", "dryer-tap", "1/2"), ("tee-north", "range-corner", "3/4"), ("range-corner", "range-riser", "3/4"),
        ("range-riser", "range-tap", "3/4"),
    ]  # fmt: skip
    return {
        "delivery_node": "meter", "pressure": 1.75, "allowable_drop": 0.125,
        "meter_capacity": rng.choice([73, 80, 95, 120]),
        "nodes": [{"id": name, "at": _at(*place)} for name, place in at.items()],
        "segments": [
            {"id": f"g{i}", "start": a, "end": b, "material": "steel_sch40", "size": size}
            for i, (a, b, size) in enumerate(pipes)
        ],
        "appliances": _appliances(rng),
        "free_outlets": ["tank-stub", "grill-stub"],
    }  # fmt: skip


def _appliances(rng: random.Random) -> list[Document]:
    rows = [
        ("furnace", "furnace", rng.choice([17.6, 20.5, 23.4]), True, "mechanical", "furnace-tap"),
        ("hearth", "fireplace", rng.choice([5.9, 8.8]), True, "living", "hearth-tap"),
        ("dryer", "dryer", 6.4, False, "laundry", "dryer-tap"),
        ("range", "range", rng.choice([14.7, 17.6]), False, "kitchen", "range-tap"),
    ]
    keys = ("id", "kind", "input", "direct_vent", "room", "node")
    return [dict(zip(keys, row, strict=True)) for row in rows]


def _water(rng: random.Random, rooms: dict[str, dict[str, Box]], d: int) -> Document:
    """Cold and hot mains under the basement ceiling with risers to kitchen and bath."""
    bath, (_, _, x, y) = rooms["upper"]["bath"], rooms["basement"]["mechanical"]
    main_x, bath_x = rng.randrange(1000, 1900, 10), bath[0] + rng.randrange(400, 1200, 10)
    kitchen_x = rng.randrange(1200, x - 600, 10)

    def lines(name: str, z: int, shift: int, rise_from: int) -> list[Document]:
        main, end = main_x + shift, d - 700 - shift
        paths = {
            "main": [(main, rise_from, z), (main, end, z), (bath_x + shift, end, z)],
            "kitchen": [(kitchen_x + shift, end, z), (kitchen_x + shift, end, GROUND_TAP_MM)],
            "bath": [(bath_x + shift, end, z), (bath_x + shift, end, 3300)],
        }
        return [
            {"id": f"{name}-{part}", "points": [_at(*p) for p in points], "size": "3/4", "material": "copper"}
            for part, points in paths.items()
        ]

    return {
        "cold": lines("cold", COLD_Z_MM, 0, 0),
        "hot": lines("hot", HOT_Z_MM, 150, rng.randrange(800, 1500, 10)),
        "inlet_temperature": 10,
        "static_pressure": rng.randint(300, 500), "hardness": rng.randint(60, 250), "softener": False,
        "fixtures": [
            {"id": "shower", "kind": "shower", "at": _at(bath_x, bath[1] + 600, 4800), "flow": 7.6},
            {"id": "basin", "kind": "lavatory", "at": _at(bath_x + 900, d - 300, 3600), "flow": 4.5},
            {"id": "sink", "kind": "kitchen_sink", "at": _at(kitchen_x, d - 300, 900), "flow": 6.8},
            {"id": "washer-tap", "kind": "clothes_washer", "at": _at(300, y + 1500, -1500), "flow": 9.5},
        ],
    }  # fmt: skip


def _drains(rng: random.Random, rooms: dict[str, dict[str, Box]]) -> list[Document]:
    _, _, x, y = rooms["basement"]["mechanical"]
    return [
        {"id": "floor-drain", "at": _at(rng.randrange(1200, x - 900, 10), rng.randrange(1500, y - 900, 10), -2450)},
        {"id": "standpipe", "at": _at(0, y + rng.randrange(2400, 3200, 10), -1700)},
        {"id": "sink-drain", "at": _at(x // 2, rooms["ground"]["kitchen"][3], 500)},
    ]


def _receptacles(rng: random.Random, rooms: dict[str, dict[str, Box]], w: int) -> list[Document]:
    _, _, x, y = rooms["basement"]["mechanical"]
    hall = rooms["ground"]["hall"]
    return [
        {"id": "panel", "at": _at(x, rng.randrange(2600, y - 800, 10), -950), "is_panel": True},
        {"id": "laundry-outlet", "at": _at(0, y + rng.randrange(700, 2000, 10), -1400)},
        {"id": "cellar-outlet", "at": _at(w, rng.randrange(5000, 8000, 10), -2000)},
        {"id": "hall-outlet", "at": _at(w, hall[1] + 1000, 400)},
        {"id": "kitchen-outlet", "at": _at(0, hall[3] + 2200, 1100)},
    ]
