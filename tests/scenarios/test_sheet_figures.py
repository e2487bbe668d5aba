"""Figures of drawings and documents are those of the answer: read back from SVG, DXF, PDF, CSV, HTML and geometry."""

from __future__ import annotations

import csv
import io
import re
from functools import cache
from itertools import pairwise
from math import dist
from typing import Any
from xml.etree import ElementTree

import ezdxf
import pytest
from ezdxf.document import Drawing as Document
from lxml import html as lxml_html
from pypdf import PdfReader
from shapely.geometry import shape

from service.http.sheets import bill_bytes, dxf_bytes, geometry_bytes, page_bytes, pdf_bytes
from service.http.strict_json import loads
from service.sheets.svg import NAMESPACE, svg
from tests.scenarios.scenarios import solved
from tests.scenarios.sheet_books import SITED as PLANS
from tests.scenarios.sheet_books import book, from_edges

EIGHTH_FT = 1 / 96
"""What a tape reads to [ft]; half of it is what rounding to it may take."""
METRE = 0.0005 + 1e-9
_TOLD = r"(-?)(?:(\d+) ft )?(?:(\d+)(?:-(\d)/(\d))?|(\d)/(\d)) in\b|(-?\d+\.\d{3}) m\b"
_LENGTH = re.compile(_TOLD)
_ANY = _TOLD.replace("(?:", "(").replace("(", "(?:")
_ZONE = re.compile(rf"([A-Za-z][\w.-]*)(?:, ([^:,]+))?: asks ({_ANY}), has ({_ANY})")
FEW_WORDS = 100
PRINTED = ("bay_window_ell", "lake_cabin", "top_floor_flat", "stucco_bungalow")


@pytest.fixture(scope="module", params=PLANS)
def name(request: pytest.FixtureRequest) -> str:
    """A plan; all tests of one come one after the other, so that it is solved once."""
    return str(request.param)


@pytest.fixture(scope="module", params=PRINTED)
def printed(request: pytest.FixtureRequest) -> str:
    """A plan of each kind of answer."""
    return str(request.param)


def lengths(text: str) -> list[float]:
    """Lengths that are told in a text, in feet or metres."""
    found = []
    for sign, feet, inches, over, under, bare_over, bare_under, metres in _LENGTH.findall(text):
        if metres:
            found.append(float(metres))
            continue
        fraction = int(over) / int(under) if over else int(bare_over) / int(bare_under) if bare_over else 0.0
        found.append((-1 if sign else 1) * (int(feet or 0) + (int(inches or 0) + fraction) / 12))
    return found


def close(told: float, value: float, name: str) -> bool:
    """Whether a length as told is the answer's, within the rounding of its form."""
    allowed = METRE if book(name).answer["units"]["length"] == "m" else EIGHTH_FT / 2 + 1e-6
    return abs(told - value) <= allowed + 1e-4


@cache
def sheet_texts(name: str) -> dict[str, list[str]]:
    """All words of each sheet, read back from its SVG."""
    found = {}
    for page in book(name).pages:
        root = ElementTree.fromstring(svg(page))
        found[page.name] = [t.text or "" for t in root.iter(f"{{{NAMESPACE}}}text")]
    return found


def first(name: str) -> dict[str, Any]:
    """The design that is drawn."""
    design: dict[str, Any] = book(name).answer["designs"][0]
    return design


def told_in(texts: list[str], value: float, name: str) -> bool:
    """Whether some words tell a length."""
    return any(close(told, value, name) for text in texts for told in lengths(text))


def test_runs_on_the_plans_are_those_of_the_answer(name: str) -> None:
    """Each run stands in a key with its option, its end, its length and elbows, and its share of the limit."""
    keys = " ".join(t for sheet, texts in sheet_texts(name).items() if sheet.startswith("plan-") for t in texts)
    for route in first(name)["routes"]:
        end = f"to {route['ends_at']}"
        (row,) = set(re.findall(rf"{re.escape(end)}: (\S[^,]*, {route['elbows']} elbows?)\b", keys))
        assert close(lengths(row)[0], route["length"], name), (route["service"], row)


def test_places_on_the_plans_are_those_of_the_answer(name: str) -> None:
    """Distance of the case's left edge from its corner, and of the terminal along its facade."""
    design, texts = first(name), [t for s, ts in sheet_texts(name).items() if s.startswith("plan-") for t in ts]
    assert told_in(texts, design["mount"]["distance_to_left_edge"], name)
    if "distance_along" in design["terminal"]:
        assert told_in(texts, design["terminal"]["distance_along"], name)


def test_the_elevation_tells_place_and_clearances_of_the_answer(name: str) -> None:
    """Height over the ground, and for each numbered zone of a rule that was measured what it asks and has."""
    design, texts = first(name), sheet_texts(name)["elevation"]
    if "height_above_grade" in design["terminal"]:
        assert told_in(texts, design["terminal"]["height_above_grade"], name)
    rows = " ".join(texts)
    measured = [c for c in design["clearances"] if c["margin"] is not None]
    told = _ZONE.findall(rows)
    assert len(told) == rows.count(", has ")
    for rule, thing, asks, has in told:
        close_by = [
            c
            for c in measured
            if c["rule"] == rule
            and (not thing or thing in ("grade", c["object"]))
            and close(lengths(asks)[0], c["required"], name)
            and close(lengths(has)[0], c["actual"], name)
        ]
        assert close_by, (rule, thing, asks, has)


def test_dimensions_at_the_terminal_are_measured_distances(name: str) -> None:
    """Each dimension of the detail is one that a clearance, or the place on its surface, tells; there is one."""
    design = first(name)
    known = [c["actual"] for c in design["clearances"] if c["actual"] is not None and c["subject"] == "terminal"]
    known += from_edges(book(name), 0)
    root = ElementTree.fromstring(svg(next(p for p in book(name).pages if p.name == "elevation-detail")))
    words = [e.text or "" for e in root.iter(f"{{{NAMESPACE}}}text") if e.get("data-layer") == "dimension"]
    told = [t for text in words for t in lengths(text)]
    assert told and all(any(close(t, k, name) for k in known) for t in told)


def test_the_gas_tree_tells_loads_sizes_and_pressures(name: str) -> None:
    """Row by row those of the answer; every pipe and every appliance is there once."""
    system, rows = first(name)["gas_system"], gas_rows(name)
    for segment in system["segments"]:
        row = row_of(rows, segment["id"])
        assert f"{segment['load']:,.10g}" in row[3]
        assert (segment["chosen"] or {"size": "none"})["size"] in row[1]
        assert close(lengths(row[2])[0], segment["length"], name)
        if segment["pressure_out"] is not None:
            assert f"{segment['pressure_out']:,.6g} " in row[-1] or f"{segment['pressure_out']:,.6g} " in row[-2]
    for inlet in system["inlets"]:
        row = row_of(rows, inlet["id"])
        assert f"{inlet['full_fire']:,.6g} " in row[2]
        assert row[-1] == "kept"


def row_of(rows: list[list[str]], part: str) -> list[str]:
    """The one row of a pipe or an appliance, by its id."""
    (row,) = [r for r in rows if r[0] == part or r[0].startswith((f"{part} to ", f"{part}: ", f"{part}, "))]
    return row


def gas_rows(name: str) -> list[list[str]]:
    """Words of the gas sheets row by row, from left to right."""
    rows: dict[tuple[str, str], list[tuple[float, str]]] = {}
    for page in book(name).pages:
        if page.name.startswith("gas-"):
            for text in ElementTree.fromstring(svg(page)).iter(f"{{{NAMESPACE}}}text"):
                rows.setdefault((page.name, text.get("y", "")), []).append((float(text.get("x", "0")), text.text or ""))
    return [[words for _, words in sorted(row) if words] for row in rows.values()]


def test_the_bill_adds_up_to_the_answers_cost(name: str) -> None:
    """To the cent, line by line."""
    rows = list(csv.DictReader(io.StringIO(bill_bytes(book(name)).decode())))
    priced = [r for r in rows if r["kind"] == "priced"]
    cost = first(name)["cost"]
    assert [round(float(r["amount"]) * 100) for r in priced] == [round(x["amount"] * 100) for x in cost["lines"]]
    assert sum(round(float(r["amount"]) * 100) for r in priced) == round(book(name).answer["cost"] * 100)


@cache
def drawn(name: str) -> Document:
    """The DXF, read back by its library."""
    return ezdxf.read(io.StringIO(dxf_bytes(book(name)).decode()))  # type: ignore[attr-defined]  # its public name


def test_dxf_is_sound_and_in_millimetres(name: str) -> None:
    """No faults for its library's auditor; the heater is as wide as the catalogue says."""
    document = drawn(name)
    assert document.audit().errors == []
    assert document.header["$INSUNITS"] == 4
    heater = book(name).installed[0].design
    cases = [
        [v.dxf.location for v in line.vertices]
        for line in document.modelspace().query("POLYLINE")
        if line.dxf.layer.endswith("-HEATER") and len(line.vertices) == 4
    ]
    sides = {round(dist(a, b)) for case in cases for a, b in pairwise(case)}
    assert {heater.heater.width_mm, heater.heater.depth_mm} <= sides


def test_runs_in_the_dxf_lie_where_the_answer_says(name: str) -> None:
    """Every bend in plan, in the survey's axes, is an answer's point [mm]."""
    per_mm = 304.8 if book(name).answer["units"]["length"] == "ft" else 1000.0
    lines = drawn(name).modelspace().query("POLYLINE")
    for route in first(name)["routes"]:
        known = [(x * per_mm, y * per_mm) for x, y, _ in route["points"]]
        layer = re.compile(rf"PLAN-\d+-{route['service'].upper()}")
        bends = [v.dxf.location for line in lines if layer.fullmatch(line.dxf.layer) for v in line.vertices]
        assert all(min(dist((b.x, b.y), k) for k in known) < 1.0 for b in bends)


def test_dimensions_in_the_dxf_say_what_they_span(name: str) -> None:
    """Each dimension's words are the distance of its points, within the rounding of a tape."""
    per_mm = 304.8 if book(name).answer["units"]["length"] == "ft" else 1000.0
    dimensions = drawn(name).modelspace().query("DIMENSION")
    assert len(dimensions) >= 1
    for d in dimensions:
        (told,) = lengths(d.dxf.text)
        assert close(told, dist(d.dxf.defpoint2, d.dxf.defpoint3) / per_mm, name)


@cache
def pdf_text(name: str) -> tuple[str, ...]:
    """Text of each page of the PDF."""
    return tuple(p.extract_text() for p in PdfReader(io.BytesIO(pdf_bytes(book(name)))).pages)


def test_the_pdf_tells_cost_clearances_and_page_numbers(printed: str) -> None:
    """Total, every clearance's rule, every line of the bill; pages count up to the last, none is all but empty."""
    pages, design = pdf_text(printed), first(printed)
    whole = " ".join(" ".join(pages).split())
    assert f"{design['cost']['total']:,.2f}" in whole
    assert all(f"{line['amount']:,.2f}" in whole for line in design["cost"]["lines"])
    assert all(c["rule"] in "".join(whole.split()) for c in design["clearances"])
    assert min(len(text.split()) for text in pages[:-1]) > FEW_WORDS
    assert [f"Page {n} of {len(pages)}" in text for n, text in enumerate(pages, 1)] == [True] * len(pages)


def test_the_page_tells_the_same(printed: str) -> None:
    """Tables of cost and clearances, read back cell by cell."""
    name = printed
    tree, design = lxml_html.fromstring(page_bytes(book(name)).decode()), first(name)
    tables = {t.findtext("caption"): [[c.text_content() for c in r] for r in t.iter("tr")] for t in tree.iter("table")}
    sums = {row[0]: row[1] for row in tables["Cost by trade"][1:]}
    assert sums == {
        **{t["trade"]: f"{t['amount']:,.2f}" for t in design["cost"]["by_trade"]},
        "total": f"{design['cost']['total']:,.2f}",
    }
    measured = [c for c in design["clearances"] if c["margin"] is not None]
    rows = tables["Distances, smallest margin first"][1:]
    assert [(r[1], r[3]) for r in rows] == [(c["rule"], c["object"]) for c in measured]
    for row, c in zip(rows, measured, strict=True):
        asks, has, margin = (lengths(row[k])[0] for k in (4, 5, 6))
        assert close(asks, c["required"], name) and close(has, c["actual"], name) and close(margin, c["margin"], name)


def test_geometry_is_that_of_the_answer_in_metres(name: str) -> None:
    """Runs point by point, the terminal, rooms by a general geometry library; and it says that it is not geographic."""
    document: Any = loads(geometry_bytes(book(name)), 32)
    assert document["coordinate_system"]["geographic"] is False
    unit = 0.3048 if book(name).answer["units"]["length"] == "ft" else 1.0
    level = [shape(f["geometry"]) for f in document["features"] if f["properties"]["kind"] in ("room", "heater")]
    assert all(s.is_valid and s.area > 0 for s in level)
    runs = {f["properties"]["service"]: f for f in document["features"] if f["properties"]["kind"] == "run"}
    for route in first(name)["routes"]:
        made = runs[route["service"]]["geometry"]["coordinates"]
        assert all(dist(a, [c * unit for c in b]) < 5e-4 for a, b in zip(made, route["points"], strict=True))
    (terminal,) = [f for f in document["features"] if f["properties"]["kind"] == "terminal"]
    told = first(name)["terminal"]
    assert dist(terminal["geometry"]["coordinates"], [*(c * unit for c in told["point"]), told["z"] * unit]) < 1.5e-3


def test_old_pipes_are_where_the_survey_has_them(name: str) -> None:
    """Each gas segment from node to node, in parts where a tap parts it, each with its size and, where a design renews
    it, the new one; water lines point by point."""
    document: Any = loads(geometry_bytes(book(name)), 32)
    drawn = [f for f in document["features"] if f["properties"]["kind"] == "pipe"]
    survey = solved(name).survey
    at = {n.id: n.at for n in survey.gas.nodes}
    for s in survey.gas.segments:
        if s.start in at and s.end in at:
            parts = _chained([f for f in drawn if "gas" in f["properties"]["of"]], at[s.start], at[s.end])
            assert parts, s.id
            assert all(p["properties"]["size"].startswith(s.size or "size not told") for p in parts)
    renewed = {r["segment"]: r["size"] for r in first(name)["gas"]["renewals"]}
    heavier = [f["properties"]["size"] for f in drawn if f["properties"]["of"] == "renewed-gas"]
    assert sorted(size.split(" to ")[1] for size in heavier) == sorted(renewed[k] for k in renewed)
    for lines, of in ((survey.water.cold, "old-cold"), (survey.water.hot, "old-hot")):
        made = [f["geometry"]["coordinates"] for f in drawn if f["properties"]["of"] == of]
        assert len(made) == len(lines)
        for line, points in zip(lines, made, strict=True):
            assert all(dist(a, [v / 1000 for v in b]) < 1.5e-3 for a, b in zip(points, line.points, strict=True))


def _chained(drawn: list[Any], start: Any, end: Any) -> list[Any]:
    """Features that lead from one place to another [mm], one or two on end."""
    a, b = ([v / 1000 for v in p] for p in (start, end))
    for one in drawn:
        p, q = one["geometry"]["coordinates"][0], one["geometry"]["coordinates"][-1]
        if dist(p, a) < 1.5e-3 and dist(q, b) < 1.5e-3:
            return [one]
        for two in drawn:
            r, t = two["geometry"]["coordinates"][0], two["geometry"]["coordinates"][-1]
            if dist(p, a) < 1.5e-3 and dist(q, r) < 1e-6 and dist(t, b) < 1.5e-3:
                return [one, two]
    return []
