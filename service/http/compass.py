"""Sides of a house by the compass, the survey's y axis taken as north."""

from __future__ import annotations

from math import atan2, pi

from service.building.model import Facade, Frame

SIDES = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")
NORTH = "north = +y of the survey"


def side(facade: Facade, frame: Frame) -> str:
    """The eighth of the compass that the facade's outward normal is nearest to."""
    east, north = facade.end[1] - facade.start[1], facade.start[0] - facade.end[0]
    bearing = atan2(east, north) - frame.angle_rad
    return SIDES[round(bearing / (pi / 4)) % len(SIDES)]
