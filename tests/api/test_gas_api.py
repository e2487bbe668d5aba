"""A gas system alone over HTTP and on the command line: answers, faults, exit codes."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest
import requests
from flask.testing import FlaskClient

from service import cli
from tests.api.fakes import sample
from tests.api.gas_documents import gas_system
from tests.api.test_malformed import WRONG, spots

ROOT = Path(__file__).parents[2]
URL = "/v1/gas-sizings"


def sized(client: FlaskClient, document: dict[str, Any]) -> dict[str, Any]:
    """The answer to a document that is taken."""
    response = client.post(URL, json=document)
    assert response.status_code == 200, response.text
    answer: dict[str, Any] = response.get_json()
    return answer


def test_a_gas_system_is_sized(client: FlaskClient) -> None:
    """Sizes, pressures, meter, methods, items, request: 364 cfh over 47 ft need 1-1/4 in (402.4(2), memory)."""
    answer = sized(client, gas_system())
    assert answer["lawful"] is True
    assert answer["units"] == {
        "length": "ft", "power": "Btu/h", "gas_pressure": "in w.c.", "gas_flow": "cfh", "speed": "ft/s", "money": "USD"
    }  # fmt: skip
    main = answer["segments"][0]
    assert (main["action"], main["present"]["size"], main["chosen"]["size"]) == ("renew", "3/4", "1-1/4")
    assert (main["load"], main["flow"], main["already_short"]) == (364_000, 364, True)
    assert main["pressure_in"] == 7
    assert main["pressure_out"] == answer["segments"][1]["pressure_in"]
    assert answer["cost"] == pytest.approx(sum(s["cost"] for s in answer["segments"]))
    assert [m["governs"] for m in answer["methods"]] == [True, False, False, False, False]
    assert answer["meter"]["class_needed"] == "400"
    assert answer["request_to_supplier"]


def test_the_same_system_in_metres_is_the_same(client: FlaskClient) -> None:
    """Figures in SI, the same sizes and cost."""
    us = gas_system()
    si = deepcopy(us) | {"units": "si", "prices": {"book": "demo-si"}}
    si["heating_value"] = {"value": 1000, "unit": "Btu/ft3"}
    si["heater"] |= {"input": 58.321143, "inlet_min": 1.37, "inlet_max": 2.615}
    si["gas"] |= {"pressure": 1.7436, "allowable_drop": 0.125}
    for segment in si["gas"]["segments"]:
        segment["length"] = {"value": segment["length"], "unit": "ft"}
    si["gas"]["appliances"][0]["input"] = {"value": 100_000, "unit": "Btu/h"}
    a, b = sized(client, us), sized(client, si)
    assert [(s["action"], s["size_needed"]) for s in a["segments"]] == [
        (s["action"], s["size_needed"]) for s in b["segments"]
    ]
    assert b["units"]["gas_pressure"] == "kPa"
    assert b["segments"][0]["load"] == pytest.approx(106.678, abs=0.001)


def test_a_survey_is_taken_for_its_gas(client: FlaskClient) -> None:
    """What POST /v1/placements takes."""
    answer = sized(client, sample())
    assert answer["name"] == sample()["name"]
    assert {s["id"] for s in answer["segments"]} == {s["id"] for s in sample()["gas"]["segments"]}


def test_the_same_request_gives_the_same_bytes(client: FlaskClient) -> None:
    """Determinism."""
    assert client.post(URL, json=gas_system()).data == client.post(URL, json=gas_system()).data


def test_every_fault_is_told_at_once(client: FlaskClient) -> None:
    """A negative length, an unknown member, a word for a figure, a fuel that is none."""
    document = gas_system() | {"fuel": "coal", "nonsense": 1}
    document["gas"]["segments"][0]["length"] = -3
    document["gas"]["pressure"] = "seven"
    response = client.post(URL, json=document)
    assert response.status_code == 422
    pointers = {e["pointer"] for e in response.get_json(force=True)["errors"]}
    assert pointers == {"#/fuel", "#/nonsense", "#/gas/segments/0/length", "#/gas/pressure"}


def test_faults_of_the_tree_are_told_at_once(client: FlaskClient) -> None:
    """A loop, and an appliance on a node that no pipe has."""
    document = gas_system()
    document["gas"]["segments"].append(
        {"id": "loop", "start": "range", "end": "furnace", "material": "steel_sch40", "size": "1/2", "length": 5}
    )
    document["gas"]["appliances"][0]["node"] = "nowhere"
    response = client.post(URL, json=document)
    assert response.status_code == 422
    errors = response.get_json(force=True)["errors"]
    assert {(e["pointer"], e["code"]) for e in errors} >= {
        ("#/gas/segments/4", "gas_loop"), ("#/gas/appliances/0/node", "unknown_node")
    }  # fmt: skip


def test_no_bad_value_at_any_place_is_a_fault_of_ours(client: FlaskClient) -> None:
    """Every member of the document in turn becomes something wrong: refused, or taken for what it says."""
    statuses = set()
    places = len(list(spots(gas_system())))
    for i in range(places):
        for wrong in (*WRONG, 0, "meter", "csst"):
            document = gas_system()
            container, key = list(spots(document))[i]
            container[key] = deepcopy(wrong)
            response = client.post(URL, json=document)
            statuses.add(response.status_code)
            assert response.status_code in (200, 400, 413, 422), (i, key, wrong, response.text)
    assert {200, 422} <= statuses


def test_an_unlawful_system_is_an_answer(client: FlaskClient) -> None:
    """2 psi at every inlet: 200, not lawful, with the figures first."""
    document = gas_system()
    document["gas"] |= {"pressure": {"value": 2, "unit": "psi"}, "allowable_drop": {"value": 1, "unit": "psi"}}
    answer = sized(client, document)
    assert answer["lawful"] is False
    first = answer["findings"][0]
    assert (first["rule"], first["verdict"]) == ("gas.inlet.static", "fail")
    assert "2 psi" in first["detail"] and "10.5 in w.c." in first["detail"]


def written(path: Path, document: Any) -> str:
    """A JSON file; its name."""
    path.write_text(json.dumps(document), encoding="utf-8")
    return str(path)


def test_the_command_line_tells_the_verdict_first(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Then pipes, appliances, meter, methods, items, request, cautions; 0 for lawful."""
    assert cli.main(["gas", written(tmp_path / "g.json", gas_system())]) == 0
    out = capsys.readouterr().out
    heads = ["LAWFUL", "Pipes by", "Appliances", "Meter", "Pipe by other methods", "Besides pipe", "Request to",
             "Warnings", "Assumptions:", "Cautions:", "Engine:"]  # fmt: skip
    assert [out.index(f"\n{head}" if i else head) for i, head in enumerate(heads)] == sorted(
        out.index(f"\n{head}" if i else head) for i, head in enumerate(heads)
    )
    assert re.search(r"^  main +364,000 +\S+ ft .+ 3/4 steel_sch40 +1-1/4 +renew 1-1/4 steel_sch40", out, re.M)
    assert "TOO SMALL, needs class 400" in out


def test_an_unlawful_system_ends_with_1(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """And says why first."""
    document = gas_system()
    document["heater"]["inlet_max"] = 6
    assert cli.main(["gas", written(tmp_path / "g.json", document)]) == 1
    first, second = capsys.readouterr().out.splitlines()[:2]
    assert first == "NOT LAWFUL: 1 finding"
    assert second.startswith("  fail    appliance heater: without flow 7 in w.c.; the most that it takes is 6 in w.c.")


def test_bad_input_ends_with_2(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With a pointer."""
    assert cli.main(["gas", written(tmp_path / "g.json", gas_system() | {"units": "ells"})]) == 2
    assert "#/units: " in capsys.readouterr().err


def test_json_on_the_command_line_is_the_answer_over_http(
    client: FlaskClient, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Member for member."""
    assert cli.main(["gas", "--json", written(tmp_path / "g.json", gas_system())]) == 0
    assert json.loads(capsys.readouterr().out) == sized(client, gas_system())


def test_a_running_service_is_asked(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """``gas --server`` says what the same command says in process."""
    name = written(tmp_path / "g.json", gas_system())
    command = [sys.executable, "-m", "service", "serve", "--port", "0"]
    with subprocess.Popen(command, stderr=subprocess.PIPE, text=True, cwd=ROOT) as server:
        assert server.stderr is not None
        try:
            found = (re.search(r"Listening at: (http://\S+)", line) for line in server.stderr)
            url = next(match for match in found if match)[1]
            assert requests.get(f"{url}/healthz", timeout=30).status_code == 200
            code = cli.main(["gas", name, "--server", url])
        finally:
            server.terminate()
            server.stderr.read()
            server.wait(20)
    over_http = capsys.readouterr().out
    assert code == cli.main(["gas", name]) == 0
    assert capsys.readouterr().out == over_http
