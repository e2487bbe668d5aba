"""Schema and builder of what is to be told besides the cheapest designs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from service.http.fields import Int
from service.http.schemas.base import Strict
from service.survey.explain import FEWEST_DIFFERENT, MOST_DIFFERENT, Explain


class ExplainSchema(Strict):
    """What is to be told besides the cheapest designs; each part has the time of a search of its own."""

    different = Int(FEWEST_DIFFERENT, MOST_DIFFERENT)


def build_explain(entry: Mapping[str, Any] | None) -> Explain:
    """Wishes; what is left out is not told."""
    given = entry or {}
    return Explain(different=given.get("different", 0))
