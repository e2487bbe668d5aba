"""Node keys: packed and unpacked without loss, and refused where they could not be."""

from __future__ import annotations

import numpy as np
import pytest

from service.errors import LimitExceeded
from service.routing.keys import MOST_ROOM_MM3, keys_for


def test_keys_come_back_as_they_went_in() -> None:
    """Every corner of a box with negative coordinates, in every room."""
    keys = keys_for(np.array([-500, 12_000]), np.array([-7, 9_000]), np.array([-2_400, 5_600]), 13)
    room, x, y, z = (g.ravel() for g in np.meshgrid([0, 12], [-500, 12_000], [-7, 9_000], [-2_400, 5_600]))
    for sent, told in zip((room, x, y, z), keys.unpack(keys.pack(room, x, y, z)), strict=True):
        assert (sent == told).all()


def test_a_plan_too_large_for_keys_is_a_limit_not_a_fault_of_ours() -> None:
    """One past the limit names the limit; a house of 300 m with 80 rooms is far from it."""
    keys_for(np.array([0, 300_000]), np.array([0, 300_000]), np.array([0, 20_000]), 80)
    with pytest.raises(LimitExceeded) as caught:
        keys_for(np.array([0, 1_000_000]), np.array([0, 1_000_000]), np.array([0, 20_000]), 80)
    assert caught.value.name == "room_count_times_mm3"
    assert caught.value.given > caught.value.limit == MOST_ROOM_MM3
