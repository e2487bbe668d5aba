"""What the surveyor said about walls, found again by place."""

from __future__ import annotations

from dataclasses import dataclass

from service.building.edges import PARALLEL, Edge, line_between
from service.building.model import Frame
from service.survey.model import Point2, Storey, WallKind

MATCH_MM = 450
"""A wall line this far behind an inside face still speaks of that wall [mm]."""
MATCH_BEFORE_MM = 60
"""A wall line this far in front of an inside face still speaks of that wall [mm]."""
END_GAP_MM = 150
"""Wall ends that stop this short of their corner are taken to reach it [mm]."""


@dataclass(frozen=True, slots=True)
class WallFact:
    """One wall of the survey in the frame."""

    id: str
    start: Point2
    end: Point2
    kind: WallKind | None
    thickness_mm: int | None


@dataclass(frozen=True, slots=True)
class FactOnEdge:
    """Part [s0, s1] of a face that a survey wall speaks of, ``off`` behind the face [mm]."""

    s0: int
    s1: int
    off: float
    fact: WallFact


def wall_facts(storeys: tuple[Storey, ...], frame: Frame) -> tuple[tuple[WallFact, ...], ...]:
    """Walls of each storey in the frame, sorted by place."""
    return tuple(
        tuple(
            sorted(
                (
                    WallFact(w.id, frame.to_frame(w.start), frame.to_frame(w.end), w.kind, w.thickness_mm)
                    for w in storey.walls
                    if w.start != w.end
                ),
                key=lambda f: (f.start, f.end, f.id),
            )
        )
        for storey in storeys
    )


def facts_on(edge: Edge, facts: tuple[WallFact, ...]) -> list[FactOnEdge]:
    """Parts of a face that survey walls speak of, nearest wall line first."""
    found = [part for fact in facts if (part := _on(edge, fact)) is not None]
    return sorted(found, key=lambda p: (abs(p.off), p.s0, p.s1, p.fact.id))


def _on(edge: Edge, fact: WallFact) -> FactOnEdge | None:
    if abs(line_between(fact.start, fact.end).cross(edge.line)) > PARALLEL:
        return None
    off = (edge.line.out(fact.start) + edge.line.out(fact.end)) / 2
    if not -MATCH_BEFORE_MM <= off <= MATCH_MM:
        return None
    ends = sorted((round(edge.line.along(fact.start)), round(edge.line.along(fact.end))))
    s0, s1 = max(ends[0] - END_GAP_MM, 0), min(ends[1] + END_GAP_MM, edge.length_mm)
    return FactOnEdge(s0, s1, off, fact) if s0 < s1 else None


def fact_at(parts: list[FactOnEdge], s: float) -> WallFact | None:
    """The survey wall that speaks of the face at distance ``s`` [mm], or None."""
    return next((p.fact for p in parts if p.s0 <= s <= p.s1), None)
