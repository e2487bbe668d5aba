"""Places where runs may end that lie too far from the house to be reached."""

from __future__ import annotations

from collections.abc import Iterator

from shapely import Point, Polygon, distance

from service.errors import Fault
from service.survey.model import Survey

REACH_MM = 3_000
"""How far outside the house an outlet, panel or drain may be; a run over the plot is not part of a design [mm]."""


def end_faults(survey: Survey) -> Iterator[Fault]:
    """Outlets, panels and drains away from the house. Outlines must be sound by themselves."""
    rooms = [Polygon(r.outline) for s in survey.storeys for r in s.rooms]
    ends = [(f"receptacles/{i}", r.at) for i, r in enumerate(survey.receptacles)]
    ends += [(f"drains/{i}", d.at) for i, d in enumerate(survey.drains)]
    for place, at in ends:
        if rooms and (distance(rooms, Point(at[:2])) > REACH_MM).all():
            detail = f"more than {REACH_MM} mm outside the house: a run over the plot is not part of a design"
            yield Fault(f"#/{place}/at", "away_from_house", detail)
