"""Sheets of several dwellings tell what the answer tells of each of them and of what they share."""

from __future__ import annotations

import csv
import io
import re
from functools import cache
from math import dist
from typing import Any
from xml.etree import ElementTree

import ezdxf
import pytest
from lxml import html as lxml_html
from pypdf import PdfReader

from service.http.sheets import bill_bytes, dxf_bytes, geometry_bytes, page_bytes, pdf_bytes
from service.http.strict_json import loads
from service.sheets.svg import NAMESPACE, svg
from tests.scenarios.scenarios import TOGETHER
from tests.scenarios.sheet_books import book, from_edges
from tests.scenarios.test_sheet_figures import FEW_WORDS, close, gas_rows, lengths, row_of, sheet_texts

(NAME,) = TOGETHER


def designs() -> list[dict[str, Any]]:
    """Designs of the answer, one a dwelling."""
    found: list[dict[str, Any]] = book(NAME).answer["dwellings"]["designs"]
    return found


def shared() -> dict[str, Any]:
    """What the answer tells of what is shared."""
    found: dict[str, Any] = book(NAME).answer["dwellings"]["shared"]
    return found


def words_of(*starts: str) -> list[str]:
    """All words of sheets whose names begin so."""
    return [t for sheet, texts in sheet_texts(NAME).items() if sheet.startswith(starts) for t in texts]


def test_every_dwelling_has_its_heater_and_runs_on_a_plan() -> None:
    """Its name, its heater with the distance from the corner, and every run by length, bends and end."""
    keys = " ".join(words_of("plan-"))
    for number, design in enumerate(designs(), 1):
        sheet = next(s for s in sheet_texts(NAME) if re.fullmatch(rf"plan-\d+-detail-{number}", s))
        own = sheet_texts(NAME)[sheet]
        assert f"{number} {design['dwelling']}" in own
        assert any(close(x, design["mount"]["distance_to_left_edge"], NAME) for t in own for x in lengths(t))
        for route in design["routes"]:
            end = f"to {route['ends_at']}"
            rows = set(re.findall(rf"{re.escape(end)}: (\S[^,]*, {route['elbows']} elbows?)\b", keys))
            assert any(close(lengths(row)[0], route["length"], NAME) for row in rows), (route["service"], rows)


def test_every_facade_view_shows_all_terminals_of_its_facade() -> None:
    """Each at its place: told by dwelling, and in the drawing where the answer has it."""
    for number, design in enumerate(designs(), 1):
        own = sheet_texts(NAME)[f"elevation-{number}"]
        facade = design["terminal"]["facade"]
        for k, other in enumerate(designs(), 1):
            there = other["terminal"]["facade"] == facade
            assert (f"terminal {k} {other['dwelling']}" in own) is there
        assert any(close(x, design["terminal"]["height_above_grade"], NAME) for t in own for x in lengths(t))


def test_zones_that_terminals_make_for_each_other_are_told_as_measured() -> None:
    """Every clearance to another's intake that was measured is in the key of the facade, with asks and has."""
    told = 0
    for number, design in enumerate(designs(), 1):
        rows = " ".join(sheet_texts(NAME)[f"elevation-{number}"])
        for c in design["clearances"]:
            name = next((d["dwelling"] for d in designs() if c["object"] == f"intake of {d['dwelling']}"), None)
            if name is None or c["actual"] is None:
                continue
            found = re.search(rf"{re.escape(c['rule'])}, intake of {name}: asks (\S+ m), has (\S+ m)", rows)
            if found is not None:
                told += 1
                assert close(lengths(found[1])[0], c["required"], NAME)
                assert close(lengths(found[2])[0], c["actual"], NAME)
    assert told >= len(designs())


def test_distances_between_terminals_are_those_of_the_findings() -> None:
    """Each dimension of a detail is a clearance, a height, or a distance of two exhausts."""
    beside = [f["actual"] for f in book(NAME).answer["dwellings"]["findings"] if f["rule"] == "joint.exhausts"]
    drawn = 0
    for number, design in enumerate(designs(), 1):
        known = [c["actual"] for c in design["clearances"] if c["actual"] is not None and c["subject"] == "terminal"]
        known += from_edges(book(NAME), number - 1)
        page = next(p for p in book(NAME).pages if p.name == f"elevation-{number}-detail")
        texts = list(ElementTree.fromstring(svg(page)).iter(f"{{{NAMESPACE}}}text"))
        told = [x for e in texts if e.get("data-layer") == "dimension" for x in lengths(e.text or "")]
        assert all(any(close(x, k, NAME) for k in (*known, *beside)) for x in told)
        drawn += sum(any(close(x, k, NAME) for k in beside) for x in told)
    assert drawn


def test_the_shared_gas_system_is_a_tree_with_every_heater() -> None:
    """Row by row as the answer has it."""
    system, rows = shared()["gas_system"], gas_rows(NAME)
    for segment in system["segments"]:
        row = row_of(rows, segment["id"])
        assert f"{segment['load']:,.10g}" in row[3]
        assert segment["chosen"]["size"] in row[1]
    heaters = [i for i in system["inlets"] if i["kind"] == "tankless heater"]
    assert len(heaters) == len(designs())
    for inlet in system["inlets"]:
        row = row_of(rows, inlet["id"])
        assert f"{inlet['full_fire']:,.6g} " in row[2] and row[-1] == "kept"


def test_the_bill_adds_up_by_dwelling_and_in_all() -> None:
    """To the cent."""
    rows = [r for r in csv.DictReader(io.StringIO(bill_bytes(book(NAME)).decode())) if r["kind"] == "priced"]
    sums = {}
    for row in rows:
        sums[row["dwelling"]] = sums.get(row["dwelling"], 0) + round(float(row["amount"]) * 100)
    expected = {d["dwelling"]: round(d["cost"]["total"] * 100) for d in designs()}
    assert sums == {**expected, "shared by all": round(shared()["cost"]["total"] * 100)}
    assert sum(sums.values()) == round(book(NAME).answer["cost"] * 100)


def test_runs_in_the_dxf_lie_where_the_answer_says() -> None:
    """Every bend in plan is a point of some dwelling's run; views lie apart from one another."""
    document = ezdxf.read(io.StringIO(dxf_bytes(book(NAME)).decode()))  # type: ignore[attr-defined]  # its public name
    assert document.audit().errors == []
    lines = document.modelspace().query("POLYLINE")
    for service in ("vent", "gas", "cold", "hot", "drain", "power"):
        known = [(x * 1000, y * 1000) for d in designs() for r in d["routes"] if r["service"] == service
                 for x, y, _ in r["points"]]  # fmt: skip
        layer = re.compile(rf"PLAN-\d+-{service.upper()}")
        bends = [v.dxf.location for line in lines if layer.fullmatch(line.dxf.layer) for v in line.vertices]
        assert bends
        assert all(min(dist((b.x, b.y), k) for k in known) < 1.0 for b in bends)
    spans = {}
    for line in lines:
        if found := re.match(r"ELEVATION-\d+", line.dxf.layer):
            spans.setdefault(found[0], []).extend(v.dxf.location.x for v in line.vertices)
    ends = sorted((min(xs), max(xs)) for xs in spans.values())
    assert len(ends) == len(designs())
    assert all(a[1] < b[0] for a, b in zip(ends, ends[1:], strict=False))


def test_renewed_pipe_is_drawn_with_both_sizes() -> None:
    """As many pieces as the answer renews, each with the size that takes the old one's place."""
    document: Any = loads(geometry_bytes(book(NAME)), 32)
    drawn = [f["properties"] for f in document["features"] if f["properties"]["kind"] == "pipe"]
    heavier = [p["size"].split(" to ") for p in drawn if p["of"] == "renewed-gas"]
    assert shared()["renewals"]
    assert sorted(size for _, size in heavier) == sorted(r["size"] for r in shared()["renewals"])
    assert all(old and old != new for old, new in heavier)


def test_the_geometry_names_each_dwelling() -> None:
    """Runs, case and terminal of each, point by point."""
    document: Any = loads(geometry_bytes(book(NAME)), 32)
    for design in designs():
        own = [f for f in document["features"] if f["properties"].get("dwelling") == design["dwelling"]]
        assert {"heater", "run", "terminal", "terminal_may_be"} == {f["properties"]["kind"] for f in own}
        runs = {f["properties"]["service"]: f for f in own if f["properties"]["kind"] == "run"}
        for route in design["routes"]:
            made = runs[route["service"]]["geometry"]["coordinates"]
            assert all(dist(a, b) < 5e-4 for a, b in zip(made, route["points"], strict=True))


@pytest.mark.parametrize("number", range(4))
def test_the_page_tells_each_dwellings_cost(number: int) -> None:
    """Cell by cell: sums by trade in its own section, and its line of the sums of all."""
    tree, design = lxml_html.fromstring(page_bytes(book(NAME)).decode()), designs()[number]
    section = tree.get_element_by_id(f"cost-{number + 1}")
    table = next(t for t in section.iter("table") if t.findtext("caption") == "Cost by trade")
    sums = {r[0].text_content(): r[1].text_content() for r in list(table.iter("tr"))[1:]}
    assert sums["total"] == f"{design['cost']['total']:,.2f}"
    whole = next(t for t in tree.iter("table") if t.findtext("caption") == "Cost by dwelling")
    rows = {r[0].text_content(): r[1].text_content() for r in list(whole.iter("tr"))[1:]}
    assert rows[design["dwelling"]] == f"{design['cost']['total']:,.2f}"
    assert rows["shared by all"] == f"{shared()['cost']['total']:,.2f}"
    assert rows["total"] == f"{book(NAME).answer['cost']:,.2f}"


@cache
def pdf_pages() -> tuple[str, ...]:
    """Text of each page of the PDF."""
    return tuple(p.extract_text() for p in PdfReader(io.BytesIO(pdf_bytes(book(NAME)))).pages)


def test_the_pdf_has_a_start_up_sheet_and_a_bill_for_each() -> None:
    """And what is shared; no page but the last is all but empty."""
    assert min(len(page.split()) for page in pdf_pages()[:-1]) > FEW_WORDS
    text = " ".join(" ".join(pdf_pages()).split())
    for design in designs():
        assert f"Start-up sheet of {design['dwelling']}" in text
        assert f"Cost of {design['dwelling']}" in text
        assert all(f"{line['amount']:,.2f}" in text for line in design["cost"]["lines"])
    assert "Gas, shared by all" in text
