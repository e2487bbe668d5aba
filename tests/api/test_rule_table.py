"""A rule set as data, as a page to print and as a table: which is chosen, and that all three say the same."""

from __future__ import annotations

import csv
import io
from html.parser import HTMLParser
from typing import Any

import pytest
from flask.testing import FlaskClient

from service.rules.rulesets import rule_set_ids

COLUMNS = [
    "id", "to_what", "which_way", "distance_in", "distance_mm",
    "condition", "standard_and_section", "how_known", "note",
]  # fmt: skip
BROWSER = "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8"


class Page(HTMLParser):
    """Cells of every table row, and what a page would fetch from elsewhere."""

    def __init__(self) -> None:
        """Nothing read yet."""
        super().__init__()
        self.rows: list[list[str]] = []
        self.captions = 0
        self.fetched: list[str] = []
        self._in_cell = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Rows and cells open; a source or a link to a file is something to fetch."""
        self.fetched += [f"{tag} {name}" for name, _ in attrs if name in ("src", "href", "action")]
        self.captions += tag == "caption"
        if tag == "tr":
            self.rows.append([])
        self._in_cell = tag in ("td", "th")
        if self._in_cell:
            self.rows[-1].append("")

    def handle_endtag(self, tag: str) -> None:
        """Cells close."""
        if tag in ("td", "th"):
            self._in_cell = False

    def handle_data(self, data: str) -> None:
        """Text of a cell."""
        if self._in_cell:
            self.rows[-1][-1] += data


def fetched(client: FlaskClient, rules: str, accept: str) -> Any:
    """The answer in a media type."""
    response = client.get(f"/v1/rule-sets/{rules}", headers={"Accept": accept})
    assert response.status_code == 200
    return response


def as_csv(client: FlaskClient, rules: str) -> list[dict[str, str]]:
    """Rows of the table."""
    return list(csv.DictReader(io.StringIO(fetched(client, rules, "text/csv").text, newline="")))


@pytest.mark.parametrize(
    ("accept", "media"),
    [
        (None, "application/json"),
        ("*/*", "application/json"),
        ("application/json", "application/json"),
        (BROWSER, "text/html"),
        ("text/csv", "text/csv"),
        ("text/*", "text/html"),
        ("text/csv;q=0.9, text/html;q=0.1, application/json;q=0", "text/csv"),
        ("application/json;q=0, */*", "text/html"),
    ],
)
def test_the_media_type_is_negotiated(client: FlaskClient, accept: str | None, media: str) -> None:
    """RFC 9110 12.5.1 (read): by quality; JSON where nothing is said. The default stays what it was."""
    response = client.get("/v1/rule-sets/us-2021", headers={"Accept": accept} if accept else {})
    assert (response.status_code, response.mimetype) == (200, media)
    assert response.headers["Vary"] == "Accept"


def test_nothing_else_is_produced(client: FlaskClient) -> None:
    """406 names what there is; lists have no table."""
    problem = client.get("/v1/rule-sets/us-2021", headers={"Accept": "image/png"})
    assert problem.status_code == 406
    assert problem.get_json(force=True)["detail"] == "the answer is application/json or text/html or text/csv"
    assert client.get("/v1/rule-sets", headers={"Accept": "text/csv"}).status_code == 406
    assert client.get("/v1/rule-sets/none", headers={"Accept": "text/csv"}).status_code == 404


def test_each_form_has_its_own_etag(client: FlaskClient) -> None:
    """A cache must not answer one with the other."""
    forms = ("application/json", "text/html", "text/csv")
    etags = {accept: fetched(client, "ca-b149", accept).headers["ETag"] for accept in forms}
    assert len(set(etags.values())) == 3
    for accept, etag in etags.items():
        headers = {"Accept": accept, "If-None-Match": etag}
        again = client.get("/v1/rule-sets/ca-b149", headers=headers)
        assert (again.status_code, again.headers["Vary"]) == (304, "Accept")


@pytest.mark.parametrize("rules", rule_set_ids())
def test_the_table_has_every_rule_once(client: FlaskClient, rules: str) -> None:
    """Terminal and intake rules, mounting rules, local amendments; each with citation and mark, in page and table."""
    data = fetched(client, rules, "application/json").get_json()
    rows = as_csv(client, rules)
    assert list(rows[0]) == COLUMNS
    parts = (data["rules"], data["mounting_rules"], data["local_amendments"])
    ids = sorted(r.get("id") or f"{r['rule_id']} ({r['layer']})" for part in parts for r in part)
    assert sorted(row["id"] for row in rows) == ids
    for row in rows:
        assert all(row[c] for c in ("id", "to_what", "condition", "standard_and_section", "how_known"))
    page = Page()
    page.feed(fetched(client, rules, "text/html").text)
    assert [r for r in page.rows if r[0] != "id"] == [list(row.values()) for row in rows]
    assert page.captions == 4
    assert page.rows[0] == [c.replace("_", " ") for c in COLUMNS]


@pytest.mark.parametrize("rules", rule_set_ids())
def test_distances_stand_as_printed(client: FlaskClient, rules: str) -> None:
    """Every figure of the data is in the table, inches and millimetres apart, none converted."""
    rows = {row["id"]: row for row in as_csv(client, rules)}
    for rule in fetched(client, rules, "application/json").get_json()["rules"]:
        for name in ("distance", "beside", "below", "above", "gate"):
            if rule[name]:
                assert rule[name]["inches"] in rows[rule["id"]]["distance_in"]
                assert str(rule[name]["si_mm"]) in rows[rule["id"]]["distance_mm"]


def test_a_row_beside_the_code_book(client: FlaskClient) -> None:
    """CSA B149.1 8.14.8 (read): clause g in three bands, 3 ft and 900 mm over 100,000 Btu/h."""
    rows = {row["id"]: row for row in as_csv(client, "ca-b149")}
    band = rows["CA-g3"]
    assert (band["distance_in"], band["distance_mm"]) == ("36", "900")
    assert band["condition"] == "binding; over 100,000 Btu/h"
    assert band["standard_and_section"] == "CSA B149.1, 8.14.8 g"
    assert band["which_way"] == "in any direction" and band["how_known"] == "read"
    assert rows["CA-h"]["condition"] == "binding; at least 2 open sides; must be more than the distance"
    box = {row["id"]: row for row in as_csv(client, "us-2018")}["US18-ND2"]
    assert box["distance_in"] == "beside 48; below 48; above 12"
    assert box["condition"] == "binding; without direct vent"


def test_sorted_by_section_as_a_book_is(client: FlaskClient) -> None:
    """Rows A to M of the lettered table follow each other; clauses a to h; common practice comes last."""
    lettered = [r["id"] for r in as_csv(client, "us-2021") if "Table 12.9.1 row" in r["standard_and_section"]]
    letters = [x.removeprefix("US21-")[0] for x in lettered]
    assert letters == sorted(letters) and set(letters) == set("ABCDEFGHIJKLM")
    exhaust = [r for r in as_csv(client, "ca-b149") if not r["id"].startswith("CA-IN")]
    clauses = [r["id"] for r in exhaust if "8.14.8" in r["standard_and_section"]]
    assert clauses == ["CA-a", "CA-b", "CA-c", "CA-d", "CA-e", "CA-f", "CA-g1", "CA-g2", "CA-g3", "CA-h"]
    terminal = [r["standard_and_section"] for r in as_csv(client, "us-2018") if not r["id"].startswith(("R", "G"))]
    first = terminal.index("common practice")
    assert set(terminal[first : first + 5]) == {"common practice"}


def test_the_page_asks_nobody_else(client: FlaskClient) -> None:
    """Its own style and nothing to fetch; the policy forbids the rest."""
    response = fetched(client, "us-2018", BROWSER)
    page = Page()
    page.feed(response.text)
    assert page.fetched == [] and "@page" in response.text
    policy = response.headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy and "style-src 'sha256-" in policy
    assert response.headers["X-Content-Type-Options"] == "nosniff"
