"""The demand for hot water over HTTP and on the command line: answers, faults, exit codes."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from service import cli
from tests.api.fakes import sample
from tests.contract.test_specification import misfits, response_schema
from tests.unit.hot_water_documents import one_bath

URL = "/v1/hot-water-demands"
AT_ONCE = {"at_once": [["shower", "lavatory"], ["lavatory", "sink"]]}


def told(client: FlaskClient, document: dict[str, Any]) -> dict[str, Any]:
    """The answer to a document that is taken, as the description has it."""
    response = client.post(URL, json=document)
    assert response.status_code == 200, response.text
    answer: dict[str, Any] = response.get_json()
    assert misfits(answer, response_schema(URL, "post", "200", "application/json")) == []
    return answer


def test_demand_and_heaters(client: FlaskClient) -> None:
    """1.2 x 55/70 + 1.8 = 2.743 gpm at 70 degF; 120,000 x 0.82 / (499.8 x 70) = 2.813 gpm (computed)."""
    answer = told(client, one_bath(demand=AT_ONCE))
    assert (answer["method"], answer["demand"], answer["rise"]) == ("concurrent_use", 2.743, 70)
    assert [m["governs"] for m in answer["methods"]] == [True, False, False]
    small = answer["heaters"][0]
    assert (small["id"], small["capacity"], small["carries"], small["margin"]) == ("nc-direct-120", 2.813, True, 0.07)
    assert answer["units"]["flow"] == "gpm" and answer["cautions"]


def test_the_same_in_metric_units(client: FlaskClient) -> None:
    """Same demand, same heaters."""
    us = one_bath(demand=AT_ONCE)
    si = {**us, "units": "si", "inlet_temperature": 10}
    si["fixtures"] = [{**f, "flow": {"value": f["flow"], "unit": "gpm"}} for f in us["fixtures"]]
    ours, theirs = told(client, us), told(client, si)
    assert theirs["demand"] == pytest.approx(ours["demand"] * 3.785411784, abs=0.01)
    assert [h["carries"] for h in theirs["heaters"]] == [h["carries"] for h in ours["heaters"]]
    assert theirs["rise"] == pytest.approx(ours["rise"] / 1.8, abs=0.06)


def test_a_whole_survey_will_do(client: FlaskClient) -> None:
    """Its fixtures, its climate, its heaters; without fixtures it is refused."""
    answer = told(client, sample())
    assert [f["id"] for f in answer["fixtures"]] == [f["id"] for f in sample()["water"]["fixtures"]]
    assert len(answer["months"]) == 12
    bare = sample()
    del bare["water"]["fixtures"], bare["water"]["demand"]
    response = client.post(URL, json=bare)
    assert response.status_code == 422
    assert [e["pointer"] for e in response.get_json()["errors"]] == ["#/water/fixtures"]


@pytest.mark.parametrize("method", ["fixture_units", "probabilistic"])
def test_other_methods_fit_the_description(client: FlaskClient, method: str) -> None:
    """With what they cannot tell, too."""
    told(client, one_bath(demand={"method": method}))
    told(client, one_bath(fixtures=[{"kind": "fish tank", "flow": 1}]))


def test_faults_of_a_survey_stand_at_their_place(client: FlaskClient) -> None:
    """A set that names no fixture, and a demand without fixtures."""
    survey = sample()
    survey["water"]["demand"] = {"at_once": [["shower", "sauna"]]}
    faults = client.post("/v1/placements", json=survey).get_json()["errors"]
    assert [f["pointer"] for f in faults] == ["#/water/demand/at_once/0/1"]
    del survey["water"]["fixtures"]
    faults = client.post("/v1/placements", json=survey).get_json()["errors"]
    assert [(f["pointer"], f["code"]) for f in faults] == [("#/water/fixtures", "missing")]


def test_a_design_with_its_hot_water_is_taken_back(client: FlaskClient) -> None:
    """A check takes the member and does not read it."""
    design = client.post("/v1/placements", json=sample()).get_json()["designs"][0]
    assert design["hot_water"]["heaters"][0]["id"] == design["heater"]["id"]
    assert client.post("/v1/checks", json={"survey": sample(), "design": design}).status_code == 200


def test_command_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """0 where a heater carries it, 1 where none does, 2 for a document that is refused."""
    file = tmp_path / "bath.json"
    for document, code, word in (
        (one_bath(demand=AT_ONCE), 0, "carries it"),
        (one_bath(demand=AT_ONCE, heaters=["nc-direct-120"], inlet_temperature=40), 1, "TOO SMALL, 2 in parallel"),
        ({"units": "us"}, 2, ""),
    ):
        file.write_text(json.dumps(document))
        assert cli.main(["demand", str(file)]) == code
        assert word in capsys.readouterr().out
    file.write_text(json.dumps(one_bath(demand=AT_ONCE)))
    assert cli.main(["demand", str(file), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["demand"] == 2.743
