"""In words, what a proof covers. Never more than was proven."""

from __future__ import annotations

from service.siting.ground import Ground
from service.siting.narrowed import narrowed
from service.siting.outcome import Outcome

CONTINUOUS = (
    "all continuous positions of heater and terminal and all rectilinear routes on wall faces, ceilings and chases"
)
NETWORK = "the stated network of positions and routes on wall faces, ceilings and chases"
MODEL = (
    "Runs lie on wall faces, ceilings or in chases; the small pipes start at one point below the case; all gas pipes "
    "are sized by the governing method, old ones renewed where they must be, the branch of one size from tap to "
    "heater; to the accuracy of whole millimetres."
)

WEIGHED = (
    " Least is the sum of cost and weighed waiting: the price of a second times the mean of all fixtures' waits at a "
    "later draw from cold pipe."
)
OVER_ROOF = (
    " Over a roof a vent goes straight up from a ceiling or wall top, its opening as high over the roof at the upper "
    "side of the terminal as the rules ask; none is offered near an upright wall that stands over the roof, where "
    "other heights hold, on roofs steeper than the table of heights reaches, nor for two pipes side by side."
)
OUTDOORS = (
    " Outdoors the small pipes go straight through the wall into the room behind, also one whose far end is outdoors "
    "elsewhere than right before that wall, and that is priced as a wall crossing of each trade."
)
TWIN = (
    " Twin pipe runs as one bundle to one wall, its intake at the listing's least distance from the exhaust; farther "
    "apart is not looked for."
)


def covers_network(ground: Ground, outcome: Outcome) -> bool:
    """Whether the proof covers the stated network only."""
    return bool(notes_of(ground, outcome.limited))


def scope_of(ground: Ground, outcome: Outcome) -> str:
    """One paragraph: what is known, and within which set of designs."""
    notes = notes_of(ground, outcome.limited)
    covered = NETWORK if notes else CONTINUOUS
    weighed = WEIGHED if ground.waiting is not None else ""
    because = f" ({'; '.join(notes)})" if notes else ""
    over_roof = OVER_ROOF if ground.building.roof else ""
    twin = TWIN if any(need.heater.vent.intake and not need.outdoors for need in ground.needs) else ""
    outdoors = OUTDOORS if any(need.outdoors for need in ground.needs) else ""
    return f"{_claim(outcome)} {covered}{because}. {MODEL}{over_roof}{twin}{outdoors}{weighed}"


def notes_of(ground: Ground, limited: bool) -> list[str]:
    """Why a proof covers the network only; nothing where it covers all positions. ``limited``: a limit on length or
    bends decided."""
    decides = "a limit on pipe length or bends decides, so routes at that limit are taken from the network"
    return [decides] * limited + narrowed(ground)


def _claim(outcome: Outcome) -> str:
    if not outcome.designs:
        return "Not decided: the search was cut off among" if outcome.cut_off else "No lawful design among"
    proven = outcome.bound_units >= (outcome.cost_units or 0)
    return "Least cost over" if proven else "Best found, not proven least, over"
