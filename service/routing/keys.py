"""Names of nodes and states as whole numbers, so that arrays of them can be sorted and looked up."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from service.errors import LimitExceeded
from service.routing.planes import Ints
from service.survey.model import Point3

AXIS_BITS = 4
OBLIQUE_AXIS = (1 << AXIS_BITS) - 1
"""Direction of a tail that leaves a sheet along none of the frame's axes."""

MOST_ROOM_MM3 = (1 << (62 - AXIS_BITS)) - 1
"""Rooms and one, times the volume of the box around all that pipes may touch [mm3]: what a key can name."""


@dataclass(frozen=True, slots=True)
class Keys:
    """Packs (room, x, y, z) [mm] into one integer and back."""

    origin: Point3
    size: Point3

    def pack(self, room: int | Ints, x: int | Ints, y: int | Ints, z: int | Ints) -> Ints:
        """Node keys; arguments broadcast."""
        cells = (room * self.size[0] + (x - self.origin[0])) * self.size[1] + (y - self.origin[1])
        return np.asarray(cells * self.size[2] + (z - self.origin[2]), dtype=np.int64)

    def unpack(self, keys: Ints) -> tuple[Ints, Ints, Ints, Ints]:
        """(room, x, y, z) of node keys."""
        rest, z = np.divmod(keys, self.size[2])
        rest, y = np.divmod(rest, self.size[1])
        room, x = np.divmod(rest, self.size[0])
        return room, x + self.origin[0], y + self.origin[1], z + self.origin[2]


def keys_for(xs: Ints, ys: Ints, zs: Ints, rooms: int) -> Keys:
    """Packing for coordinates within sorted planes [mm]. LimitExceeded if the plan is too large for it."""
    low = (int(xs[0]), int(ys[0]), int(zs[0]))
    size = (int(xs[-1]) - low[0] + 1, int(ys[-1]) - low[1] + 1, int(zs[-1]) - low[2] + 1)
    cells = (rooms + 1) * size[0] * size[1] * size[2]
    if cells > MOST_ROOM_MM3:
        raise LimitExceeded("room_count_times_mm3", cells, MOST_ROOM_MM3)
    return Keys(low, size)
