"""JSON Schemas of what the service answers about a vent that ends over a roof."""

from __future__ import annotations

from service.http.spec_words import Json, length, nullable, number, text


def roof_terminal() -> Json:
    """Members of a terminal over a roof."""
    point = {"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2}
    return {
        "roof": text("id of the roof plane"),
        "pitch": number("its rise in a run of 12"),
        "point": {**point, "description": "the vent's axis in plan [units.length]"},
        "height_above_roof": length("from the roof at that axis to the terminal's opening"),
        "z": length("the opening's height in the survey's datum"),
        "height_above_ceiling": nullable(length("from the ceiling below to the opening; null where no room is below")),
    }
