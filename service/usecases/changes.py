"""Where nothing is lawful: what would have to be otherwise at the house, in the wishes or in the list of heaters."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace

from service.building.build import build
from service.deadline import seconds_left
from service.design import Design
from service.rules import catalogue
from service.siting.ground import Ground
from service.siting.search import search
from service.siting.tariffs import ROOF_KEY
from service.siting.zones import Zones
from service.survey.equipment import Heater
from service.survey.model import Opening, OpeningKind, Survey
from service.survey.roof import Roof
from service.usecases.checked import BROKEN
from service.usecases.inspector import Inspector
from service.usecases.results import Change

FIXED = "Fixed instead of openable: {names}."
OFFERED = "Of the catalogue, though not offered here: {names}."
OUTDOORS = "A heater allowed to hang outdoors (preferences.outdoors)."
ROOF = "A vent over the roof, taken as flat until somebody describes it (roof)."
CUT_OFF = "Not tried before the time limit: {what}"


def changes(
    ground: Ground, zones: Zones, deadline: float, inspector: Inspector
) -> tuple[tuple[Change, ...], tuple[str, ...]]:
    """Changes each of which opens a design, the cheapest first, and what time did not allow to try. ``deadline`` in the
    seconds of the monotonic clock [s]. CheckFailed if the checker refuses a design in the changed house."""
    found, untried = [], []
    for what, survey, names in _candidates(ground.survey, inspector):
        told = CUT_OFF.format(what=what.format(names="what is not known"))
        if not seconds_left(deadline):
            untried.append(told)
            continue
        building = build(survey)
        seen = zones.of(survey, building)
        design, is_over = _cheapest(seen, deadline)
        if is_over:
            untried.append(told)
        elif design is not None:
            inspector.lawful(survey, building, design)
            found.append(Change(what.format(names=", ".join(names(design))), design, building))
    return tuple(sorted(found, key=lambda c: (c.design.total_cents, c.what))), tuple(untried)


def _candidates(
    survey: Survey, inspector: Inspector
) -> Iterator[tuple[str, Survey, Callable[[Design], Iterable[str]]]]:
    """A sentence, the changed survey, and what of a design in it the sentence names."""
    if (fixed := _all_fixed(survey)) != survey:
        yield FIXED, fixed, lambda design: _windows_needed(survey, design, inspector)
    if more := _others(survey):
        heaters = (*survey.heaters, *more)
        yield OFFERED, replace(survey, heaters=heaters), lambda design: [design.heater.label]
    if not survey.preferences.outdoors and any(h.outdoor_listed for h in survey.heaters):
        wishes = replace(survey.preferences, outdoors=True)
        yield OUTDOORS, replace(survey, preferences=wishes), lambda design: []
    if survey.roof is None and ROOF_KEY in survey.prices.items:
        yield ROOF, replace(survey, roof=Roof()), lambda design: []


def _all_fixed(survey: Survey) -> Survey:
    """The house with every window of it and of its neighbours fixed."""
    storeys = tuple(replace(s, openings=tuple(map(_fixed, s.openings))) for s in survey.storeys)
    walls = tuple(replace(w, openings=tuple(map(_fixed, w.openings))) for w in survey.site.neighbour_walls)
    return replace(survey, storeys=storeys, site=replace(survey.site, neighbour_walls=walls))


def _fixed(opening: Opening) -> Opening:
    return replace(opening, operable=False) if opening.kind is OpeningKind.WINDOW else opening


def _windows_needed(survey: Survey, design: Design, inspector: Inspector) -> list[str]:
    """Windows of the house as it is that the design would break a rule at."""
    found = inspector.findings(survey, build(survey), design)
    return sorted({f.object_id for f in found if f.verdict in BROKEN})


def _others(survey: Survey) -> tuple[Heater, ...]:
    """Heaters of the catalogue that the survey does not offer, burn its gas and have all their prices in its book."""
    offered = {h.id for h in survey.heaters}
    known = (h for h in catalogue.heaters().values() if h.id not in offered and survey.site.fuel in h.fuels)
    return tuple(h for h in known if h.indoors and set(catalogue.required_prices([h])) <= set(survey.prices.items))


def _cheapest(seen: Zones, deadline: float) -> tuple[Design | None, bool]:
    """The cheapest design of a changed house, None if there is none, and whether time ran out."""
    outcome = search(seen.ground(seen.survey, seen.whole), seen, 1, deadline)
    if outcome.cut_off or not outcome.designs:
        return None, outcome.cut_off
    return outcome.designs[0], False
