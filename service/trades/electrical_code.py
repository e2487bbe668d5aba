"""Which electrical code holds at a site, what it is cited by, and where it asks for ground-fault protection."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from service.rules.tables import Row, table
from service.survey.model import RoomUse, Site


@dataclass(frozen=True, slots=True)
class Edition:
    """An electrical code: id as a survey names it, year of the edition (0: its figures are not in the tables), how it
    is known to hold here."""

    id: str
    year: int
    is_surveyed: bool
    known_from: str

    @property
    def name(self) -> str:
        """In words."""
        return f"NEC {self.year}" if self.year else "Canadian Electrical Code"


@dataclass(frozen=True, slots=True)
class OutletPlace:
    """Where an outlet is. ``below_grade``: some of its room lies below the ground, so it may be a basement;
    ``near_water``: a fixture is within reach; None where no fixture was surveyed."""

    use: RoomUse
    finished: bool
    below_grade: bool
    near_water: bool | None


@dataclass(frozen=True, slots=True)
class GroundFault:
    """Whether ground-fault protection is asked for (None: not known), why, and by what."""

    asked: bool | None
    why: str
    citation: str
    known_from: str


def code_ids() -> tuple[str, ...]:
    """Ids of the codes that a survey may name, sorted."""
    return tuple(sorted(row.text("code") for row in table("power_editions").rows))


def default_code(rule_set: str) -> str:
    """The code that goes with a rule set; KeyError for a rule set without one."""
    return table("power_editions").where(rule_set=rule_set).text("code")


def edition_of(site: Site) -> Edition:
    """The code of a site: the survey's own, else the one that goes with its rule set."""
    code = site.electrical_code or default_code(site.rule_set)
    row = table("power_editions").where(code=code)
    return Edition(code, row.integer("year"), site.electrical_code is not None, row.text("known_from"))


def cited(rule: str, country: str) -> str:
    """Standard and section of a rule in a country; a note where none is known there."""
    row = table("power_rules").where(rule=rule)
    return row.text("us") if country == "us" else str(row.cells["ca"] or "no rule known to us")


def mark_of(rule: str) -> str:
    """How a rule is known."""
    return table("power_rules").where(rule=rule).text("known_from")


def topic_of(rule: str) -> str:
    """What a rule asks, in words."""
    return table("power_rules").where(rule=rule).text("topic")


def gfci_reach_mm() -> float:
    """How near to a fixture an outlet needs protection: 6 ft. Source: NEC 210.8(A) (memory)."""
    return table("power").constant("gfci_reach") * 1000


def ground_fault(edition: Edition, place: OutletPlace) -> GroundFault:
    """Whether an outlet of 120 V needs ground-fault protection. Source: NEC 210.8(A), table ``power_gfci``."""
    if not edition.year:
        return GroundFault(None, "no rule of this code is in the tables", edition.name, "memory")
    rows = [r for r in table("power_gfci").rows if r.integer("from_year") <= edition.year and _applies(r, place)]
    found = [_told(r, edition, place.near_water) for r in rows]
    certain = [f for f in found if f.asked]
    if certain or found:
        return (certain or found)[0]
    why = f"a room used as {_words(place.use)} is not in the list"
    return GroundFault(False, why, f"{edition.name}, 210.8(A)", "read")


def ground_fault_outdoors(edition: Edition, wired: bool) -> GroundFault:
    """Whether an outlet outdoors needs it, or a heater that is wired in there.
    Source: NEC 210.8(A)(3) and, from 2020, 210.8(F), table ``power_gfci``."""
    if not edition.year:
        return GroundFault(None, "no rule of this code is in the tables", edition.name, "memory")
    row = table("power_gfci").where(place="outdoors_wired" if wired else "outdoors")
    if edition.year < row.integer("from_year"):
        why = f"no rule on what is wired in outdoors before {row.integer('from_year')}"
        return GroundFault(False, why, f"{edition.name}, 210.8", row.text("known_from"))
    return _told(row, edition)


def _applies(row: Row, place: OutletPlace) -> bool:
    where, condition = row.text("place"), row.text("condition")
    if where == "near_water":
        return place.near_water is not False
    is_there = where == place.use.value or (where == "basement" and place.below_grade)
    return is_there and not (condition == "unfinished" and place.finished)


def near_water(gaps_mm: Iterable[float]) -> bool | None:
    """Whether any of a house's fixtures, so far away [mm], is within reach; None where none was surveyed."""
    gaps = tuple(gaps_mm)
    return any(gap <= gfci_reach_mm() for gap in gaps) if gaps else None


def _told(row: Row, edition: Edition, near: bool | None = True) -> GroundFault:
    """A row that speaks of some outlets of a room only leaves it open, and so do fixtures that nobody surveyed."""
    where, condition = row.text("place"), row.text("condition")
    is_open = condition == "counter" or (where == "near_water" and near is None)
    why = f"{_words(where)}" + ("" if condition == "always" else f", {condition}")
    why += ", for no fixture was surveyed" if where == "near_water" and near is None else ""
    asked = None if is_open else True
    return GroundFault(asked, why, f"{edition.name}, {row.text('section')}", row.text("known_from"))


def _words(name: str) -> str:
    return name.replace("_", " ")
