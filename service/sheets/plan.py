"""Plan of a storey: the house, heaters with their working space, every run with size and length, dimensions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import inf

from service.building.edges import ordered_storeys
from service.building.model import Building
from service.design import Part, Route, Service
from service.sheets.ground import room_names, storey_house
from service.sheets.layout import EDGE_MM, VIEW
from service.sheets.model import Drawing, Item, KeyRow, Label, Layer, Line, Mark, Symbol
from service.sheets.old_pipes import OldPipe, note, old_pipes
from service.sheets.plan_heater import aside, heater_items, mounted_on
from service.sheets.plan_things import connections, meter, pipe_items, terminals
from service.sheets.runs import LAYER_OF, Bounds, Run, Span, drawn_runs
from service.sheets.scales import scale_for
from service.sheets.shared_holes import hole_items, hole_rows
from service.sheets.subject import Subject
from service.sheets.view import bounds_of, filled_window
from service.usecases.pictured import Installed

ASIDE = "Runs that lie over each other are drawn side by side; lengths and heights hold, not their distances."
OTHERS = "Runs of other dwellings are told on the sheets round their own heaters, or on the plan of the whole storey."
EACH = "V vent, G gas, C cold, H hot, D drain, P power, with the heater's number: told on the sheet round the heater."
NORTH_NOTE = "North is the survey's +y."
NEAR_MM, SPARE_MM = 2200.0, 300.0
"""How far from the heater a run is still of its surroundings, and what is shown beyond [mm]."""


@dataclass(frozen=True, slots=True)
class _Level:
    """One storey, and what is drawn on it; ``apart``: runs that lie over each other are drawn side by side."""

    subject: Subject
    storey: int
    span: Span
    name: str
    apart: bool
    pipes: tuple[OldPipe, ...]

    @property
    def hung(self) -> tuple[Installed, ...]:
        """Heaters that hang on it."""
        building = self.subject.building
        return tuple(i for i in self.subject.installed if mounted_on(i.design, building, self.storey, self.span))

    @property
    def title(self) -> str:
        """What its sheets are called."""
        return f"Plan of storey {ordered_storeys(self.subject.survey)[self.storey].id}"


def plans(subject: Subject, apart: bool = True) -> Iterator[Drawing]:
    """A plan of each storey that a heater touches (of every one where there is none), the lowest first, and round each
    heater."""
    pipes, number = old_pipes(subject), 0
    for storey, span in storeys(subject.building):
        if not subject.installed or any(_touches(i, subject.building, storey, span) for i in subject.installed):
            number += 1
            level = _Level(subject, storey, span, f"plan-{number}", apart, pipes)
            yield from _plan(level)


def storeys(building: Building) -> list[tuple[int, Span]]:
    """Each storey with the heights that belong to it, from below [mm]."""
    floors: dict[int, float] = {}
    for room in building.rooms:
        floors[room.storey] = min(room.floor_z, floors.get(room.storey, inf))
    order = sorted(floors, key=lambda s: (floors[s], s))
    lows = [-inf, *(floors[s] for s in order[1:])]
    return [(s, Span(low, high)) for s, low, high in zip(order, lows, [*lows[1:], inf], strict=True)]


def _touches(one: Installed, building: Building, storey: int, span: Span) -> bool:
    design = one.design
    ends = design.has(Part.TERMINAL) and span.low <= design.terminal.z_mm < span.high
    runs = any(span.holds(p.start, p.end) for r in design.routes for p in r.pieces)
    return mounted_on(design, building, storey, span) or ends or runs


def _plan(level: _Level) -> Iterator[Drawing]:
    """The whole storey, and the part of it round each heater at a larger scale."""
    subject, building = level.subject, level.subject.building
    items = [*storey_house(building, level.storey), *room_names(building, level.storey)]
    items += [i for one in level.hung for i in heater_items(subject, one)]
    items += [*meter(subject, level.span), *terminals(subject, level.span)]
    items += [] if subject.installed else connections(subject, level.span)
    turn, floor = -building.frame.angle_rad, float(_floor(level))
    details = [filled_window(_round_the_heater(level, one), VIEW, EDGE_MM, subject.survey.units) for one in level.hung]
    whole = _with_runs(level, tuple(map(_brief, items)), None, None, details)
    yield Drawing(level.name, level.title, *whole, turn, floor_mm=floor)
    for one, window in zip(level.hung, details, strict=True):
        number = subject.number(one)
        name = f"{level.name}-detail" + (f"-{number}" if number else "")
        title = f"{level.title}: round the heater {f'of {one.dwelling}' if number else ''}".strip()
        yield Drawing(name, title, *_with_runs(level, tuple(items), window, one), turn, window, floor)


def _brief(item: Item) -> Item:
    """A heater's name without its width, which the sheet round it tells."""
    if isinstance(item, Label) and item.layer is Layer.HEATER:
        return replace(item, lines=item.lines[:-1])
    return item


def _floor(level: _Level) -> int:
    return min(r.floor_z for r in level.subject.building.rooms if r.storey == level.storey)


def _with_runs(
    level: _Level,
    items: tuple[Item, ...],
    window: Bounds | None,
    near: Installed | None,
    details: Sequence[Bounds] = (),
) -> tuple[tuple[Item, ...], tuple[KeyRow, ...], tuple[str, ...]]:
    """Items, key and notes of a view of a storey with its runs, which are drawn apart as its scale asks. ``near``: the
    heater round which it is; ``details``: what other views show larger."""
    subject = level.subject
    x0, y0, x1, y1 = window or bounds_of(items)
    room, middle = (VIEW.wide - 2 * EDGE_MM, VIEW.high - 2 * EDGE_MM), ((x0 + x1) / 2, (y0 + y1) / 2)
    scale = scale_for(x1 - x0, y1 - y0, room, subject.survey.units)
    ways = [(i, aside(i.design, subject.building, middle) if level.apart else (0.0, 0.0)) for i in subject.installed]
    every = list(drawn_runs(ways, level.span, scale))
    runs = [r for r in every if window is None or r.of is near or r.drawn.seen(window)]
    named = [r for r in runs if near is None or r.of is near]
    told = [r for r in named if not (near is None and r.of.dwelling and r.of in level.hung)]
    drawn = (i for r in runs for i in _run(level, r, window, near))
    pipes = tuple(pipe_items(level.pipes, level.span, window, details))
    holes = tuple(hole_items(subject, level.span, window))
    notes = [*subject.reasons, NORTH_NOTE] if near is None else [NORTH_NOTE]
    notes += [note(level.pipes)] if pipes else []
    notes += [ASIDE] if any(r.moved != (0.0, 0.0) for r in runs) else []
    notes += [OTHERS] if len(named) < len(runs) else []
    notes += [EACH] if len(told) < len(named) else []
    key = (*_key(subject, named, told), *hole_rows(subject, level.span, window))
    return tuple(dict.fromkeys((*items, *pipes, *drawn, *holes))), key, tuple(notes)


def _round_the_heater(level: _Level, one: Installed) -> Bounds:
    """The heater, what must be free before it, and what of its runs is near."""
    x0, y0, x1, y1 = bounds_of(tuple(heater_items(level.subject, one)))
    near = (x0 - NEAR_MM, y0 - NEAR_MM, x1 + NEAR_MM, y1 + NEAR_MM)
    pieces = [q for r in one.design.routes for q in r.pieces if level.span.holds(q.start, q.end)]
    points = [p[:2] for q in pieces for p in (q.start, q.end)]
    held = [(x, y) for x, y in points if near[0] <= x <= near[2] and near[1] <= y <= near[3]]
    xs, ys = [x0, x1, *(p[0] for p in held)], [y0, y1, *(p[1] for p in held)]
    return min(xs) - SPARE_MM, min(ys) - SPARE_MM, max(xs) + SPARE_MM, max(ys) + SPARE_MM


def _run(level: _Level, run: Run, window: Bounds | None, near: Installed | None) -> Iterator[Item]:
    """One run; with its letter alone where the key and a detail of its own tell the rest."""
    route, layer = run.route, LAYER_OF[run.route.service]
    yield from (Line(line, layer) for line in run.drawn.lines)
    yield from (Mark(at, Symbol.RISER, layer) for at in run.drawn.risers)
    end = route.pieces[-1].end
    if route.service is not Service.VENT and level.span.holds(*_last(route)):
        moved = (end[0] + run.moved[0], end[1] + run.moved[1])
        if moved != (end[0], end[1]):
            yield Line((moved, (end[0], end[1])), Layer.TAP)
        yield Mark((end[0], end[1]), Symbol.TAP, Layer.TAP)
    if window is not None and run.of is not near:
        return
    brief = window is None and run.of in level.hung
    letter = run_letter(level.subject, run)
    told = (letter,) if brief else (f"{letter} {run_name(route)}" if len(letter) > 1 else run_name(route),
                                    level.subject.say(route.length_mm))  # fmt: skip
    yield Label(run.drawn.middle(window), told, layer, bold=brief)


def _last(route: Route) -> tuple[tuple[int, int, int], tuple[int, int, int]]:
    return route.pieces[-1].start, route.pieces[-1].end


def run_letter(subject: Subject, run: Run) -> str:
    """What the key knows a run by: the letter of its service, and its heater's number where there are several."""
    return f"{run.route.service.value[0].upper()}{subject.number(run.of)}"


def run_name(route: Route) -> str:
    """Service and option, once where they are the same word."""
    service = route.service.value
    return service if route.option == service else f"{service} {route.option}"


def _key(subject: Subject, runs: list[Run], told: list[Run]) -> Iterator[KeyRow]:
    """Whose runs they are, and each that is to be told, under its dwelling's name."""
    named: set[str] = set()
    for run in runs:
        if run.of.dwelling and run.of.dwelling not in named:
            named.add(run.of.dwelling)
            yield KeyRow(subject.number(run.of), run.of.dwelling)
        if run in told:
            yield KeyRow(run_letter(subject, run), _run_words(subject, run.route))


def _run_words(subject: Subject, route: Route) -> str:
    say = subject.say
    elbows = f"{route.elbows} elbow{'' if route.elbows == 1 else 's'}"
    told = f"{run_name(route)} to {route.end_id}: {say(route.length_mm)}, {elbows}"
    if route.equivalent_mm is not None and route.limit_mm is not None:
        told += f", equivalent {say(route.equivalent_mm)} of at most {say(route.limit_mm)}"
    return f"{told}{', pumped' if route.pumped else ''}"
