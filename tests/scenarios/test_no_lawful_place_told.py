"""The answer for a house without any lawful place can be written down, whatever house its ways out are in."""

from __future__ import annotations

import json

from service.http.answer import placement_json
from tests.scenarios.scenarios import solved


def test_a_change_that_gives_the_house_a_roof_is_told() -> None:
    """With time for all ways out, the vent over a roof that the survey does not describe among them."""
    plan = solved("no_lawful_place")
    answer = json.loads(json.dumps(placement_json(plan.answer, plan.survey)))
    over_roof = [c for c in answer["deadlock"]["changes"] if "roof" in c["what"]]
    assert over_roof and all("pitch" in c["terminal"] for c in over_roof)
