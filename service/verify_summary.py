"""What a re-check of a certified answer comes to, as text."""

from __future__ import annotations

from typing import Any

Json = dict[str, Any]
_WORD = {"confirmed": "CONFIRMED", "refused": "REFUSED", "not_confirmed": "NOT CONFIRMED"}
_COVERS = {
    "network": "least cost among all places and runs of the stated network",
    "continuous": "least cost among all positions and rectilinear runs",
}


def verify_text(answer: Json) -> str:
    """The verdict, what it covers, every step that does not hold, how many do, and what is trusted."""
    steps = answer["steps"]
    wrong = [s for s in steps if s["outcome"] != "confirmed"]
    lines = [_WORD[answer["verdict"]] + (f": {_COVERS[answer['covers']]}" if answer["covers"] and not wrong else "")]
    lines += [f"  {s['outcome'].replace('_', ' ')}: {s['step']}: {s['detail']}" for s in wrong]
    lines += [f"  {len(steps) - len(wrong)} of {len(steps)} steps confirmed", ""]
    for title, member in (("Taken as it is", "trusted"), ("Not looked at", "not_looked_at")):
        lines += [title, *(f"  {line}" for line in answer[member]), ""]
    return "\n".join(lines[:-1])
