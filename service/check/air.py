"""Whether a heater that burns room air finds enough of it where it hangs: what the design provides, taken again."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from service.building.model import Building
from service.check.air_advice import advice
from service.check.air_case import INDOORS, AirCase
from service.check.air_rooms import AirRooms
from service.check.routes import face_of
from service.check.verdicts import all_of, stated
from service.design import AirMethod, AirProvision, Design, Finding, Verdict
from service.phrases import Detail, Phrase, m3, m3_s, mm, mm2, phrase
from service.rules.rulesets import rule_set
from service.survey.equipment import Draft
from service.survey.model import Survey
from service.trades import air, air_ca

CANADIAN = (AirMethod.ONE_OPENING, AirMethod.TWO_OPENINGS, AirMethod.MECHANICAL)
TOLD_AGREES = 0.005
"""Volumes told beside the design may be rounded by this share."""


def air_findings(survey: Survey, building: Building, design: Design) -> tuple[Finding, ...]:
    """Every finding on combustion air; none for a heater that brings its own."""
    face = face_of(building, design)
    if design.heater.draft is Draft.DIRECT or face is None:
        return ()
    rooms, canada = AirRooms(survey, building), rule_set(survey.site.rule_set).country == "ca"
    if design.air is None:
        case = AirCase(rooms, face.room_id, design.heater, _untold(rooms, face.room_id, design), canada)
        return (_plain(case, design.air_openings), *advice(rooms, face.room_id, case.space, canada))
    case = AirCase(rooms, face.room_id, design.heater, design.air, canada)
    return (
        *_method(case),
        *_way(case),
        *_rooms(case),
        *(_volume(case) if case.given.method in INDOORS else ()),
        *_area(case),
        *_space_around(case),
        *_as_told(case, design),
        *advice(rooms, face.room_id, case.space, canada),
    )


def _untold(rooms: AirRooms, room: str, design: Design) -> AirProvision:
    """A design that tells nothing of its air: all rooms that count, and two openings if any are made."""
    method = AirMethod.TWO_OPENINGS if design.air_openings else AirMethod.STANDARD
    load = rooms.load(design.heater, rooms.sharing(room, ()))
    return AirProvision(method, tuple(sorted(rooms.counting(room, load, ()))))


def _plain(case: AirCase, made: bool) -> Finding:
    """By the room's own air, or by the two openings that the design makes without telling how large."""
    outer, _ = case.rooms.walls(case.room)
    asked = min(case.volumes_m3.values(), default=inf)
    holds = air.enough(case.counted_m3, asked) or (made and outer)
    detail = _volume_text(case, asked)
    if made:
        area, cited = _opening_area(case)
        sized = phrase(", two openings to outdoors of ", mm2(area), " free area each asked")
        return _stated("air.volume", case, holds, detail + sized + ("" if outer else ", but no outer wall"), cited)
    cited = air_ca.opening_area(case.load, case.site.tight).citation if case.canada else _citation(case)
    return _stated("air.volume", case, holds, detail, cited)


def _method(case: AirCase) -> tuple[Finding, ...]:
    return all_of("air.method", "air", case.room, _method_faults(case), f"{case.given.method} may be used here",
                  _citation(case))  # fmt: skip


def _method_faults(case: AirCase) -> Iterator[str]:
    method, changes = case.given.method, case.site.air_changes_per_h
    indoor = (*INDOORS, AirMethod.COMBINED)
    if case.canada and method not in CANADIAN:
        yield f"{method} is not known to be lawful by this rule set: an opening to outdoors or a fan is asked for"
    elif case.sealed and method in indoor:
        yield "the room is an enclosure, whose air comes from outdoors"
    elif method is AirMethod.STANDARD and not air.standard_is_lawful(changes, case.site.tight):
        known = "the house is tight" if changes is None else f"{changes:g} air changes an hour are known"
        yield f"{known}: the standard method may not be used"
    elif method is AirMethod.INFILTRATION and changes is None:
        yield "the air changes an hour are not known"
    elif method in indoor and not case.volumes_m3:
        yield "no indoor method may be used in a tight house whose air changes are not known"


def _way(case: AirCase) -> tuple[Finding, ...]:
    held = "walls and rooms allow it"
    found = all_of("air.way", "air", case.room, _way_faults(case), held, _citation(case))
    if air.method_row(case.given.method).text("reach") != "roof" or case.rooms.under_roof(case.room) is not None:
        return found
    detail, missing = "ducts go up to the roof", f"whether nothing but the roof lies over {case.room}"
    return (Finding("air.way", Verdict.UNKNOWN, "air", case.room, detail, citation=_citation(case), missing=missing),)


def _way_faults(case: AirCase) -> Iterator[str]:
    reach, through = air.method_row(case.given.method).text("reach"), case.given.through
    outer, beside = case.rooms.walls(case.room)
    if reach == "own_wall" and not outer:
        yield f"{case.room} has no outer wall to cut openings in"
    if reach == "roof" and case.rooms.under_roof(case.room) is False:
        yield f"more than the roof lies over {case.room}"
    if reach == "adjoining" and not through:
        yield "no adjoining room is named"
    if reach in ("none", "own_wall", "roof") and through:
        yield f"{', '.join(through)}: no other room has a part in it"
    if reach == "next_wall":
        yield from _passage_faults(case, outer)
    yield from (f"{room} does not adjoin {case.room}" for room in through if room not in beside)
    if reach == "adjoining":
        yield from (f"{r}: its air may not be joined" for r in (case.room, *through) if not case.rooms.may_join(r))


def _passage_faults(case: AirCase, outer: bool) -> Iterator[str]:
    through = case.given.through
    if len(through) > 1 or not (outer or through):
        yield f"the way from {case.room} to the outdoors is through one adjoining room at most"
        return
    yield from (f"{room} has no outer wall" for room in through if not case.rooms.walls(room)[0])
    passed = (case.room, *through) if through else ()
    yield from (f"no duct may pass {room}" for room in passed if not case.rooms.may_be_passed(room))


def _rooms(case: AirCase) -> tuple[Finding, ...]:
    """Whether the rooms counted are those whose air the heater has."""
    lawful = case.rooms.counting(case.room, case.load, case.bought)
    faults = [f"{r}: its volume may not be counted" for r in case.given.rooms if r not in lawful]
    if case.room not in case.given.rooms:
        faults.append(f"the heater's own room {case.room} is not counted")
    return all_of("air.rooms", "air", case.room, faults, f"counted: {', '.join(case.given.rooms)}", _citation(case))


def _volume(case: AirCase) -> Iterator[Finding]:
    holds = air.enough(case.counted_m3, case.asked_m3)
    yield _stated("air.volume", case, holds, _volume_text(case, case.asked_m3), _citation(case))


def _area(case: AirCase) -> Iterator[Finding]:
    """Free areas of openings, or the flow of a fan."""
    given = case.given
    if given.method is AirMethod.MECHANICAL:
        exhaust, _ = case.rooms.exhaust(case.space)
        asked = air.supply_m3_s(case.load.total_w, exhaust)
        detail = phrase(m3_s(given.supply_m3_s), ", ", m3_s(asked), " asked")
        yield _stated("air.supply", case, air.enough(given.supply_m3_s, asked), detail, _citation(case))
    elif given.method not in (AirMethod.STANDARD, AirMethod.INFILTRATION):
        yield from _opening_findings(case)


def _opening_findings(case: AirCase) -> Iterator[Finding]:
    count = _opening_count(case)
    area, cited = _opening_area(case)
    small = [o.free_mm2 for o in case.given.openings if not air.enough(o.free_mm2, area)]
    told = len(case.given.openings)
    faults: list[Detail] = [f"{told} openings, {count} asked"] if told != count else []
    faults += [phrase("an opening of ", mm2(found), " free area, ", mm2(area), " asked") for found in small]
    held = phrase(f"{count} of at least ", mm2(area), " free area")
    yield from all_of("air.area", "air", case.room, faults, held, cited)
    _, unknown = case.rooms.connectors_mm2(case.heater, case.space)
    if unknown and _is_single(case):
        detail, whose = "no smaller than all vent connectors", ", ".join(unknown)
        missing = f"diameter of the vent connector of {whose}"
        yield Finding("air.area", Verdict.UNKNOWN, "air", case.room, detail, citation=cited, missing=missing)


def _opening_count(case: AirCase) -> int:
    if case.given.method is AirMethod.COMBINED:
        return 2 if len(case.given.openings) > 1 else 1
    each = air.method_row(case.given.method).integer("openings")
    return each * len(case.given.through) if case.given.method is AirMethod.GRILLES else each


def _is_single(case: AirCase) -> bool:
    """Whether one opening serves the space by the US codes."""
    single = (AirMethod.ONE_OPENING, AirMethod.COMBINED)
    return not case.canada and case.given.method in single and len(case.given.openings) < 2


def _opening_area(case: AirCase) -> tuple[float, str]:
    """Free area of each opening asked for [mm2], with its citation."""
    method, total = case.given.method, case.load.total_w
    if case.canada:
        found = air_ca.opening_area(case.load, case.site.tight)
        return found.area_mm2, found.citation
    areas = {AirMethod.GRILLES: air.indoor_opening_mm2, AirMethod.HORIZONTAL_DUCTS: air.horizontal_duct_mm2}
    area = areas.get(method, air.outdoor_opening_mm2)(total)
    if _is_single(case):
        area = air.one_opening_mm2(total, case.rooms.connectors_mm2(case.heater, case.space)[0])
    if method is AirMethod.COMBINED and case.asked_m3 < inf:
        area = air.combined_mm2(area, case.counted_m3, case.asked_m3)
    return area, _citation(case)


def _space_around(case: AirCase) -> Iterator[Finding]:
    """A single opening asks for free space around the appliance; its back is told as advice."""
    if not _is_single(case):
        return
    free, asked = case.heater.clearances, {p: air.one_opening_space_mm(p) for p in ("side", "front")}
    sides = (("beside", free.left_mm, asked["side"]), ("beside", free.right_mm, asked["side"]),
             ("before", free.front_mm, asked["front"]))  # fmt: skip
    faults = [
        phrase("listed with ", mm(listed), f" {where} it, ", mm(least, 1), " asked")
        for where, listed, least in sides
        if listed < least
    ]
    held = "the listing keeps sides and front free"
    yield from all_of("air.space", "air", case.room, faults, held, _citation(case))
    back = phrase("hang the heater on brackets that keep ", mm(asked["side"], 1), " free behind it")
    yield Finding("air.back", Verdict.ADVICE, "air", case.room, back, citation=_citation(case))


def _as_told(case: AirCase, design: Design) -> tuple[Finding, ...]:
    """What the design tells twice, or tells of itself, against what was found."""
    given = case.given
    faults: list[Detail] = []
    if design.air_openings != air.opens_outdoors(given.method):
        faults.append(f"air_openings is {design.air_openings}, yet the method is {given.method}")
    told = (("counted", given.counted_m3, case.counted_m3), ("asked for", given.asked_m3, case.asked_m3))
    for what, says, found in told:
        if says is not None and found < inf and abs(says - found) > TOLD_AGREES * found:
            faults.append(phrase(m3(says), f" told as {what}, ", m3(found), " found"))
    for opening in given.openings:
        least = air.opening(opening.free_mm2)
        if opening.gross_metal_mm2 < least.gross_metal_mm2 or opening.gross_wood_mm2 < least.gross_wood_mm2:
            faults.append(phrase("a louvre of the size told has less than ", mm2(opening.free_mm2), " free area"))
    return all_of("air.stated", "air", case.room, faults, "figures told agree with those found", _citation(case))


def _volume_text(case: AirCase, asked: float) -> Phrase:
    rooms = " and ".join(case.given.rooms)
    needed = phrase(m3(asked), " asked") if asked < inf else "no volume is enough here"
    return phrase(m3(case.counted_m3), f" in {rooms}, ", needed)


def _citation(case: AirCase) -> str:
    if case.canada and case.given.method is AirMethod.MECHANICAL:
        return air_ca.supply_citation()
    return air.method_citation(case.given.method)


def _stated(rule_id: str, case: AirCase, holds: bool, detail: Detail, citation: str) -> Finding:
    return stated(rule_id, "air", case.room, holds, detail, citation)
