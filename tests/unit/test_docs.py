"""README and DEVELOPERS name all there is, and what they say can be done can be done."""

from __future__ import annotations

import json
import re
import tomllib
from collections import Counter
from dataclasses import fields
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from service.cli import _parser
from service.http.problems import REGISTRY
from service.http.spec import specification
from service.rules import catalogue, rulesets
from service.rules.tables import MARKS
from service.settings import Settings

ROOT = Path(__file__).resolve().parents[2]
PLANS = sorted(p.name for p in (ROOT / "sample_plans").glob("*.json"))
RULE_SETS = rulesets.rule_set_ids()
PACKAGES = sorted(p.parent.name for p in (ROOT / "service").glob("*/__init__.py"))
TEST_KINDS = sorted(p.name for p in (ROOT / "tests").iterdir() if p.is_dir() and p.name != "__pycache__")


@cache
def text(name: str) -> str:
    """One of the documents."""
    return (ROOT / name).read_text(encoding="utf-8")


def blocks(language: str) -> list[str]:
    """Fenced blocks of README in one language."""
    return re.findall(rf"^```{language}\n(.*?)^```", text("README.md"), re.M | re.S)


def row_of(name: str) -> list[str]:
    """Cells of the README's table row that begins with a name in code quotes."""
    rows = re.findall(rf"^\| `{re.escape(name)}` \|(.*)\|$", text("README.md"), re.M)
    assert len(rows) == 1, name
    return [cell.strip() for cell in rows[0].split("|")]


@pytest.mark.parametrize("path", sorted(specification(Settings())["paths"]))
def test_every_path_is_in_readme(path: str) -> None:
    """Word for word, in code quotes."""
    assert re.search(rf"`(?:GET |POST )?{re.escape(path)}`", text("README.md"))


@pytest.mark.parametrize("limit", fields(Settings), ids=lambda f: f.name)
def test_every_limit_is_in_readme_with_its_values(limit: Any) -> None:
    """Unit, default and upper bound as in the settings."""
    unit, default, top = row_of(limit.name)
    assert (unit, float(default), float(top)) == (limit.metadata["unit"], limit.default, limit.metadata["top"])


@pytest.mark.parametrize("slug", sorted(REGISTRY))
def test_every_kind_of_problem_is_in_readme(slug: str) -> None:
    """With its status."""
    assert re.search(rf"^\| {REGISTRY[slug].status} \| `/problems/{slug}` \|", text("README.md"), re.M)


@pytest.mark.parametrize("rule_set_id", RULE_SETS)
def test_every_rule_set_is_in_readme_with_what_is_known_of_it(rule_set_id: str) -> None:
    """How many rules, and how many of each mark."""
    rules = rulesets.rule_set(rule_set_id).rules
    marks = Counter(r.mark for r in rules)
    told = [int(cell) for cell in row_of(rule_set_id)[1:]]
    assert told == [len(rules), marks["read"], marks["memory"], marks["common_practice"]]
    assert set(marks) <= set(MARKS)


def test_the_invented_data_are_in_readme() -> None:
    """Every price book by its id, and how many heaters."""
    assert all(f"`{book}`" in text("README.md") for book in catalogue.price_book_ids())
    assert f"heaters ({len(catalogue.heaters())})" in text("README.md")


@pytest.mark.parametrize("plan", PLANS)
def test_every_sample_plan_is_in_readme(plan: str) -> None:
    """With its story."""
    assert len(row_of(plan)[0]) > 20


@pytest.mark.parametrize("name", PACKAGES)
def test_every_package_is_in_developers(name: str) -> None:
    """As a directory, or in the layer rule."""
    assert f"service/{name}/" in text("DEVELOPERS.md")


@pytest.mark.parametrize("kind", TEST_KINDS)
def test_every_kind_of_test_is_in_developers(kind: str) -> None:
    """With how to run it."""
    assert f"`tests/{kind}/`" in text("DEVELOPERS.md")


@pytest.mark.parametrize("document", ["README.md", "DEVELOPERS.md"])
def test_files_that_are_named_exist(document: str) -> None:
    """Whole paths, and ends of paths of what is ours."""
    ours = [p.as_posix() for base in ("service", "tests", "openapi", "sample_plans") for p in (ROOT / base).rglob("*")]
    names = set(re.findall(r"`([\w./-]+\.(?:py|csv|toml|json|yaml|md))`", text(document)))
    missing = [n for n in sorted(names) if not (ROOT / n).exists() and not any(p.endswith(f"/{n}") for p in ours)]
    assert missing == []


@pytest.mark.parametrize("mark", ["place", "test"])
def test_marked_commands_are_one_line_each(mark: str) -> None:
    """As .ci/run takes them: all set-up from a bare Python."""
    found = re.findall(rf"^<!-- command: {mark} -->\n```sh\n(.+)\n```$", text("README.md"), re.M)
    assert len(found) == 1
    assert found[0].startswith("python3 -m venv .venv && .venv/bin/pip install ")


def test_commands_of_the_service_are_understood() -> None:
    """Every ``python -m service ...`` line parses, and every command is shown."""
    lines = [line.partition("#")[0] for block in blocks("sh") for line in block.splitlines()]
    calls = [line.partition("-m service ")[2].split() for line in lines if "-m service " in line]
    for call in calls:
        _parser().parse_args(call)
    commands = {"place", "check", "clearances", "gas", "demand", "verify", "serve", "new-key"}
    assert {call[0] for call in calls} == commands


def test_curl_asks_paths_there_are_with_files_there_are() -> None:
    """A file is a sample plan or written by a line before."""
    written: set[str] = set()
    paths = specification(Settings())["paths"]
    for line in (line for block in blocks("sh") for line in block.splitlines()):
        for name in re.findall(r"--data-binary @(\S+)", line):
            assert name in written or (ROOT / name).is_file(), name
        for path in re.findall(r"127\.0\.0\.1:8000(/v1\S*)", line):
            known = [p for p in paths if re.fullmatch(re.sub(r"{\w+}", "[^/]+", p), path)]
            assert known and ("post" if "--data-binary" in line or " -d " in line else "get") in paths[known[0]], path
        written |= set(re.findall(r" > (\S+)$", line))


def test_json_that_is_shown_is_json() -> None:
    """Shortened, but whole."""
    shown = [json.loads(block) for block in blocks("json")]
    assert len(shown) >= 4


def test_the_answer_that_is_shown_is_the_one_recorded() -> None:
    """Cost and heater of the slab house, in the answer and in the summary."""
    with (ROOT / "tests/scenarios/expected/slab_house.toml").open("rb") as file:
        recorded = tomllib.load(file)["recorded"]
    answer = next(a for a in map(json.loads, blocks("json")) if "designs" in a)
    assert round(answer["cost"] * 100) == recorded["total_cents"]
    assert answer["designs"][0]["heater"]["id"] == recorded["heater"]
    assert f"cost {recorded['total_cents'] / 100:,.2f} USD" in text("README.md")
