"""Why nothing is lawful, beyond the distances that the coverage shows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from service.piping.extended import Branch, with_heater
from service.piping.network import Network
from service.piping.sizing import size
from service.siting.ground import Ground
from service.siting.needs import Need
from service.survey.model import Survey
from service.usecases.clearances import outdoor_name
from service.usecases.results import Coverage

WAYS_OUT = {"facade": "facades", "roof": "roof"}
"""Kinds of surface by which a vent leaves, and their words."""


def reasons(ground: Ground, coverage: Sequence[Coverage]) -> tuple[str, ...]:
    """Rooms that wishes close, and what each heater lacks; to be told where no design was found."""
    found = [*_closed_rooms(ground.survey), *_untold_roof(ground.survey)] if ground.needs else []
    for need in ground.needs:
        where = " outdoors" if need.outdoors else ""
        found += [f"Heater {need.heater.label}{where}: {why}." for why in _lacking(ground, need, coverage)]
    return tuple(found)


def _closed_rooms(survey: Survey) -> Iterator[str]:
    wishes = survey.preferences
    rooms = sorted(r.id for s in survey.storeys for r in s.rooms)
    closed = [r for r in rooms if r in wishes.rooms_refused or (wishes.rooms_wanted and r not in wishes.rooms_wanted)]
    if closed:
        yield f"Rooms closed by the preferences: {', '.join(closed)}."


def _untold_roof(survey: Survey) -> Iterator[str]:
    if survey.roof is None:
        yield "The survey tells nothing of the roof: with one (roof, if only {}) a vent through it is looked at too."


def _lacking(ground: Ground, need: Need, coverage: Sequence[Coverage]) -> Iterator[str]:
    survey = ground.survey
    if not need.gas.can_be_tapped:
        yield f"gas reaches it from nowhere: {_short_of_gas(survey, need)}"
    elif need.outdoors:
        if any(c.free_mm2 and c.applies_to == outdoor_name(need.heater) for c in coverage):
            yield "facades are free in part, so what stops it is no distance alone: no room behind, or no way for a run"
    elif not any(ground.extras(need)):
        yield "no room has air enough for it, nor a way to bring it in that the book prices"
    elif _is_free(coverage, "wall", need) and (ways := [k for k in WAYS_OUT if _is_free(coverage, k, need)]):
        water = "too little water pressure, " if ground.pressures[need.heater.id] is not None else ""
        yield (
            f"walls and {' and '.join(WAYS_OUT[k] for k in ways)} are free in part, so what stops it is no distance "
            f"alone: a room closed, air, a vent or gas run beyond its limit, {water}or no way for a run"
        )


def _short_of_gas(survey: Survey, need: Need) -> str:
    """Segments that no size to be had is large enough for, though the heater hung at the point of delivery."""
    heater, material = need.heater, survey.gas.branch_materials[0]
    at_delivery = Branch(
        heater.id, heater.input_max_w, heater.gas_inlet_min_pa, heater.gas_inlet_max_pa, survey.gas.delivery_node, 0,
        material, None, 1, 0, 0,
    )  # fmt: skip
    network = Network(with_heater(survey.gas, at_delivery).supply, survey.site.gas)
    pairs = zip(network.pipes, size(network, survey.prices, survey.gas.method).pipes, strict=True)
    short = [pipe.segment.id for pipe, sized in pairs if sized.choice is None]
    return f"no size that may be had carries the load of {', '.join(short)}" if short else "no branch is large enough"


def _is_free(coverage: Sequence[Coverage], kind: str, need: Need) -> bool:
    """Whether something is left of any surface; a facade's entries name all heaters of their class."""
    return any(c.free_mm2 and c.kind == kind and need.heater.label in c.applies_to.split(", ") for c in coverage)
