"""In words, what the proof of several heaters together covers. Never more than was proven."""

from __future__ import annotations

from service.siting.dwelling_search import DwellingSearch
from service.siting.joint_nodes import JointOutcome
from service.siting.scope import CONTINUOUS, MODEL, NETWORK, OUTDOORS, OVER_ROOF, TWIN, WEIGHED, notes_of

TOGETHER = (
    " Each dwelling's pipes pass its own rooms and those that no dwelling names; where pipes of two dwellings cross "
    "one is led over the other, which is not drawn. Runs of one service share a hole where they pass a wall between "
    "two rooms, or a floor at the foot of a wall, at the same place, one such hole a service in each; holes of vents "
    "and in outer walls are each heater's own. Gas comes at one pressure to all, as it is or as the "
    "supplier offers, the shared pipes sized for all heaters at once."
)
ONE_STANDS = (
    "of two heaters in one another's way, one stands on critical lines of its own rules, the other wherever that leaves"
)
CORNERS = "round a corner an intake, or a case outdoors, is kept farther from another's exhaust than the rules ask"


def joint_scope(outcome: JointOutcome, searches: tuple[DwellingSearch, ...]) -> str:
    """One paragraph: what is known, and within which sets of designs."""
    grounds = [s.seen for s in searches]
    notes = [note for g in grounds for note in notes_of(g, outcome.limited)]
    notes += [ONE_STANDS, CORNERS] if outcome.in_the_way else []
    because = f" ({'; '.join(dict.fromkeys(notes))})" if notes else ""
    covered = NETWORK if notes else CONTINUOUS
    twin = TWIN if any(n.heater.vent.intake for g in grounds for n in g.needs) else ""
    over_roof = OVER_ROOF if any(g.building.roof for g in grounds) else ""
    weighed = WEIGHED if any(g.waiting is not None for g in grounds) else ""
    outdoors = OUTDOORS if any(n.outdoors for g in grounds for n in g.needs) else ""
    model = f"{MODEL}{over_roof}{twin}{outdoors}{TOGETHER}{weighed}"
    return f"{_claim(outcome)} {covered}, of all dwellings together{because}. {model}"


def _claim(outcome: JointOutcome) -> str:
    if outcome.done is None:
        nothing = outcome.bound_units == float("inf")
        return "No lawful set of designs among" if nothing else "Not decided: the search did not end among"
    proven = outcome.bound_units >= outcome.cost_units
    return "Least cost over" if proven else "Best found, not proven least, over"
