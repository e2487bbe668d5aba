"""The gas system as a tree: each pipe a row under the one that feeds it, with size, length, load and pressure."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from service.sheets.frame import BOTTOM, LEFT, RIGHT, TOP, Head, border
from service.sheets.letters import SMALL_MM, cut, harmless
from service.sheets.model import Layer
from service.sheets.paper import Fill, Ink, Page, Stroke, Words, rectangle
from service.sheets.style import INK, MEDIUM_MM, PENS, THIN_MM, WIDE_MM, Pen
from service.usecases.gas_results import GasReport, InletReport, SegmentReport

ROW_MM = 5.6
"""Height of a row [mm]."""
TITLE = "Gas system"
_DEEPEST, _TREE_MM, _INDENT_MM = 13, 98.0, 54.0
"""How deep branches stand in apart, the width of the first column, and how much of it the tree may take [mm]."""
_UNIT = _INDENT_MM / _DEEPEST
_COLUMNS = (
    ("Pipe, to", 98.0), ("Size", 35.0), ("Length", 25.0), ("Load", 28.0), ("Passes", 28.0), ("Pressure in", 24.0),
    ("Out", 22.0), ("Result", 15.0),
)  # fmt: skip
"""Headings and widths [mm]; the tree itself stands in the first."""


@dataclass(frozen=True, slots=True)
class Tell:
    """How figures are told in the caller's units: lengths [mm], loads [W], gas pressures [Pa]."""

    length: Callable[[float], str]
    load: Callable[[float], str]
    pressure: Callable[[float], str]


@dataclass(frozen=True, slots=True)
class _Row:
    depth: int
    cells: tuple[str, ...]
    parent: int | None
    strong: bool = False
    leaf: bool = False


def gas_pages(gas: GasReport, delivery: str, tell: Tell, head: Head) -> Iterator[Page]:
    """The tree on as many pages as it needs."""
    rows = list(_rows(gas, delivery, tell))
    high = BOTTOM - TOP - 2 * ROW_MM
    fit = int(high // ROW_MM)
    for n in range(0, len(rows), fit):
        number = n // fit + 1
        title = TITLE if n == 0 else f"{TITLE}, continued"
        under = f"By {gas.method.value.replace('_', ' ')}; not to scale; pressures are gauge, all appliances firing"
        inks = (*border(head, title, under), *_headings(), *_part(rows, n, n + fit))
        yield Page(f"gas-{number}", title, None, inks, f"{title}. {under}.")


def _rows(gas: GasReport, delivery: str, tell: Tell) -> Iterator[_Row]:
    """Delivery, then each pipe below the one that feeds it, each appliance below its pipe; all in order of ids."""
    leaving: dict[str, list[SegmentReport]] = {}
    for segment in gas.segments:
        leaving.setdefault(segment.start, []).append(segment)
    hung: dict[str, list[InletReport]] = {}
    for inlet in gas.inlets:
        hung.setdefault(inlet.node, []).append(inlet)
    meter = gas.meter
    cells = (
        f"{delivery}: point of delivery",
        "",
        "",
        tell.load(meter.drawn_w),
        tell.load(meter.capacity_w),
        "",
        "",
        "" if meter.enough else "larger",
    )
    yield _Row(0, cells, None, strong=True)
    todo: list[tuple[SegmentReport | InletReport, int, int]] = [
        *((i, 1, 0) for i in reversed(hung.get(delivery, []))),
        *((s, 1, 0) for s in reversed(leaving.get(delivery, []))),
    ]  # fmt: skip
    number = 0
    while todo:
        part, depth, parent = todo.pop()
        number += 1
        if isinstance(part, InletReport):
            yield _Row(depth, _inlet_cells(part, tell), parent, strong=True, leaf=True)
            continue
        yield _Row(depth, _segment_cells(part, tell), parent)
        todo += [(s, depth + 1, number) for s in reversed(leaving.get(part.end, []))]
        todo += [(i, depth + 1, number) for i in reversed(hung.get(part.end, []))]


def _segment_cells(s: SegmentReport, tell: Tell) -> tuple[str, ...]:
    size = s.size_chosen or s.size_needed or "none"
    if s.size_present and s.size_present != size:
        size = f"{s.size_present} to {size}"
    passes = "" if s.capacity_w is None else tell.load(s.capacity_w)
    ends = ["" if p is None else tell.pressure(p) for p in (s.pressure_in_pa, s.pressure_out_pa)]
    kind = (s.material_chosen or s.material).replace("_", " ")
    name = s.id if s.id.endswith(s.end) else f"{s.id} to {s.end}"
    return (name, f"{size} {kind}", tell.length(s.length_mm), tell.load(s.load_w), passes, *ends,
            "" if s.action == "keep" else s.action)  # fmt: skip


def _inlet_cells(i: InletReport, tell: Tell) -> tuple[str, ...]:
    found = "not known" if i.full_fire_pa is None else tell.pressure(i.full_fire_pa)
    needs = f"needs {tell.pressure(i.min_pa)} to {tell.pressure(i.max_pa)}"
    verdict = {True: "kept", False: "NOT KEPT", None: "UNKNOWN"}[i.lawful]
    kind = i.kind.replace("_", " ")
    name = i.id if i.id == kind else f"{i.id}: {kind}"
    return f"{name}, {needs}", "", "", tell.load(i.input_w), "", "", found, verdict


def _headings() -> Iterator[Ink]:
    x = LEFT
    for name, wide in _COLUMNS:
        yield Words(x, TOP + 0.7 * ROW_MM, name, SMALL_MM, bold=True)
        x += wide
    yield Stroke(((LEFT, TOP + ROW_MM), (RIGHT, TOP + ROW_MM)), Pen(MEDIUM_MM), Layer.TEXT)


def _part(rows: Sequence[_Row], first: int, last: int) -> Iterator[Ink]:
    """Rows of one page; branches that come from a page before rise to the page's top."""
    for n in range(first, min(last, len(rows))):
        row, y = rows[n], TOP + (1.5 + n - first) * ROW_MM + 1.0
        yield from _branch(row, y, first, TOP + ROW_MM + 1.0)
        x, indent = LEFT, (min(row.depth, _DEEPEST) + 0.8) * _UNIT
        for k, ((_, wide), cell) in enumerate(zip(_COLUMNS, row.cells, strict=True)):
            left = x + (indent if k == 0 else 0.0)
            room = x + wide - left - 1.5
            if k == 0 and not any(row.cells[1:3]):
                room += sum(w for _, w in _COLUMNS[1:3])
            told = cut(harmless(cell), SMALL_MM, room, row.strong)
            yield Words(left, y + 0.9, told, SMALL_MM, bold=row.strong)
            x += wide
        yield Stroke(((LEFT + _TREE_MM, y + 2.6), (RIGHT, y + 2.6)), Pen(0.1, (), "#8a8a8a"), Layer.TEXT)


def _branch(row: _Row, y: float, first: int, top: float) -> Iterator[Ink]:
    """From the upright of the pipe that feeds this one."""
    if row.parent is None:
        yield Fill((rectangle(LEFT + 0.4, y - 1.0, 2.0, 2.0),), INK, Layer.GAS)
        return
    x = LEFT + (min(row.depth, _DEEPEST) - 0.5) * _UNIT + 0.8
    above = max(top, TOP + (1.5 + row.parent - first) * ROW_MM + 1.0 + 1.4)
    pen = Pen(WIDE_MM, PENS[Layer.GAS].dashes, PENS[Layer.GAS].colour) if not row.leaf else Pen(THIN_MM)
    yield Stroke(((x, above), (x, y), (x + _UNIT * 0.9, y)), pen, Layer.GAS)
