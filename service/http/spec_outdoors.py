"""JSON Schemas of a case hung outdoors and of what that asks for."""

from __future__ import annotations

from service.http.spec_surfaces import SIDE
from service.http.spec_words import PLAN_POINT, SENTENCES, Json, array, flag, length, nullable, number, obj, ref, text


def mount_outdoors() -> Json:
    """The component ``MountOutdoors``."""
    members = {
        "facade": text("id of the facade"),
        "side": SIDE,
        "from_end": ref("Anchor"),
        "distance_to_left_edge": length("from that end to the case's left edge, seen from outside"),
        "distance_to_flue_line": length("from that end to the vertical line of the flue outlet"),
        "point": {**PLAN_POINT, "description": "where the flue outlet's line meets the facade [units.length]"},
        "height_above_grade": length("from the highest ground below that line to the case's underside"),
        "bottom_z": length("the underside in the survey's datum"),
    }
    return obj("Outdoors on a facade.", members)


def outdoors() -> Json:
    """The component ``Outdoors``."""
    unit = obj("Unit of the temperatures.", {"temperature": text("degF or degC")})
    members = {
        "units": unit,
        "winter_temperature": number("winter design temperature of the survey"),
        "listed_down_to": nullable(number("lowest temperature that the listing allows outdoors, while powered")),
        "water_freezes": flag("water freezes outdoors at the winter design temperature"),
        "parts": array(ref("PartLine"), "what belongs there and is not in the bill as a line of its own"),
        "findings": array(ref("Finding"), "the checker's, on frost and power"),
        "warnings": SENTENCES,
    }
    return {**obj("What hanging outdoors asks for; null for a heater in a room.", members), "type": ["object", "null"]}
