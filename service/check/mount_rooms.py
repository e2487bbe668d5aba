"""Whether the room may hold the heater: its use and what lies beyond it, garages, floods, doors, wishes."""

from __future__ import annotations

from collections.abc import Iterator

from service.building.model import Hole
from service.check.hung import Hung
from service.check.verdicts import at_least
from service.design import Finding, Verdict
from service.phrases import Detail, joined, mm, phrase
from service.rules.mounting import SizedMountRule
from service.survey.model import Enclosure, GarageKind, OpeningKind

ENCLOSURE = {
    "gasketed_self_closing_door": "a solid, gasketed, self-closing door",
    "air_from_outdoors": "all combustion air from outdoors",
    "nothing_stored": "nothing stored in it",
}


def broken(sized: SizedMountRule, missing: str) -> Verdict:
    """Verdict on a rule that is not kept; ``missing`` names the fact that might still save it."""
    if not sized.rule.required or (missing and sized.rule.on_missing == "advice"):
        return Verdict.ADVICE
    return Verdict.UNKNOWN if missing else Verdict.FAIL


def of_room(
    sized: SizedMountRule, hung: Hung, kept: bool, detail: Detail,
    required: int | None = None, actual: int | None = None,
) -> tuple[Finding, ...]:  # fmt: skip
    """Finding of a rule that speaks of the room; a use that is not known leaves a broken one open."""
    rule = sized.rule
    unsure = not kept and rule.rests_on_unknown_use(hung.room.use, hung.onward)
    missing = f"use of room {hung.room.id}" if unsure else ""
    verdict = Verdict.PASS if kept else broken(sized, missing)
    return (Finding(rule.id, verdict, "mount", hung.room.id, detail, required, actual, rule.citation, missing),)


def room_forbidden(sized: SizedMountRule, hung: Hung) -> tuple[Finding, ...]:
    """No heater here, unless the room is a sealed enclosure and the rule lets that be."""
    stated = hung.surveyed.enclosure if hung.surveyed else None
    if sized.rule.unless == "sealed_enclosure" and stated is not None:
        return _enclosed(sized, hung, stated)
    if not sized.rule.required:
        return of_room(sized, hung, False, sized.rule.note)
    return of_room(sized, hung, False, f"no such heater in a room used as {hung.room.use}; {sized.rule.note}")


def _enclosed(sized: SizedMountRule, hung: Hung, stated: Enclosure) -> tuple[Finding, ...]:
    rule, room = sized.rule, hung.room.id
    facts = {name: getattr(stated, name) for name in ENCLOSURE}
    lacking = [ENCLOSURE[name] for name, holds in facts.items() if holds is False]
    if lacking:
        return of_room(sized, hung, False, f"no sealed enclosure, for it lacks {', '.join(lacking)}; {rule.note}")
    if open_facts := [f"enclosure.{name} of room {room}" for name, holds in facts.items() if holds is None]:
        detail, missing = "a sealed enclosure if what is not known holds", ", ".join(open_facts)
        verdict = Verdict.UNKNOWN if rule.required else Verdict.ADVICE
        return (Finding(rule.id, verdict, "mount", room, detail, citation=rule.citation, missing=missing),)
    return of_room(sized, hung, True, "a dedicated sealed enclosure, as the survey states")


def advice(sized: SizedMountRule, hung: Hung) -> tuple[Finding, ...]:
    """What is said and not judged."""
    rule = sized.rule
    return (Finding(rule.id, Verdict.ADVICE, "mount", hung.room.id, rule.note, citation=rule.citation),)


def record(sized: SizedMountRule, hung: Hung) -> tuple[Finding, ...]:
    """Nothing: it is kept for the reader of the table."""
    return ()


def above_floor(sized: SizedMountRule, hung: Hung) -> tuple[Finding, ...]:
    """Height of the case over the floor."""
    height = hung.z0 - hung.room.floor_z
    kept = height >= sized.distance_mm
    note = "" if kept or sized.rule.required else f"; {sized.rule.note}"
    detail = phrase("bottom of the case ", mm(height), f" over the floor{note}")
    return of_room(sized, hung, kept, detail, sized.distance_mm, height)


def above_vehicles(sized: SizedMountRule, hung: Hung) -> tuple[Finding, ...]:
    """Height over floor and garage doors of a public garage."""
    rule, room = sized.rule, hung.room
    kind = hung.surveyed.garage if hung.surveyed else None
    if kind is None:
        detail, missing = f"taken as a private garage; {rule.note}", f"garage (private or public) of room {room.id}"
        return (Finding(rule.id, Verdict.ADVICE, "mount", room.id, detail, citation=rule.citation, missing=missing),)
    if kind is GarageKind.PRIVATE:
        return ()
    doors = [h for h in _holes(hung) if h.kind is OpeningKind.GARAGE_DOOR]
    return (
        *above_floor(sized, hung),
        *(
            at_least(
                rule.id, "mount", d.opening_id, sized.height_mm, hung.z0 - d.z1, "over the garage door", rule.citation
            )
            for d in doors
        ),
    )  # fmt: skip


def above_flood(sized: SizedMountRule, hung: Hung) -> tuple[Finding, ...]:
    """Height over the flood elevation, where the survey gives one."""
    flood = hung.survey.site.flood_elevation_mm
    if flood is None:
        return ()
    detail = "bottom of the case over the flood elevation"
    return (at_least(sized.rule.id, "mount", "flood", sized.distance_mm, hung.z0 - flood, detail, sized.rule.citation),)


def headroom(sized: SizedMountRule, hung: Hung) -> tuple[Finding, ...]:
    """Height of the room."""
    height = hung.room.ceiling_z - hung.room.floor_z
    detail = phrase(mm(height), " from floor to ceiling")
    return of_room(sized, hung, height >= sized.distance_mm, detail, sized.distance_mm, height)


def door(sized: SizedMountRule, hung: Hung) -> tuple[Finding, ...]:
    """A way in that is wide and high enough, as far as the survey shows doors."""
    rule, room = sized.rule, hung.room
    doors = [h for h in _holes(hung) if h.kind is not OpeningKind.WINDOW and h.z0 <= room.floor_z]
    if not doors:
        missing = f"a door of room {room.id}"
        detail, verdict = f"no door of the room is surveyed; {rule.note}", broken(sized, missing)
        return (Finding(rule.id, verdict, "mount", room.id, detail, citation=rule.citation, missing=missing),)
    wide = [d for d in doors if d.s1 - d.s0 >= sized.width_mm and d.z1 - room.floor_z >= sized.height_mm]
    sizes = (phrase(f"{d.opening_id} ", mm(d.s1 - d.s0), " x ", mm(d.z1 - room.floor_z)) for d in wide or doors)
    least = (mm(sized.width_mm), " x ", mm(sized.height_mm))
    asked = phrase(*least, " asked, doors: ", joined(", ", sizes), "" if wide else f"; {rule.note}")
    return of_room(sized, hung, bool(wide), asked)


def _holes(hung: Hung) -> Iterator[Hole]:
    return (h for f in hung.building.faces if f.room_id == hung.room.id for h in f.holes)


def refused(sized: SizedMountRule, hung: Hung) -> tuple[Finding, ...]:
    """Rooms that the customer does not want."""
    named = hung.survey.preferences.rooms_refused
    told = "rooms the customer refuses: " + (", ".join(named) or "none")
    return of_room(sized, hung, hung.room.id not in named, told)


def wanted(sized: SizedMountRule, hung: Hung) -> tuple[Finding, ...]:
    """Rooms that the customer wants."""
    named = hung.survey.preferences.rooms_wanted
    kept = not named or hung.room.id in named
    return of_room(sized, hung, kept, "rooms the customer wants: " + (", ".join(named) or "any"))
