"""What the clearance step takes for granted where a survey is silent, in words for the answer."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from service.building.model import Building
from service.rules.mounting import heeds, mounting_rules
from service.rules.rulesets import BOX, STRING_READING, figures_changed, rule_set
from service.survey.model import Amendment, Measuring, Opening, OpeningKind, RoomUse, Survey


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
        *_measured(survey),
        *_amended(survey),
    ]
    return tuple(sentences)


def warnings(building: Building, survey: Survey) -> tuple[str, ...]:
    """Amendments that change nothing, and things whose distance only the heater's instructions tell."""
    known = {r.id for r in rule_set(survey.site.rule_set).rules}
    known |= {r.id for r in mounting_rules(rule_set(survey.site.rule_set).country)}
    idle = (a.rule_id for a in survey.site.amendments if _says_nothing(survey, a))
    own = _outer_openings(building, survey)
    fixed = (o.id for o in own if o.kind is OpeningKind.WINDOW and o.operable is False)
    return (
        *_named("amendment names no rule of the rule set", {a.rule_id for a in survey.site.amendments} - known),
        *_named("amendment left out, its rule has no such figure to change", idle),
        *_named("window taken as permanently closed: have it confirmed on site", fixed),
        *_named(
            "eave or soffit: no distance applied, the heater's instructions decide",
            (d.id for d in survey.site.decks if d.is_eave),
        ),
    )


def _says_nothing(survey: Survey, change: Amendment) -> bool:
    """Whether a rule is amended in a figure that it has not, or to bind although nothing of it is measured."""
    if change.distance_mm is None and not change.enforce:
        return False
    rule = next((r for r in rule_set(survey.site.rule_set).rules if r.id == change.rule_id), None)
    if rule is not None:
        return not figures_changed(rule, change)
    mounting = mounting_rules(rule_set(survey.site.rule_set).country)
    return any(r.id == change.rule_id and not heeds(r, change) for r in mounting)


def _measured(survey: Survey) -> Iterator[str]:
    """How places below and beside an opening at once are measured, where a rule leaves that open."""
    boxes = sorted(r.id for r in rule_set(survey.site.rule_set).rules if r.relation == BOX and r.required)
    if not boxes:
        return
    if survey.site.measuring is Measuring.STRING:
        yield f"{', '.join(boxes)}: {STRING_READING}"
    else:
        yield f"{', '.join(boxes)}: measured squarely off the opening's edges, the stricter reading (site.measuring)"


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
        off = "made binding" if a.enforce else "switched off"
        change = off if a.distance_mm is None else f"{a.distance_mm} mm{', binding' if a.enforce else ''}"
        figure = f" ({a.figure})" if a.figure else ""
        yield f"{a.rule_id}{figure}: amended to {change}: {a.note}"
