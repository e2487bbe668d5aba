"""The answer for a house without any lawful place can be written down, whatever house its ways out are in."""

from __future__ import annotations

import json
from pathlib import Path

from service.app import real_operations
from service.http.exchange import placement
from service.settings import Settings

PLAN = Path(__file__).parents[2] / "sample_plans" / "no_lawful_place.json"


def test_a_change_that_gives_the_house_a_roof_is_told() -> None:
    """With time for all ways out, the vent over a roof that the survey does not describe among them."""
    document = json.loads(PLAN.read_text("utf-8"))
    document.setdefault("preferences", {})["solver_seconds"] = 60
    answer = placement(json.dumps(document).encode(), Settings(solver_seconds=60), real_operations())
    over_roof = [c for c in answer["deadlock"]["changes"] if "roof" in c["what"]]
    assert over_roof and all("pitch" in c["terminal"] for c in over_roof)
