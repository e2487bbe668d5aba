"""Certificates and their re-check over HTTP and on the command line: shape, verdicts, faults, exit codes, limits."""

from __future__ import annotations

import json
from collections.abc import Callable
from copy import deepcopy
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from service import cli
from service.app import create_app
from service.explain_summary import explain_lines
from service.http.certificate_json import digests_of
from service.http.digests import digest
from service.report.explained import sections
from service.settings import Settings
from tests.contract.test_specification import misfits, response_schema
from tests.once import once

Json = dict[str, Any]
PLACEMENTS, VERIFICATIONS = "/v1/placements", "/v1/verifications"
PLANS = Path(__file__).parents[2] / "sample_plans"
PLAN = PLANS / "coach_house.json"
FLATS = PLANS / "flats_on_a_yard.json"
"""Of its dwellings the first two are looked at."""


@cache
def service(settings: Settings | None = None) -> FlaskClient:
    """The whole service, its own use cases behind it."""
    return create_app(settings or Settings()).test_client()


@cache
def _certified(plan: Path) -> str:
    return once(("certified over HTTP", plan.name), lambda: _placed(plan))


def _placed(plan: Path) -> str:
    survey = json.loads(plan.read_text("utf-8")) | {"explain": {"certificate": True}}
    if plan == FLATS:
        survey["dwellings"] = survey["dwellings"][:2]
    response = service().post(PLACEMENTS, json=survey)
    assert response.status_code == 200
    return json.dumps({"survey": survey, "answer": response.get_json()})


def certified(plan: Path = PLAN) -> Json:
    """A survey and its answer with a certificate; each call has its own."""
    request: Json = json.loads(_certified(plan))
    return request


def told(request: Json, settings: Settings | None = None) -> Json:
    """The verdict, as the description has it."""
    response = service(settings).post(VERIFICATIONS, json=request)
    assert response.status_code == 200, response.text
    answer: Json = response.get_json()
    assert misfits(answer, response_schema(VERIFICATIONS, "post", "200", "application/json")) == []
    return answer


def certificate_in(request: Json) -> Json:
    """The certificate of a request's answer."""
    found: Json = request["answer"]["explained"]["certificate"]
    return found


def sealed_anew(request: Json) -> Json:
    """Digests that fit what the request holds now."""
    certificate_in(request)["digests"] = digests_of(request["answer"], request["survey"])
    return request


def test_a_certificate_is_as_described_and_confirmed() -> None:
    """No member that nobody described; every step of the re-check holds, and what is trusted is told."""
    request = certified()
    assert misfits(request["answer"], response_schema(PLACEMENTS, "post", "200", "application/json")) == []
    answer = told(request)
    assert (answer["verdict"], answer["covers"]) == ("confirmed", certificate_in(request)["covers"])
    assert answer["trusted"] and answer["not_looked_at"]


def test_without_asking_there_is_none() -> None:
    """A placement that was not asked for a certificate has none, and nothing to confirm."""
    survey = json.loads(PLAN.read_text("utf-8"))
    plain = service().post(PLACEMENTS, json=survey).get_json()
    assert plain["explained"] is None
    assert told({"survey": survey, "answer": plain})["verdict"] == "not_confirmed"


def test_the_layout_of_the_text_does_not_matter() -> None:
    """Members in another order, whole numbers written with a fraction: the same values, the same digests."""
    request = certified()
    turned = json.loads(json.dumps(request, sort_keys=True), parse_int=float)
    assert digest(request) == digest(turned)
    assert told(json.loads(json.dumps(request, sort_keys=True)))["verdict"] == "confirmed"


def test_digest_is_the_published_one() -> None:
    """SHA-256 of the empty object's two bytes (computed with sha256sum)."""
    assert digest({}) == "44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a"


@pytest.mark.parametrize(
    ("member", "value", "pointer"),
    [
        ("cost_units", "many", "/cost_units"),
        ("networks", [{"planes": 3}], "/networks/0/planes"),
        ("extra", 1, "/extra"),
        ("services", [{"service": "lift", "least_units": 1, "design_units": 1}], "/services/0/service"),
    ],
)
def test_a_certificate_that_cannot_be_read_is_refused_with_pointers(member: str, value: object, pointer: str) -> None:
    """Refused, never an error of the service; every fault by its place."""
    request = certified()
    certificate_in(request)[member] = value
    answer = told(request)
    assert answer["verdict"] == "refused"
    assert any(f"#/answer/explained/certificate{pointer}" in s["detail"] for s in answer["steps"])


def test_names_that_the_house_has_not_are_refused() -> None:
    """A heater, a wall, a ceiling, a side."""
    for change in ("heater", "surface", "network"):
        request = certified()
        certificate = certificate_in(request)
        if change == "heater":
            certificate["heaters"][0]["heater"] = "nobody's"
        elif change == "surface":
            certificate["heaters"][0]["surfaces"][0]["surface"] = "no wall"
        else:
            certificate["heaters"][0]["network"] = 99
        assert told(sealed_anew(request))["verdict"] == "refused", change


def test_a_heater_left_out_is_refused() -> None:
    """So is one that is there twice, and surfaces that are not told."""
    for change in ("out", "twice", "surface"):
        request = certified()
        heaters = certificate_in(request)["heaters"]
        if change == "out":
            heaters.pop()
        elif change == "twice":
            heaters.append(deepcopy(heaters[0]))
        else:
            heaters[0]["surfaces"].pop()
        assert told(sealed_anew(request))["verdict"] == "refused", change


def test_an_answer_that_is_none_is_refused_and_a_bad_survey_is_a_bad_request() -> None:
    """The survey's faults have pointers into the request."""
    request = certified()
    assert told(request | {"answer": 3})["verdict"] == "refused"
    response = service().post(VERIFICATIONS, json=request | {"survey": {"name": 1}})
    assert response.status_code == 422
    assert all(e["pointer"].startswith("#/survey") for e in response.get_json()["errors"])
    response = service().post(VERIFICATIONS, json={"survey": {}, "design": {}})
    assert sorted(e["pointer"] for e in response.get_json()["errors"]) == ["#/answer", "#/design"]


def test_time_that_is_up_confirms_nothing() -> None:
    """What was not looked at is not confirmed."""
    answer = told(certified(), replace(Settings(), verify_seconds=1e-6))
    assert answer["verdict"] == "not_confirmed"
    assert any(s["detail"] == "time was up" for s in answer["steps"])


def test_a_network_beyond_all_measure_is_not_built() -> None:
    """Planes without end would only make it finer, but nobody can make the service run out of memory."""
    request = certified()
    planes = certificate_in(request)["networks"][0]["planes"]
    planes += [{"axis": axis, "at": v, "why": "none"} for axis in "xyz" for v in range(3000)]
    answer = told(sealed_anew(request))
    assert answer["verdict"] == "not_confirmed"
    assert any(s["step"] == "size" for s in answer["steps"])


@pytest.mark.parametrize("name", ["flat_over_shop", "workshop_circuits"])
def test_more_planes_change_no_bound(name: str) -> None:
    """A finer network bounds the same (lemmas L1 and L2) where no round zone is cut in: every figure is found again."""
    request = certified(PLANS / f"{name}.json")
    assert not any(z["radius_squared"] for n in certificate_in(request)["networks"] for z in n["zones"])
    for network in certificate_in(request)["networks"]:
        there = {(p["axis"], p["at"]) for p in network["planes"]}
        more = [("x", 1234), ("x", 2468), ("y", 1357), ("z", 777), ("z", 1888)]
        network["planes"] += [{"axis": a, "at": v, "why": "nothing"} for a, v in more if (a, v) not in there]
    assert told(sealed_anew(request))["verdict"] == "confirmed"


def files(tmp_path: Path, request: Json) -> list[str]:
    """Survey and answer as files."""
    paths = [tmp_path / f"{name}.json" for name in ("survey", "answer")]
    for path, name in zip(paths, ("survey", "answer"), strict=True):
        path.write_text(json.dumps(request[name]), "utf-8")
    return [str(p) for p in paths]


def test_command_line_from_two_files_or_one(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """0 and the verdict first; the same from a file that holds both."""
    request = certified()
    assert cli.main(["verify", *files(tmp_path, request)]) == 0
    out = capsys.readouterr().out
    assert out.startswith("CONFIRMED: ") and "Taken as it is" in out
    both = tmp_path / "both.json"
    both.write_text(json.dumps(request), "utf-8")
    assert cli.main(["verify", str(both), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["verdict"] == "confirmed"


def test_command_line_refuses_with_1_and_leaves_open_with_4(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A changed cost is refused by name; an answer without a certificate is neither confirmed nor refused."""
    request = certified()
    request["answer"]["cost"] += 1
    assert cli.main(["verify", *files(tmp_path, request)]) == 1
    out = capsys.readouterr().out
    assert out.startswith("REFUSED") and "cost of the answer" in out and "digest of the answer" in out
    request = certified()
    request["answer"]["explained"]["certificate"] = None
    assert cli.main(["verify", *files(tmp_path, request)]) == 4
    assert capsys.readouterr().out.startswith("NOT CONFIRMED")


def test_command_line_tells_bad_input_with_2(tmp_path: Path) -> None:
    """No JSON, no answer, no file."""
    survey, answer = files(tmp_path, certified())
    Path(answer).write_text("{", "utf-8")
    assert cli.main(["verify", survey, answer]) == 2
    assert cli.main(["verify", survey]) == 2
    assert cli.main(["verify", str(tmp_path / "none.json")]) == 2


BESIDE, AS_THEY_ARE = "all designs together", ", all other heaters as they are"


def part_of(request: Json, index: int = 0) -> Json:
    """What is told of one dwelling's heater."""
    found: Json = request["answer"]["dwellings"]["explained"][index]
    return found


def open_steps(answer: Json) -> dict[str, str]:
    """Steps that are not confirmed, by name."""
    return {s["step"]: s["outcome"] for s in answer["steps"] if s["outcome"] != "confirmed"}


def test_each_dwelling_has_a_certificate_beside_the_others() -> None:
    """Every step of each holds; that no other set is cheaper is left open, and so the whole is not confirmed."""
    request = certified(FLATS)
    assert misfits(request["answer"], response_schema(PLACEMENTS, "post", "200", "application/json")) == []
    answer, named = told(request), [d["id"] for d in request["survey"]["dwellings"]]
    assert open_steps(answer) == {BESIDE: "not_confirmed"}
    assert (answer["verdict"], answer["covers"]) == ("not_confirmed", part_of(request)["certificate"]["covers"])
    assert part_of(request)["certificate"]["scope"].startswith("While all other heaters stay as they are: ")
    steps = {s["step"] for s in answer["steps"]}
    assert {f"{name}: nothing cheaper with co-direct-160" for name in named} <= steps


def test_text_and_report_tell_of_each_dwelling() -> None:
    """One part for each, by name, in the order of the survey."""
    answer = certified(FLATS)["answer"]
    names = [d["dwelling"] for d in answer["dwellings"]["designs"]]
    told = [section.id for section in sections(answer)]
    assert told == [f"certificate-{i}" for i in range(1, len(names) + 1)]
    headings = [line for line in explain_lines(answer) if line.endswith(AS_THEY_ARE)]
    assert headings == [name + AS_THEY_ARE for name in names]


def _dearer(request: Json) -> None:
    """A heater's design of one dwelling is billed a cent more."""
    design = request["answer"]["dwellings"]["designs"][0]
    design["cost"]["total"] = round(design["cost"]["total"] + 0.01, 2)


def _moved(request: Json) -> None:
    """Another dwelling's terminal is elsewhere, which nothing of this one's proof knows."""
    end = request["answer"]["dwellings"]["designs"][1]["terminal"]
    end["distance_along"] = round(end["distance_along"] + 0.5, 4)
    end["point"][0] = round(end["point"][0] - 0.5, 4)


def _cheap(request: Json) -> None:
    """The proof claims a lower cost than the design has."""
    part_of(request)["certificate"]["cost_units"] -= 1


def _exchanged(request: Json) -> None:
    """Two dwellings' proofs change places."""
    first, second = part_of(request), part_of(request, 1)
    first["certificate"], second["certificate"] = second["certificate"], first["certificate"]


@pytest.mark.parametrize("tamper", [_dearer, _moved, _cheap, _exchanged])
def test_a_tampered_set_is_refused(tamper: Callable[[Json], None]) -> None:
    """With digests that fit, too."""
    request = certified(FLATS)
    tamper(request)
    assert told(request)["verdict"] == "refused"
    for i, dwelling in enumerate(request["survey"]["dwellings"]):
        part_of(request, i)["certificate"]["digests"] = digests_of(request["answer"], request["survey"], dwelling["id"])
    answer = told(request)
    assert answer["verdict"] == "refused"
    assert not any("digest" in step for step in open_steps(answer))


@pytest.mark.parametrize("name", [[], 1])
def test_a_proof_of_no_dwelling_is_no_proof(name: object) -> None:
    """A part whose dwelling is no name belongs to none: its certificate is not there."""
    request = certified(FLATS)
    part_of(request)["dwelling"] = name
    steps = open_steps(told(request))
    assert steps[f"{request['survey']['dwellings'][0]['id']}: certificate"] == "not_confirmed"


def test_a_proof_of_one_heater_is_none_of_a_set() -> None:
    """The answer to another question."""
    survey = json.loads(FLATS.read_text("utf-8"))
    assert told({"survey": survey, "answer": certified()["answer"]})["verdict"] != "confirmed"


def test_a_placement_in_text_tells_of_its_certificate(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One line, and where to go with it."""
    survey, _ = files(tmp_path, certified())
    assert cli.main(["place", survey]) == 0
    assert "Certificate of the first design: " in capsys.readouterr().out
