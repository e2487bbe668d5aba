"""Houses of any size for the scaling curve: storeys of two rows of rooms along a hall. Everything in them is invented.

Measures here are whole millimetres; the document speaks metres and kilowatts.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import cycle, islice
from typing import Any

Document = dict[str, Any]
ROOM_W, ROOM_D, HALL_D = 3600, 4000, 1600
STOREY_MM, CEILING_MM = 2800, 2500
WINDOW_MM, SILL_MM, HEAD_MM = 900, 900, 2100
USES = ("utility", "bedroom", "kitchen", "laundry", "office", "storage", "bathroom", "living")
PIPE_Z_MM = CEILING_MM - 150
STUB_KW = 1.5


@dataclass(frozen=True, slots=True)
class Size:
    """How large a house is: rooms (three to a storey at least) and outer openings of all storeys together, nodes of the
    gas tree."""

    storeys: int = 2
    rooms: int = 14
    openings: int = 24
    heaters: int = 12
    nodes: int = 16


def document(size: Size) -> Document:
    """Survey of a house of this size, ready to be sent; its heaters are those of the catalogue."""
    each = [size.rooms // size.storeys + (i < size.rooms % size.storeys) for i in range(size.storeys)]
    windows = [size.openings // size.storeys + (i < size.openings % size.storeys) for i in range(size.storeys)]
    columns = max(n // 2 for n in each)
    return {
        "name": f"House of {size.rooms} rooms (invented)",
        "units": "si",
        "site": {"rule_set": "us-2021", "winter_design_temperature": -10},
        "storeys": [_storey(i, n, w) for i, (n, w) in enumerate(zip(each, windows, strict=True))],
        "gas": _gas(size.nodes, columns * ROOM_W),
        "water": _water(columns * ROOM_W, size.storeys),
        "drains": [{"id": "drain", "at": _at(300, 300, 0)}],
        "receptacles": [
            {"id": "outlet", "at": _at(0, 1500, 500)},
            {"id": "panel", "at": _at(0, 3000, 1500), "is_panel": True},
        ],
        "prices": {"book": "demo"},
    }  # fmt: skip


def _at(x: int, y: int, z: int) -> list[float]:
    return [x / 1000, y / 1000, z / 1000]


def _storey(index: int, rooms: int, windows: int) -> Document:
    """A hall with rooms before and behind it."""
    floor, columns = index * STOREY_MM, rooms // 2
    boxes = [*islice(_boxes(columns), rooms - 1), (0, ROOM_D, columns * ROOM_W, ROOM_D + HALL_D)]
    return {
        "id": f"storey-{index}",
        "floor": floor / 1000,
        "ceiling": (floor + CEILING_MM) / 1000,
        "rooms": [
            {
                "id": f"room-{index}-{k}",
                "use": "hall" if k == len(boxes) - 1 else USES[k % len(USES)],
                "outline": [_at(x, y, 0)[:2] for x, y in ((b[0], b[1]), (b[2], b[1]), (b[2], b[3]), (b[0], b[3]))],
            }
            for k, b in enumerate(boxes)
        ],
        "openings": list(islice(_windows(index, boxes), windows)),
    }  # fmt: skip


def _boxes(columns: int) -> Iterator[tuple[int, int, int, int]]:
    for k in range(columns):
        yield k * ROOM_W, 0, (k + 1) * ROOM_W, ROOM_D
        yield k * ROOM_W, ROOM_D + HALL_D, (k + 1) * ROOM_W, 2 * ROOM_D + HALL_D


def _windows(storey: int, boxes: list[tuple[int, int, int, int]]) -> Iterator[Document]:
    """Windows in the long outer walls, one to a room, then a second and a third, every other one fixed."""
    depth, fixed, count = max(b[3] for b in boxes), cycle((True, False)), 0
    for shift in (300, 2400, 1350):
        for x0, y0, _, y1 in boxes:
            for y in {0, depth} & {y0, y1}:
                ends = [_at(x0 + shift + end, y, 0)[:2] for end in (0, WINDOW_MM)]
                yield {"id": f"window-{storey}-{count}", "kind": "window", "from": ends[0], "to": ends[1],
                       "sill": SILL_MM / 1000, "head": HEAD_MM / 1000, "operable": next(fixed)}  # fmt: skip
                count += 1


def _gas(nodes: int, length: int) -> Document:
    """A trunk under the ceiling of the hall with a tee and a stub for every two nodes more."""
    y, stubs = ROOM_D + HALL_D // 2, max(1, (nodes - 2) // 2)
    at = {"meter": (-300, y, 600), "entry": (0, y, PIPE_Z_MM)}
    pipes, last = [("meter", "entry", "2")], "entry"
    for k in range(stubs):
        x = 200 + k * (length - 400) // stubs
        at |= {f"tee-{k}": (x, y, PIPE_Z_MM), f"stub-{k}": (x, y + 700 if k % 2 else y - 700, PIPE_Z_MM)}
        pipes += [(last, f"tee-{k}", "2"), (f"tee-{k}", f"stub-{k}", "3/4")]
        last = f"tee-{k}"
    lights = [
        {"id": f"light-{k}", "kind": "other", "input": STUB_KW, "direct_vent": True, "node": f"stub-{k}"}
        for k in range(stubs)
    ]
    return {
        "delivery_node": "meter", "pressure": 1.75, "allowable_drop": 0.125, "meter_capacity": 200,
        "nodes": [{"id": name, "at": _at(*place)} for name, place in at.items()],
        "segments": [
            {"id": f"g{i}", "start": a, "end": b, "material": "steel_sch40", "size": size}
            for i, (a, b, size) in enumerate(pipes)
        ],
        "appliances": lights,
    }  # fmt: skip


def _water(length: int, storeys: int) -> Document:
    y, top = ROOM_D + 300, (storeys - 1) * STOREY_MM + 1000

    def line(name: str, shift: int) -> Document:
        points = [_at(0, y + shift, PIPE_Z_MM), _at(length, y + shift, PIPE_Z_MM), _at(length, y + shift, top)]
        return {"id": name, "points": points, "size": "3/4", "material": "copper"}

    return {"cold": [line("cold", 0)], "hot": [line("hot", 150)]}
