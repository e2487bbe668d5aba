"""The three repairs of an outline that the service makes, each of them told: nothing else is touched."""

from __future__ import annotations

from itertools import pairwise

from service.survey.model import Point2

Outline = tuple[Point2, ...]


def tidy(points: Outline) -> tuple[Outline, tuple[str, ...]]:
    """Open, without repeated points, counter-clockwise; and what was done to make it so."""
    opened = points[:-1] if len(points) > 1 and points[0] == points[-1] else points
    distinct = opened[:1] + tuple(b for a, b in pairwise(opened) if a != b)
    turned = distinct[::-1] if doubled_area_mm2(distinct) < 0 else distinct
    done = (
        (opened != points, "last point repeats the first and was dropped"),
        (distinct != opened, f"{len(opened) - len(distinct)} repeated point(s) were dropped"),
        (turned != distinct, "runs clockwise and was reversed"),
    )
    return turned, tuple(text for happened, text in done if happened)


def doubled_area_mm2(outline: Outline) -> int:
    """Twice the signed area, positive when counter-clockwise [mm2]."""
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(outline, outline[1:] + outline[:1], strict=True))
