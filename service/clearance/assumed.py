"""What the clearance step takes for granted where a survey is silent, in words for the answer."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from service.building.model import Building
from service.rules.mounting import mounting_rules
from service.rules.rulesets import rule_set
from service.survey.model import Opening, OpeningKind, RoomUse, Survey


def assumptions(building: Building, survey: Survey) -> tuple[str, ...]:
    """Unknown facts taken as the worst case, and amendments as they were given; sorted within each kind."""
    site = survey.site
    own = _outer_openings(building, survey)
    openings = [*own, *(o for w in site.neighbour_walls for o in w.openings)]
    sentences = [
        *_named("window taken as openable, for it is not known to be fixed", _unknown_windows(openings)),
        *_named("door taken to swing outwards, for it is not known", _unknown_doors(own)),
        *_named(
            "regulator taken to have more than 2 psi at its inlet, for its pressure is not known",
            (r.id for r in site.regulators if r.inlet_pressure_pa is None),
        ),
        *_named(
            "deck taken to have fewer than two open sides, for they are not known",
            (d.id for d in site.decks if not d.is_eave and d.open_sides is None),
        ),
        *_named("room taken as any room a rule may forbid, for its use is not known", _unknown_rooms(survey)),
        *_amended(survey),
    ]
    return tuple(sentences)


def warnings(building: Building, survey: Survey) -> tuple[str, ...]:
    """Amendments that change nothing, and things whose distance only the heater's instructions tell."""
    known = {r.id for r in rule_set(survey.site.rule_set).rules}
    known |= {r.id for r in mounting_rules(rule_set(survey.site.rule_set).country)}
    own = _outer_openings(building, survey)
    fixed = (o.id for o in own if o.kind is OpeningKind.WINDOW and o.operable is False)
    return (
        *_named("amendment names no rule of the rule set", {a.rule_id for a in survey.site.amendments} - known),
        *_named("window taken as permanently closed: have it confirmed on site", fixed),
        *_named(
            "eave or soffit: no distance applied, the heater's instructions decide",
            (d.id for d in survey.site.decks if d.is_eave),
        ),
    )


def _outer_openings(building: Building, survey: Survey) -> list[Opening]:
    """Openings of the house that lead outdoors."""
    outer = {h.opening_id for f in building.facades for h in f.holes}
    return [o for storey in survey.storeys for o in storey.openings if o.id in outer]


def _named(sentence: str, ids: Iterable[str]) -> Iterator[str]:
    names = sorted(ids)
    if names:
        yield f"{', '.join(names)}: {sentence}"


def _unknown_windows(openings: Iterable[Opening]) -> Iterator[str]:
    return (o.id for o in openings if o.kind is OpeningKind.WINDOW and o.operable is None)


def _unknown_doors(openings: Iterable[Opening]) -> Iterator[str]:
    return (o.id for o in openings if o.kind is OpeningKind.DOOR and o.swings_out is None)


def _unknown_rooms(survey: Survey) -> Iterator[str]:
    return (r.id for storey in survey.storeys for r in storey.rooms if r.use is RoomUse.UNKNOWN)


def _amended(survey: Survey) -> Iterator[str]:
    for a in sorted(survey.site.amendments, key=lambda a: a.rule_id):
        change = "switched off" if a.distance_mm is None else f"{a.distance_mm} mm"
        yield f"{a.rule_id}: amended to {change}: {a.note}"
