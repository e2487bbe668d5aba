"""The command line: summaries, exit codes, every fault with its pointer."""

from __future__ import annotations

import io
import json
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from service import app, cli
from service.building.build import build
from service.http.exchange import Operations
from service.settings import Settings
from service.summary import _finding_text, length_text
from service.usecases.results import CheckReport
from tests.api import fakes
from tests.api.fakes import FAKES, SAMPLE, sample


@pytest.fixture(autouse=True)
def use_cases(monkeypatch: pytest.MonkeyPatch) -> None:
    """Hand-made use cases in place of the service's own."""
    put(monkeypatch, FAKES)


def put(monkeypatch: pytest.MonkeyPatch, operations: Operations) -> None:
    """Let the command line find these use cases."""
    monkeypatch.setattr(app, "real_operations", lambda: operations)


def written(path: Path, document: Any) -> str:
    """A JSON file; its name."""
    path.write_text(json.dumps(document), encoding="utf-8")
    return str(path)


def test_place_tells_the_decision_first(capsys: pytest.CaptureFixture[str]) -> None:
    """Heater, where, terminal, status with bound and gap, cost by trade, tightest clearances, cautions."""
    assert cli.main(["place", str(SAMPLE)]) == 0
    out = capsys.readouterr().out
    heads = ["Heater ", "Hangs ", "Vents ", "Status ", "Runs", "Cost by trade", "Tightest", "Assumptions:", "Cautions:"]
    assert [out.index(head) for head in heads] == sorted(out.index(head) for head in heads)
    assert "optimal, cost 189.59 USD, bound 189.59 USD, gap 0.00%" in out
    assert "verify on site" in out


def test_place_as_json_is_the_answer_of_the_service(capsys: pytest.CaptureFixture[str]) -> None:
    """Member for member."""
    assert cli.main(["place", "--json", str(SAMPLE)]) == 0
    client = app.create_app(Settings(), FAKES).test_client()
    assert json.loads(capsys.readouterr().out) == client.post("/v1/placements", json=sample()).get_json()


def test_infeasible_ends_with_1_and_says_what_forbids(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Per surface, the rules that take most."""
    put(monkeypatch, replace(FAKES, place=fakes.infeasible))
    assert cli.main(["place", str(SAMPLE)]) == 1
    out = capsys.readouterr().out
    assert out.startswith("Status    infeasible")
    assert "US21-A 50%, US21-B 25%" in out


def test_bad_input_ends_with_2_and_tells_every_fault(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With pointers, on standard error."""
    survey = sample() | {"nonsense": 1}
    survey["gas"]["pressure"] = "seven"
    assert cli.main(["place", written(tmp_path / "s.json", survey)]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert "#/nonsense: " in told.err
    assert "#/gas/pressure: " in told.err


def test_what_is_no_json_too_large_or_not_there_ends_with_2(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Three ways to hand in nothing of use."""
    (tmp_path / "broken.json").write_text("{")
    (tmp_path / "large.json").write_text(" " * 1_000_001)
    for name, word in (("broken.json", "strict JSON"), ("large.json", "body_bytes"), ("none.json", "cannot read")):
        assert cli.main(["place", str(tmp_path / name)]) == 2
        assert word in capsys.readouterr().err


def test_check_takes_an_answer_or_a_design(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Unlawful ends with 1 and names what is broken or unknown; lawful with 0."""
    assert cli.main(["place", "--json", str(SAMPLE)]) == 0
    answer = json.loads(capsys.readouterr().out)
    whole, single = written(tmp_path / "a.json", answer), written(tmp_path / "d.json", answer["designs"][0])
    assert cli.main(["check", str(SAMPLE), whole]) == 1
    first = capsys.readouterr().out
    assert first.startswith("NOT LAWFUL: 2 findings")
    assert "not known: operable" in first
    assert cli.main(["check", str(SAMPLE), single]) == 1
    assert capsys.readouterr().out == first


def test_a_lawful_design_ends_with_0(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """And says so first."""
    cli.main(["place", "--json", str(SAMPLE)])
    name = written(tmp_path / "a.json", json.loads(capsys.readouterr().out))
    put(monkeypatch, replace(FAKES, check=lambda s, d: CheckReport(True, (), build(s), (), ())))
    assert cli.main(["check", str(SAMPLE), name]) == 0
    assert capsys.readouterr().out.startswith("LAWFUL\n")


def test_faults_of_a_design_point_into_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """As over HTTP."""
    assert cli.main(["check", str(SAMPLE), written(tmp_path / "d.json", {"designs": []})]) == 2
    assert "#/design/heater: " in capsys.readouterr().err


def test_clearances_are_told_by_surface(capsys: pytest.CaptureFixture[str]) -> None:
    """Free area of each."""
    assert cli.main(["clearances", str(SAMPLE)]) == 0
    assert "53.82 of 215.28 ft2; US21-A" in capsys.readouterr().out


def test_a_dash_reads_standard_input(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """So that a survey can be piped in."""
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(SAMPLE.read_bytes())))
    assert cli.main(["place", "-"]) == 0
    assert capsys.readouterr().out.startswith("Heater")


def test_a_reader_that_goes_away_is_no_fault() -> None:
    """As ``| head`` does: nothing on standard error, and the exit code a shell gives for SIGPIPE."""
    command = [sys.executable, "-m", "service", "clearances", "--json", str(SAMPLE)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=SAMPLE.parents[1]) as process:
        assert process.stdout is not None and process.stderr is not None
        process.stdout.close()
        told = process.stderr.read()
    assert (told, process.returncode) == (b"", 141)


def test_the_side_of_a_facade_is_told_and_north_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    """In the decision and on the map."""
    cli.main(["place", str(SAMPLE)])
    out = capsys.readouterr().out
    assert re.search(r"^Vents     through facade F\d, which looks [NESW]+ \(north = \+y of the survey\): ", out, re.M)
    cli.main(["clearances", str(SAMPLE)])
    assert "Free area by surface; north = +y of the survey\n  F1 (S) - " in capsys.readouterr().out


def test_a_rule_of_the_vent_names_its_system() -> None:
    """A vent is not measured to its own system."""
    answer = {"units": {"length": "m"}}
    finding = {"verdict": "pass", "rule": "vent.hole", "subject": "vent", "object": "ss4", "margin": None,
               "verify_on_site": False, "missing": "", "citation": "c"}  # fmt: skip
    assert _finding_text(finding, answer) == "pass    vent.hole: vent system ss4 [c]"
    other = finding | {"rule": "MT4", "subject": "mount", "object": "ceiling"}
    assert _finding_text(other, answer) == "pass    MT4: mount to ceiling [c]"


def test_a_fault_of_ours_ends_with_3(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """Never mistaken for infeasible or bad input."""

    def broken(*_: object) -> Any:
        raise RuntimeError("inside")

    put(monkeypatch, replace(FAKES, place=broken))
    assert cli.main(["place", str(SAMPLE)]) == 3


@pytest.mark.parametrize(
    ("value", "told"), [
        (7.5, "7 ft 6 in"), (1.427083, "1 ft 5-1/8 in"), (8.875 / 12, "8-7/8 in"), (2.0 + 0.5 / 12, "2 ft 1/2 in"),
        (-0.0521, "-5/8 in"), (0.99999, "1 ft 0 in"), (-0.0001, "0 in"),
    ],
)
def test_feet_are_told_in_eighths_of_an_inch(value: float, told: str) -> None:
    """As a tape reads."""
    assert length_text(value, {"units": {"length": "ft"}}) == told
    assert length_text(value, {"units": {"length": "m"}}) == f"{value:.3f} m"
