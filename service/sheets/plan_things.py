"""What a plan shows besides house and heaters: gas delivery, terminals, pipes that are there, things to connect to."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from service.design import RoofTerminal, Terminal
from service.sheets.model import Dimension, Item, Label, Layer, Line, Mark, Symbol
from service.sheets.old_pipes import OldPipe
from service.sheets.runs import Bounds, Drawn, Span, in_plan, upright
from service.sheets.subject import Subject
from service.survey.model import Point3
from service.usecases.pictured import Installed

_FIRST_MM, _NEXT_MM = -10.0, -4.5
"""How far off a facade the dimension to its first terminal is, and each further one more [mm on paper]."""


def meter(subject: Subject, span: Span) -> Iterator[Item]:
    """Where gas is delivered."""
    gas = subject.survey.gas
    at = next((n.at for n in gas.nodes if n.id == gas.delivery_node), None)
    if at is not None and span.low <= at[2] < span.high:
        point = subject.building.frame.to_frame((at[0], at[1]))
        yield Mark(point, Symbol.METER, Layer.OLD_GAS)
        yield Label(point, (f"gas delivery {gas.delivery_node}",), Layer.OLD_GAS)


def connections(subject: Subject, span: Span) -> Iterator[Item]:
    """Where nothing hangs yet: what a heater could be joined to, and the appliances that burn gas already."""
    survey = subject.survey
    at = {n.id: n.at for n in survey.gas.nodes}
    told: list[tuple[str, Point3]] = [
        *((_told(a.id, a.kind.replace("_", " ")), at[a.node]) for a in survey.gas.appliances
          if a.node in at and a.node != survey.gas.delivery_node),
        *((_told(d.id, "drain"), d.at) for d in survey.drains),
        *((_told(r.id, "panel" if r.is_panel else "outlet"), r.at) for r in survey.receptacles),
    ]  # fmt: skip
    for words, place in told:
        if span.low <= place[2] < span.high:
            point = subject.building.frame.to_frame((place[0], place[1]))
            yield Mark(point, Symbol.TAP, Layer.TAP)
            yield Label(point, (words,), Layer.TAP)


def _told(name: str, kind: str) -> str:
    """Name and kind, once where they are the same word."""
    return name if name == kind else f"{name}: {kind}"


def terminals(subject: Subject, span: Span) -> Iterator[Item]:
    """Terminals at the heights of a storey, each dimensioned from its facade's end."""
    placed: dict[str, int] = {}
    for one, end in subject.terminals():
        if not span.low <= end.z_mm < span.high:
            continue
        if isinstance(end, RoofTerminal):
            at = (end.x_mm, end.y_mm)
            yield Mark(at, Symbol.TERMINAL, Layer.TERMINAL)
            yield Label(at, (f"{subject.name(one)}terminal over roof {end.roof_id}",), Layer.TERMINAL)
            continue
        count = placed.get(end.facade_id, 0)
        placed[end.facade_id] = count + 1
        yield from _in_facade(subject, one, end, count)


def _in_facade(subject: Subject, one: Installed, end: Terminal, count: int) -> Iterator[Item]:
    """Exhaust and intake of one heater, the ``count``th at its facade."""
    facade = subject.building.facade(end.facade_id)
    at = facade.point(end.s_mm)
    name = "flue outlet" if one.design.outdoors else "terminal"
    yield Mark(at, Symbol.TERMINAL, Layer.TERMINAL)
    yield Label(at, (f"{name} {subject.number(one)}".strip(),), Layer.TERMINAL)
    yield Dimension(facade.start, at, subject.say(end.s_mm), _FIRST_MM + count * _NEXT_MM)
    if not count:
        yield Mark(facade.start, Symbol.CORNER, Layer.DIMENSION)
        yield Label(facade.start, (f"end of {facade.id} {subject.say_point(facade.start)}",), Layer.DIMENSION)
    if one.design.intake is not None:
        intake = one.design.intake
        place = subject.building.facade(intake.facade_id).point(intake.s_mm)
        yield Mark(place, Symbol.TERMINAL, Layer.TERMINAL)
        yield Label(place, (f"intake {subject.number(one)}".strip(),), Layer.TERMINAL)


def pipe_items(
    pipes: Sequence[OldPipe], span: Span, window: Bounds | None, details: Sequence[Bounds] = ()
) -> Iterator[Item]:
    """Old pipes of a storey with their sizes, which stand where a view shows most of them; what stands within a detail
    is told there."""
    for pipe in pipes:
        pieces = [p for p in zip(pipe.points, pipe.points[1:], strict=False) if span.holds(*p)]
        drawn = Drawn(tuple(in_plan(pieces)), tuple(upright(pieces)))
        yield from (Line(line, pipe.layer) for line in drawn.lines)
        yield from (Mark(at, Symbol.RISER, pipe.layer) for at in drawn.risers)
        at = drawn.middle(window) if pieces else None
        if at is not None and not any(x0 < at[0] < x1 and y0 < at[1] < y1 for x0, y0, x1, y1 in details):
            yield Label(at, (pipe.words,), pipe.layer)
