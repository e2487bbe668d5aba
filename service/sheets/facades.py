"""Where a terminal may not be: every facade and roof plane, small, what is closed hatched, what closes it told."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from service.building.model import Facade
from service.building.roof_model import RoofPlane
from service.design import RoofTerminal
from service.sheets.frame import BOTTOM, LEFT, LINE_HIGH, RIGHT, TOP, Head, border
from service.sheets.letters import HEAD_MM, SMALL_MM, cut, harmless, wrapped
from service.sheets.model import Drawing, Item, Label, Layer, Mark, Symbol
from service.sheets.paper import Ink, Page, Stroke, Words, rectangle
from service.sheets.scales import scale_for
from service.sheets.style import THIN_MM, Pen
from service.sheets.subject import Subject
from service.sheets.surface import closed_parts, ground, openings, wall_of
from service.sheets.view import Room, bounds_of, drawn
from service.usecases.pictured import Installed
from service.usecases.results import Coverage, SurfaceRegions

TITLE = "Where the terminal may not be"
ACROSS, DOWN = 2, 2
GAP_MM = 3.0
_WORDS_LINES, _HEAD_HIGH = 3, 5.5
_EDGE_MM = 4.0
_MOST_RULES = 5


@dataclass(frozen=True, slots=True)
class _Cell:
    left: float
    top: float
    wide: float
    high: float


def facade_pages(subject: Subject, sides: dict[str, str], head: Head) -> Iterator[Page]:
    """All surfaces, heater by heater, four a page; ``sides`` tells to which side of the compass a facade looks."""
    each, number = ACROSS * DOWN, 0
    for one, surfaces in subject.views():
        shown = [r for r in surfaces if wall_of(_surface_of(subject, r)).area]
        for n in range(0, len(shown), each):
            number += 1
            title = f"{subject.name(one)}{_lowered(one)}" + (", continued" if n else "")
            applies = f"For {shown[n].applies_to}: hatched is closed to the terminal's centre. Seen from outside."
            inks = [i for k, r in enumerate(shown[n : n + each])
                    for i in _cell(subject, r, sides, _place(k, len(shown)))]  # fmt: skip
            page = (*border(head, title, cut(harmless(applies), SMALL_MM, 150.0)), *inks)
            yield Page(f"facades-{number}", title, None, page, f"{title}. {applies}")


def _lowered(one: Installed | None) -> str:
    """The title, as it goes on after a dwelling's name."""
    return TITLE[0].lower() + TITLE[1:] if one is not None and one.dwelling else TITLE


def _place(number: int, count: int) -> _Cell:
    """The place of one of several; few are drawn larger, one below the other."""
    across, down = (1, count) if count <= DOWN else (ACROSS, DOWN)
    wide = (RIGHT - LEFT - (across - 1) * GAP_MM) / across
    high = (BOTTOM - TOP - (down - 1) * GAP_MM) / down
    return _Cell(LEFT + number % across * (wide + GAP_MM), TOP + number // across * (high + GAP_MM), wide, high)


def _surface_of(subject: Subject, regions: SurfaceRegions) -> Facade | RoofPlane:
    if regions.kind == "roof":
        return subject.building.roof_plane(regions.surface_id)
    return subject.building.facade(regions.surface_id)


def _cell(subject: Subject, regions: SurfaceRegions, sides: dict[str, str], cell: _Cell) -> Iterator[Ink]:
    """One surface with its words below."""
    surface = _surface_of(subject, regions)
    below = _WORDS_LINES * LINE_HIGH + 1.0
    room = Room(cell.left, cell.top + _HEAD_HIGH, cell.left + cell.wide, cell.top + cell.high - below)
    items = tuple(_items(subject, surface, regions))
    x0, y0, x1, y1 = bounds_of(items)
    scale = scale_for(x1 - x0, y1 - y0, (room.wide - 2 * _EDGE_MM, room.high - 2 * _EDGE_MM), subject.survey.units)
    inks, _ = drawn(Drawing("", "", items), room, scale)
    side = f", looks {sides[regions.surface_id]}" if regions.surface_id in sides else ""
    head = cut(
        harmless(f"{regions.kind.capitalize()} {regions.surface_id}{side}, 1:{scale}"), HEAD_MM, cell.wide - 2, True
    )
    yield Stroke(rectangle(cell.left, cell.top, cell.wide, cell.high), Pen(THIN_MM), Layer.TEXT, closed=True)
    yield Words(cell.left + 1.5, cell.top + 4.2, head, HEAD_MM, bold=True)
    yield from inks
    lines = wrapped(harmless(coverage_words(subject, regions.coverage)), SMALL_MM, cell.wide - 3)
    lines = [*lines[: _WORDS_LINES - 1], cut(" ".join(lines[_WORDS_LINES - 1 :]), SMALL_MM, cell.wide - 3)]
    for k, line in enumerate(x for x in lines if x):
        yield Words(cell.left + 1.5, cell.top + cell.high - below + (k + 0.8) * LINE_HIGH, line, SMALL_MM)


def _items(subject: Subject, surface: Facade | RoofPlane, regions: SurfaceRegions) -> Iterator[Item]:
    yield from closed_parts(surface, regions)
    if isinstance(surface, Facade):
        yield from openings(surface, named=False)
        yield from ground(surface)
    for one, at in subject.terminals():
        if (at.roof_id if isinstance(at, RoofTerminal) else at.facade_id) == regions.surface_id:
            place = (at.x_mm, at.y_mm) if isinstance(at, RoofTerminal) else (at.s_mm, at.z_mm)
            yield Mark(place, Symbol.TERMINAL, Layer.TERMINAL)
            yield from (Label(place, (number,), Layer.TERMINAL) for number in filter(None, [subject.number(one)]))


def coverage_words(subject: Subject, found: Coverage) -> str:
    """How much is free, and which rules take how much, each by itself; they overlap."""
    if not found.total_mm2:
        return "No wall."
    share = found.free_mm2 / found.total_mm2
    along = ""
    if found.kind != "roof":
        along = f"; some height free along {subject.say(found.free_length_mm)} of {subject.say(found.length_mm)}"
    rules = _rules(found.by_rule, found.total_mm2)
    return f"{share:.1%} of the area free{along}. Each rule alone takes: {rules or 'nothing'}."


def _rules(by_rule: Sequence[tuple[str, int]], total: int) -> str:
    told = [f"{rule} {mm2 / total:.0%}" for rule, mm2 in by_rule[:_MOST_RULES]]
    rest = len(by_rule) - len(told)
    return ", ".join(told) + (f" and {rest} more" if rest > 0 else "")
