"""A rule set as a table that a reviewer can lay beside the code book: one row a rule, sorted by section."""

from __future__ import annotations

import csv
import io
import re
from base64 import b64encode
from collections.abc import Iterable, Iterator
from dataclasses import astuple, dataclass, fields
from hashlib import sha256
from html import escape

from service.rules.local_layers import LocalAmendment, local_amendments
from service.rules.mounting import MountRule, mounting_rules
from service.rules.rule import Printed, Rule, Subject
from service.rules.rulesets import RuleSet

HTML, CSV = "text/html", "text/csv"
_STYLE = """
@page { size: landscape; margin: 12mm }
body { font: 10pt/1.35 serif; margin: 1em }
table { border-collapse: collapse; width: 100%; margin-bottom: 1.5em }
caption { font-weight: bold; text-align: left; padding: .4em 0 }
th, td { border: 1px solid #888; padding: .2em .4em; text-align: left; vertical-align: top }
thead { display: table-header-group }
tr { break-inside: avoid }
th { background: #eee }
"""
POLICY = (
    "default-src 'none'; base-uri 'none'; form-action 'none'; "
    f"style-src 'sha256-{b64encode(sha256(_STYLE.encode()).digest()).decode()}'"
)
"""Content security policy of the page: its own style and nothing else."""
_WAYS = {
    "radial": "in any direction",
    "horizontal": "horizontally, at any height",
    "beside_below_above": "beside, below or above; one is enough",
    "above_inlet_within": "above it, where within the gate",
    "above_level": "above it",
    "not_over": "never over it, within the gate",
    "column": "never above it, within the gate of its vertical line",
    "under_open": "below it, only if its sides are open",
    "facing": "facing it, horizontally; or above or below",
    "door_swing": "from the path of its leaf",
    "on_wall": "wholly on it, over no opening",
    "instructions": "as the heater's instructions say",
    "advice": "to be looked at on site",
    "record": "not judged here",
    "room_forbidden": "no heater in it",
    "above_floor": "above its floor",
    "working_space": "free in front of the case",
    "headroom": "floor to ceiling",
    "listed_clearance": "free round the case",
    "manifold": "below the case",
    "vent_rise": "above the case",
    "above_vehicles": "above its floor and its door",
    "above_flood": "above the flood elevation",
    "door": "door to it",
    "access_passage": "passage to it",
    "access_opening": "opening to it",
    "access_platform": "service space in it",
    "access_pit": "passage to it below grade",
    "access_outlets": "light and receptacle",
    "rooms_refused": "not there",
    "rooms_wanted": "only there",
    "outdoors_listed": "listed for it",
    "outdoors_wall": "wholly on its facade, over no opening",
    "outdoors_clearance": "free round the case",
    "outdoors_ground": "above the ground",
    "outdoors_snow": "above the snow",
    "outdoors_manifold": "below the case, through the wall",
    "outdoors_regulator": "regulator vents, in any direction",
    "outdoors_way": "over no public way",
    "outdoors_door": "out of a door's swing",
    "outdoors_lot": "on the own lot",
    "outdoors_frost": "not colder than the listing",
    "outdoors_wish": "only if allowed",
    "outdoors_advice": "to be looked at on site",
}
_VIA = {"no": "", "also": "and rooms that open only into one", "only": "only rooms that open only into one"}
_CAPTIONS = {Subject.TERMINAL: "Vent terminal", Subject.INTAKE: "Intake terminal of twin pipe"}
_MARKS = {"read": "read", "memory": "memory", "common_practice": "common practice"}


@dataclass(frozen=True, slots=True)
class Line:
    """One rule in words; the fields are the table's columns."""

    id: str
    to_what: str
    which_way: str
    distance_in: str
    distance_mm: str
    condition: str
    standard_and_section: str
    how_known: str
    note: str


def table_html(found: RuleSet) -> str:
    """The rule set as one printable page that needs nothing else."""
    title = escape(f"{found.id}: {found.title}")
    told = "".join(f"<li>{escape(source)}</li>" for source in found.sources)
    tables = "".join(_table_html(caption, lines) for caption, lines in _parts(found) if lines)
    return (
        f'<!doctype html><html lang="en"><head><meta charset="utf-8"><title>{title}</title>'
        f"<style>{_STYLE}</style></head><body><h1>{title}</h1>"
        f"<p>Edition {escape(found.edition)}. Figures are facts; all wording is ours. The adopted edition, local "
        f"amendments and the listed instructions govern.</p><ul>{told}</ul>{tables}</body></html>\n"
    )


def table_csv(found: RuleSet) -> str:
    """The rule set as CSV (RFC 4180) with a header: terminal rules, mounting rules, local amendments."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(f.name for f in fields(Line))
    writer.writerows(astuple(line) for _, lines in _parts(found) for line in lines)
    return out.getvalue()


def _parts(found: RuleSet) -> tuple[tuple[str, list[Line]], ...]:
    return (
        *((caption, _by_section(_terminal_line(r) for r in found.rules if r.subject is subject))
          for subject, caption in _CAPTIONS.items()),
        ("Place of the heater", _by_section(map(_mount_line, mounting_rules(found.country)))),
        ("Local amendments, examples that hold only where a survey takes them over",
         _by_section(map(_local_line, local_amendments(found)))),
    )  # fmt: skip


def _by_section(lines: Iterable[Line]) -> list[Line]:
    """In the order of standard and section, their numbers taken as numbers; common practice last."""
    return sorted(lines, key=lambda x: (x.standard_and_section == "common practice", _natural(x), x.id))


def _natural(line: Line) -> list[tuple[int, str]]:
    parts = re.findall(r"\d+|\D+", line.standard_and_section)
    return [(int(p), "") if p.isdigit() else (-1, p) for p in parts]


def _table_html(caption: str, lines: list[Line]) -> str:
    head = "".join(f"<th scope=col>{f.name.replace('_', ' ')}</th>" for f in fields(Line))
    rows = "".join("<tr>" + "".join(f"<td>{escape(c)}</td>" for c in astuple(x)) + "</tr>" for x in lines)
    return f"<table><caption>{escape(caption)}</caption><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>"


def _terminal_line(r: Rule) -> Line:
    figures = (("", r.distance), ("beside", r.beside), ("below", r.below), ("above", r.above), ("gate", r.gate))
    return Line(
        r.id, _words(r.objects), _WAYS[r.relation], _inches(figures), _millimetres(figures),
        "; ".join(_terms(r)), r.citation, _MARKS[r.mark], _note(r.note, r.reading),
    )  # fmt: skip


def _terms(r: Rule) -> Iterator[str]:
    yield "binding" if r.required else "advice"
    yield from _of_heater(r.draft)
    if r.categories:
        yield f"category {', '.join(r.categories)}"
    yield from _band(r.input_over_btu_h, r.input_upto_btu_h, "Btu/h")
    yield from _band(r.pressure_over_psi, r.pressure_upto_psi, "psi at the regulator's inlet")
    if r.open_sides_min is not None:
        yield f"at least {r.open_sides_min} open sides"
    if r.strict:
        yield "must be more than the distance"


def _mount_line(r: MountRule) -> Line:
    figures = (("", r.distance), ("wide", r.width), ("tall", r.height), ("floor", r.floor),
               ("any length if tall", r.high))  # fmt: skip
    terms = ["binding" if r.required else "advice", *_of_heater(r.draft)]
    if r.unless:
        terms.append(f"lifted by {r.unless.replace('_', ' ')}")
    anywhere = "any room" if r.holds(False) else "outdoors"
    rooms = " ".join(x for x in (_words(r.rooms) or anywhere, _VIA[r.via] if r.rooms else "") if x)
    return Line(
        r.id, rooms, _WAYS[r.relation], _inches(figures), _millimetres(figures),
        "; ".join(terms), r.citation, _MARKS[r.mark], _note(r.note, r.reading),
    )  # fmt: skip


def _local_line(a: LocalAmendment) -> Line:
    figures = (("", a.distance),)
    force = "made binding" if a.enforce else "as the rule"
    name, way = f"{a.rule_id} ({a.layer})", f"changes the rule's {a.figure}" if a.distance else ""
    return Line(
        name, "as the rule", way, _inches(figures), _millimetres(figures), force, a.citation, _MARKS[a.mark], a.note,
    )  # fmt: skip


def _of_heater(draft: str) -> Iterator[str]:
    if draft != "any":
        yield {"direct": "direct vent", "room_air": "without direct vent"}[draft]


def _band(over: float | None, upto: float | None, unit: str) -> Iterator[str]:
    ends = [f"over {over:,.10g}"] if over is not None else []
    ends += [f"up to {upto:,.10g}"] if upto is not None else []
    if ends:
        yield f"{' '.join(ends)} {unit}"


def _words(names: Iterable[str]) -> str:
    return ", ".join(name.replace("_", " ") for name in names)


def _note(note: str, reading: str) -> str:
    return "; ".join(x for x in (note, f"reading: {reading}" if reading else "") if x)


def _inches(figures: Iterable[tuple[str, Printed | None]]) -> str:
    return "; ".join(f"{name} {p.inches}".strip() for name, p in figures if p is not None)


def _millimetres(figures: Iterable[tuple[str, Printed | None]]) -> str:
    return "; ".join(f"{name} {p.si_mm}".strip() for name, p in figures if p is not None and p.si_mm is not None)
