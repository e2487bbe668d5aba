"""A terminal over the roof as JSON, and read back."""

from __future__ import annotations

from typing import Any

from service.building.model import Building
from service.building.roof import ceiling_under
from service.design import RoofTerminal
from service.http.quantities import Quantities

Json = dict[str, Any]


def roof_terminal_json(terminal: RoofTerminal, building: Building, q: Quantities) -> Json:
    """Plane, plan point, heights over the roof at its axis and in the survey's datum."""
    plane, at = building.roof_plane(terminal.roof_id), (terminal.x_mm, terminal.y_mm)
    ceiling = ceiling_under(plane, building.rooms, at)
    return {
        "roof": plane.id,
        "pitch": plane.pitch_in_12,
        "point": q.plan_point(at),
        "height_above_roof": q.length(terminal.z_mm - plane.height_mm(*at)),
        "z": q.length(terminal.z_mm),
        "height_above_ceiling": None if ceiling is None else q.length(terminal.z_mm - ceiling),
    }


def read_roof_terminal(raw: Json, q: Quantities) -> RoofTerminal:
    """The terminal of a loaded document, in the building's frame."""
    x, y, _ = q.to_frame([*raw["point"], 0.0])
    return RoofTerminal(raw["roof"], x, y, round(raw["z"]))
