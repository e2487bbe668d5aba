"""Gas and water pipe that is in the house already: what stays, and what larger pipe takes the place of."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from service.design import Design, Renewal, RenewedPart, Service
from service.sheets.model import Layer
from service.sheets.subject import Subject
from service.survey.model import Point3, WaterLine

NOTE = "Thin lines are pipes that are there, with their sizes; {words}."
_RENEWED, _KEPT = "a heavier chain line is renewed, in the size told last", "none of the gas pipe drawn is renewed"
ARROW = "to"


@dataclass(frozen=True, slots=True)
class OldPipe:
    """Straight pieces of one pipe in the frame [mm]; ``words``: its size, and the one that takes its place."""

    points: tuple[Point3, ...]
    layer: Layer
    words: str


def old_pipes(subject: Subject) -> tuple[OldPipe, ...]:
    """All pipes of the survey that it tells the places of."""
    water, frame = subject.survey.water, subject.building.frame

    def line(told: WaterLine, layer: Layer) -> OldPipe:
        return OldPipe(tuple(frame.to_frame3(p) for p in told.points), layer, told.size)

    return (
        *_gas(subject),
        *(line(w, Layer.OLD_COLD) for w in water.cold),
        *(line(w, Layer.OLD_HOT) for w in water.hot),
    )


def note(pipes: Sequence[OldPipe]) -> str:
    """What a drawing with such pipes says of them."""
    return NOTE.format(words=_RENEWED if any(p.layer is Layer.RENEWED for p in pipes) else _KEPT)


def _gas(subject: Subject) -> Iterator[OldPipe]:
    """Each segment between two places that are told, in the parts that come of it."""
    supply = subject.supply or subject.survey.gas
    frame = subject.building.frame
    at = {n.id: frame.to_frame3(n.at) for n in supply.nodes}
    renewals = _renewals(subject)
    for segment in supply.segments:
        if segment.start not in at or segment.end not in at:
            continue
        ends = (at[segment.start], at[segment.end])
        mine = [r for r in renewals if r.segment_id == segment.id]
        for points, renewal in _parts(ends, mine, subject.designs(), segment.id):
            size = segment.size or "size not told"
            words = size if renewal is None else f"{size} {ARROW} {renewal.size}"
            yield OldPipe(points, Layer.OLD_GAS if renewal is None else Layer.RENEWED, words)


def _renewals(subject: Subject) -> tuple[Renewal, ...]:
    return (*subject.renewals, *(r for d in subject.designs() for r in d.gas.renewals))


def _parts(
    ends: tuple[Point3, Point3], renewals: Sequence[Renewal], designs: Sequence[Design], name: str
) -> Iterator[tuple[tuple[Point3, ...], Renewal | None]]:
    """A segment whole, or before and after the tap of a heater's branch where only a part of it is renewed."""
    by_part = {r.part: r for r in renewals}
    tap = next((t for d in designs if (t := _tap(d, name)) is not None), None)
    if tap is None or not {RenewedPart.BEFORE_TAP, RenewedPart.AFTER_TAP} & set(by_part):
        yield ends, by_part.get(RenewedPart.WHOLE)
        return
    yield (ends[0], tap), by_part.get(RenewedPart.BEFORE_TAP)
    yield (tap, ends[1]), by_part.get(RenewedPart.AFTER_TAP)


def _tap(design: Design, segment: str) -> Point3 | None:
    """Where a design's branch leaves a segment."""
    route = design.route(Service.GAS)
    return route.pieces[-1].end if route is not None and route.end_id == segment else None
