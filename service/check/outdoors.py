"""Whether the case may hang outdoors where it does, and whether the flue outlet is where the case has it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from service.building.model import Building
from service.check import outdoor_space
from service.check.measure import floor_root
from service.check.outside import Outside, outside_on
from service.check.verdicts import GEOMETRY, all_of, at_least, stated
from service.design import MANIFOLD_DROP_MM, Design, Finding, Part, Terminal, Verdict
from service.phrases import mm, phrase
from service.rules.mounting import SizedMountRule, sized_mounting
from service.rules.rulesets import rule_set
from service.survey.model import Survey
from service.units import Quantity, told

LISTING = "listing, installation instructions"
Judge = Callable[[SizedMountRule, Outside], tuple[Finding, ...]]


def outdoor_findings(survey: Survey, building: Building, design: Design) -> tuple[Finding, ...]:
    """Findings of every mounting rule that a heater outdoors falls under."""
    mount, listing = design.mount, design.heater.outdoor
    facade = next((f for f in building.facades if f.id == mount.facade_id), None)
    if facade is None:
        fault = f"the house has no facade {mount.facade_id}" if mount.facade_id else "it may hang outdoors only"
        return (stated("mount.facade", "mount", mount.facade_id or mount.face_id, False, fault),)
    if listing is None:
        return (stated("CL2", "mount", facade.id, False, "the heater has no listing for outdoors"),)
    case = outside_on(survey, building, design, facade, listing)
    country, heater = rule_set(survey.site.rule_set).country, design.heater
    direct = heater.outlet(outdoors=True).direct
    return tuple(
        finding
        for sized in sized_mounting(country, survey.units, survey.site.amendments)
        if sized.rule.holds(True) and sized.rule.applies_to(direct, heater.vapour_ignition_resistant)
        for finding in _JUDGES[sized.rule.relation](sized, case)
    ) + _outlet(case)


def _outlet(case: Outside) -> tuple[Finding, ...]:
    """The flue outlet told is the one that the case has there."""
    if not case.design.has(Part.TERMINAL):
        return ()
    told, mount = case.design.terminal, case.design.mount
    wanted = Terminal(mount.facade_id, mount.s_mm, mount.bottom_z_mm + case.listing.flue.up_mm)
    is_there = told == wanted
    detail = f"the outlet is {'' if is_there else 'told not '}where the case has it"
    return (stated("outdoors.flue", "terminal", mount.facade_id, is_there, detail, GEOMETRY),)


def _stated(sized: SizedMountRule, case: Outside, holds: bool, detail: str) -> tuple[Finding, ...]:
    return (stated(sized.rule.id, "mount", case.facade.id, holds, detail, sized.rule.citation),)


def _listed(sized: SizedMountRule, case: Outside) -> tuple[Finding, ...]:
    listed = case.design.heater.outdoor_listed
    return _stated(sized, case, listed, f"{'' if listed else 'not '}listed for outdoors")


def _wish(sized: SizedMountRule, case: Outside) -> tuple[Finding, ...]:
    allowed = case.survey.preferences.outdoors
    return _stated(sized, case, allowed, f"the customer has {'' if allowed else 'not '}allowed the outdoors")


def _frost(sized: SizedMountRule, case: Outside) -> tuple[Finding, ...]:
    units, rule = case.survey.units, sized.rule
    winter_c, least = case.survey.site.winter_design_temperature_c, case.listing.min_temperature_c
    winter = f"winter design temperature {told(Quantity.TEMPERATURE, winter_c, units)}"
    if least is None:
        missing = "lowest temperature that the heater stands outdoors"
        return (
            Finding(rule.id, Verdict.UNKNOWN, "mount", case.facade.id, winter, citation=rule.citation, missing=missing),
        )
    detail = f"{winter}, listed down to {told(Quantity.TEMPERATURE, least, units)} while powered"
    return _stated(sized, case, winter_c >= least, detail)


def _wall(sized: SizedMountRule, case: Outside) -> tuple[Finding, ...]:
    free, z = case.listing.clearances, (case.z0, case.z1)
    beside = case.s0 - free.left_mm, case.s1 + free.right_mm
    faults = [] if outdoor_space.on_spans(case) else ["the case reaches beyond its facade"]
    faults += [f"{what} lies behind or beside the case" for what in outdoor_space.behind(case, beside, z)]
    return all_of(sized.rule.id, "mount", case.facade.id, faults, "the case lies wholly on wall", sized.rule.citation)


def _clearance(sized: SizedMountRule, case: Outside) -> tuple[Finding, ...]:
    faults = {"sides and top": outdoor_space.around(case), "front": outdoor_space.ahead(case)}
    return tuple(
        f
        for where, found in faults.items()
        for f in all_of(sized.rule.id, "mount", where, found, f"listed space is free: {where}", sized.rule.citation)
    )


def _above(sized: SizedMountRule, over_mm: int, actual_z: int, case: Outside, more_mm: int, what: str) -> Finding:
    """The ground below the case, and whatever is ``more_mm`` high on it, with so much free above it."""
    level = outdoor_space.level_mm(case)
    snow = phrase(f"{what} over ", mm(more_mm), " of snow")
    detail = snow if more_mm else phrase(f"{what} over the ground at ", mm(level))
    return at_least(sized.rule.id, "mount", "grade", over_mm, actual_z - level - more_mm, detail, sized.rule.citation)


def _ground(sized: SizedMountRule, case: Outside) -> tuple[Finding, ...]:
    listed = case.listing.clearances.bottom_mm
    found = _above(sized, max(sized.distance_mm, listed), case.z0, case, 0, "underside")
    return (found if listed <= sized.distance_mm else replace(found, citation=LISTING),)


def _snow(sized: SizedMountRule, case: Outside) -> tuple[Finding, ...]:
    return (_above(sized, sized.distance_mm, case.z0, case, case.survey.site.snow_depth_mm, "underside"),)


def _manifold(sized: SizedMountRule, case: Outside) -> tuple[Finding, ...]:
    """Where the small pipes go through: over the ground, clear of openings and of the edges of the wall behind."""
    rule, z, s = sized.rule, case.z0 - MANIFOLD_DROP_MM, case.design.mount.s_mm
    faults = [
        f"opening {h.opening_id} lies there" for h in case.facade.holes if h.s0 < s < h.s1 and h.z0 < z < h.z1
    ]
    free = outdoor_space.to_edges_mm(case, s, z)
    detail = "from where the pipes go through to floor, ceiling or side wall of the room behind"
    return (
        _above(sized, sized.distance_mm, z, case, 0, "meeting point of the small pipes"),
        at_least(rule.id, "mount", "room behind", sized.distance_mm, free, detail, rule.citation),
        *all_of(rule.id, "mount", case.facade.id, faults, "no opening where the pipes go through", rule.citation),
    )


def _regulator(sized: SizedMountRule, case: Outside) -> tuple[Finding, ...]:
    found = []
    for g in case.survey.site.regulators:
        gap = floor_root(outdoor_space.gap2(case, case.framed((g.at[0], g.at[1]))[0], g.at[2]))
        detail = "from the regulator's vent outlet to the case"
        found.append(at_least(sized.rule.id, "mount", g.id, sized.distance_mm, gap, detail, sized.rule.citation))
    return tuple(found)


def _way(sized: SizedMountRule, case: Outside) -> tuple[Finding, ...]:
    faults, beside = outdoor_space.ways(case)
    rule = sized.rule
    advice = tuple(
        Finding(rule.id, Verdict.ADVICE, "mount", w, f"{rule.note}: {w} lies below", citation=rule.citation)
        for w in beside
    )
    held = "the case reaches over no public way or shared driveway"
    return (*all_of(rule.id, "mount", case.facade.id, faults, held, rule.citation), *advice)


def _door(sized: SizedMountRule, case: Outside) -> tuple[Finding, ...]:
    rule, found = sized.rule, []
    for opening, is_known in outdoor_space.swings_into(case):
        verdict = Verdict.FAIL if is_known else Verdict.UNKNOWN
        missing = "" if is_known else f"whether {opening} swings out"
        detail = f"the leaf of {opening} swings where the case is"
        found.append(
            Finding(rule.id, verdict, "mount", opening, detail, citation=rule.citation, missing=missing)
        )  # fmt: skip
    held = stated(rule.id, "mount", case.facade.id, True, "no leaf swings where the case is", rule.citation)
    return tuple(found) or (held,)


def _lot(sized: SizedMountRule, case: Outside) -> tuple[Finding, ...]:
    faults = [f"lot line {x} runs through the case" for x in outdoor_space.lot_lines(case, case.footprint)]
    return all_of(sized.rule.id, "mount", case.facade.id, faults, "the case is on the own lot", sized.rule.citation)


def _working_space(sized: SizedMountRule, case: Outside) -> tuple[Finding, ...]:
    rule = sized.rule
    faults = outdoor_space.in_working_space(case, sized.distance_mm, sized.width_mm)
    free = " wide in front of the case is free as far as surveyed"
    held = phrase(mm(sized.distance_mm), " deep and ", mm(sized.width_mm), free)
    missing = "fences, rails, shrubs, steps and parked cars in front of the case"
    detail = "a survey does not hold everything that may stand outdoors; the ground there is level"
    return (
        *all_of(rule.id, "mount", case.facade.id, faults, held, rule.citation),
        Finding(rule.id, Verdict.ADVICE, "mount", "site", detail, citation=rule.citation, missing=missing),
    )


def _flood(sized: SizedMountRule, case: Outside) -> tuple[Finding, ...]:
    flood = case.survey.site.flood_elevation_mm
    if flood is None:
        return ()
    detail, rule = "underside over the flood elevation", sized.rule
    return (at_least(rule.id, "mount", "flood", sized.distance_mm, case.z0 - flood, detail, rule.citation),)


def _advice(sized: SizedMountRule, case: Outside) -> tuple[Finding, ...]:
    rule = sized.rule
    return (Finding(rule.id, Verdict.ADVICE, "mount", case.facade.id, rule.note, citation=rule.citation),)


_JUDGES: dict[str, Judge] = {
    "outdoors_listed": _listed,
    "outdoors_wish": _wish,
    "outdoors_frost": _frost,
    "outdoors_wall": _wall,
    "outdoors_clearance": _clearance,
    "outdoors_ground": _ground,
    "outdoors_snow": _snow,
    "outdoors_manifold": _manifold,
    "outdoors_regulator": _regulator,
    "outdoors_way": _way,
    "outdoors_door": _door,
    "outdoors_lot": _lot,
    "outdoors_advice": _advice,
    "working_space": _working_space,
    "above_flood": _flood,
}
