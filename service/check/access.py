"""Whether one gets to the heater in an attic or a crawl space and can work there, by the facts of the survey."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from service.check.hung import Hung
from service.check.mount_rooms import broken
from service.design import Finding, Verdict
from service.rules.mounting import SizedMountRule
from service.survey.model import Access


@dataclass(frozen=True, slots=True)
class _Held:
    """One fact against its limit [mm]."""

    name: str
    given: int | None
    limit: int
    is_most: bool = False

    @property
    def kept(self) -> bool:
        return self.given is not None and (self.given <= self.limit if self.is_most else self.given >= self.limit)


def passage(sized: SizedMountRule, hung: Hung) -> tuple[Finding, ...]:
    """Length, width, height and floor of the way."""
    access = _stated(hung)
    if sized.rule.unless == "removable_through_opening" and access.removable_through_opening:
        return _said(sized, hung, "no passage asked: the heater is serviced and removed through the opening")
    way = access.passage
    asked = [
        _Held("passage.width", way.width_mm, sized.width_mm),
        _Held("passage.height", way.height_mm, sized.height_mm),
    ]
    if sized.floor_mm:
        asked.append(_Held("passage.floor_width", way.floor_width_mm, sized.floor_mm))
    if sized.high_mm and way.height_mm is not None and way.height_mm >= sized.high_mm:
        return (*_each(sized, hung, asked), *_said(sized, hung, "high enough throughout to be of any length"))
    return tuple(_each(sized, hung, [*asked, _Held("passage.length", way.length_mm, sized.distance_mm, is_most=True)]))


def opening(sized: SizedMountRule, hung: Hung) -> tuple[Finding, ...]:
    """The opening by itself, and the case through it, smaller sides first."""
    access, heater = _stated(hung), hung.design.heater
    given = (access.opening_width_mm, access.opening_height_mm)
    names = ("opening.width", "opening.height")
    if None in given:
        unknown = [_Held(n, g, 0) for n, g in zip(names, given, strict=True) if g is None]
        return tuple(_each(sized, hung, unknown))
    sides = sorted(g for g in given if g is not None)
    asked = zip(sides, sorted((sized.width_mm, sized.height_mm)), strict=True)
    through = zip(sides, sorted((heater.width_mm, heater.height_mm, heater.depth_mm))[:2], strict=True)
    held = [_Held("opening", side, limit) for side, limit in asked]
    held += [_Held("opening for the heater to pass", side, limit) for side, limit in through]
    return tuple(_each(sized, hung, held))


def platform(sized: SizedMountRule, hung: Hung) -> tuple[Finding, ...]:
    """Level service space before the heater."""
    access = _stated(hung)
    held = [
        _Held("platform.depth", access.platform_depth_mm, sized.distance_mm),
        _Held("platform.width", access.platform_width_mm, sized.width_mm),
    ]
    return tuple(_each(sized, hung, held))


def pit(sized: SizedMountRule, hung: Hung) -> tuple[Finding, ...]:
    """Depth below grade; beyond the limit the lining of its walls counts."""
    way = _stated(hung).passage
    depth = _Held("passage.below_grade", way.below_grade_mm, sized.distance_mm, is_most=True)
    if depth.kept or depth.given is None:
        return tuple(_each(sized, hung, [depth]))
    return tuple(_each(sized, hung, [_Held("passage.lining_above_grade", way.lining_above_grade_mm, sized.height_mm)]))


def outlets(sized: SizedMountRule, hung: Hung) -> tuple[Finding, ...]:
    """Light and receptacle."""
    access, rule = _stated(hung), sized.rule
    facts = {"light": access.light, "receptacle": access.receptacle}
    if absent := [name for name, there in facts.items() if there is False]:
        detail = f"no {' and no '.join(absent)}; {rule.note}"
        return (Finding(rule.id, broken(sized, ""), "mount", hung.room.id, detail, citation=rule.citation),)
    if unknown := [_fact(name, hung) for name, there in facts.items() if there is None]:
        missing = ", ".join(unknown)
        verdict = broken(sized, missing)
        return (Finding(rule.id, verdict, "mount", hung.room.id, rule.note, citation=rule.citation, missing=missing),)
    return _said(sized, hung, "light and receptacle are there")


def _stated(hung: Hung) -> Access:
    given = hung.surveyed.access if hung.surveyed else None
    return given if given is not None else Access()


def _fact(name: str, hung: Hung) -> str:
    return f"access.{name} of room {hung.room.id}"


def _said(sized: SizedMountRule, hung: Hung, detail: str) -> tuple[Finding, ...]:
    return (Finding(sized.rule.id, Verdict.PASS, "mount", hung.room.id, detail, citation=sized.rule.citation),)


def _each(sized: SizedMountRule, hung: Hung, facts: list[_Held]) -> Iterator[Finding]:
    """A finding for each fact; one that is not given leaves the rule open."""
    rule = sized.rule
    for held in facts:
        missing = _fact(held.name, hung) if held.given is None else ""
        verdict = Verdict.PASS if held.kept else (_open(sized) if missing else broken(sized, ""))
        yield Finding(
            rule.id, verdict, "mount", hung.room.id, held.name, held.limit, held.given, rule.citation, missing
        )


def _open(sized: SizedMountRule) -> Verdict:
    """A fact of the way in that is not known; what a rule makes of rooms of unknown use is another matter."""
    return Verdict.UNKNOWN if sized.rule.required else Verdict.ADVICE
