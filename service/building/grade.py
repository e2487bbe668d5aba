"""Finished ground along the facades, cut into level steps."""

from __future__ import annotations

from dataclasses import replace
from math import ceil, radians, sin

from service.building.edges import Line, line_between
from service.building.facades import facade_line
from service.building.model import Facade, Frame, GradeStep
from service.building.outline import overlap
from service.survey.model import GradeLine, Site

STEP_MM = 500
"""Longest level step that stands for sloping ground [mm]."""
NEAR_MM = 1500
"""A grade line within this distance of a facade belongs to it [mm]."""
END_MM = 600
"""A grade line that stops this short of a facade's end goes on level to it [mm]."""
_SLANT = sin(radians(20.0))


def with_grade(facade: Facade, site: Site, frame: Frame) -> Facade:
    """Facade with its ground: the site's level, and the surveyed grade lines where there are any.

    Where grade lines overlap, the higher ground counts.
    """
    line = facade_line(facade)
    steps = [s for g in site.grades for s in _steps(line, facade.length_mm, g, frame)]
    cuts = sorted({0, facade.length_mm, *(s for step in steps for s in (step.s0, step.s1))})
    out: list[GradeStep] = []
    for s0, s1 in zip(cuts, cuts[1:], strict=False):
        z = max((g.z for g in steps if g.s0 <= s0 and s1 <= g.s1), default=site.grade_z_mm)
        if out and out[-1].z == z:
            out[-1] = replace(out[-1], s1=s1)
        else:
            out.append(GradeStep(s0, s1, z))
    return replace(facade, grade=tuple(out))


def _steps(line: Line, length: int, grade: GradeLine, frame: Frame) -> list[GradeStep]:
    ends = [(frame.to_frame(grade.start), grade.start_z_mm), (frame.to_frame(grade.end), grade.end_z_mm)]
    if ends[0][0] == ends[1][0] or abs(line_between(ends[0][0], ends[1][0]).cross(line)) > _SLANT:
        return []
    (a, za, oa), (b, zb, ob) = sorted((line.along(p), z, line.out(p)) for p, z in ends)
    s0, s1 = max(a, 0.0), min(b, float(length))
    middle = oa + (ob - oa) * ((s0 + s1) / 2 - a) / (b - a)
    if overlap(s0, s1, 0, length) <= 0 or s1 <= s0 or abs(middle) > NEAR_MM:
        return []
    return _cut(_to_ends(s0, s1, length), length, (a, za), (b, zb))


def _to_ends(s0: float, s1: float, length: int) -> tuple[int, int]:
    return (0 if s0 <= END_MM else round(s0), length if s1 >= length - END_MM else round(s1))


def _cut(reach: tuple[int, int], length: int, a: tuple[float, int], b: tuple[float, int]) -> list[GradeStep]:
    s0, s1 = reach
    pieces = max(1, ceil((s1 - s0) / STEP_MM)) if a[1] != b[1] else 1
    at = [s0 + (s1 - s0) * k // pieces for k in range(pieces + 1)]
    return [GradeStep(p, q, ceil(max(_height(p, a, b), _height(q, a, b)))) for p, q in zip(at, at[1:], strict=False)]


def _height(s: float, a: tuple[float, int], b: tuple[float, int]) -> float:
    t = min(max((s - a[0]) / (b[0] - a[0]), 0.0), 1.0)
    return a[1] + t * (b[1] - a[1])
