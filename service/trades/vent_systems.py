"""Vent systems against the categories of appliances: what a category may be vented with, in which country."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from service.rules.tables import Row, table
from service.survey.equipment import Category, Heater, VentListing

PLASTICS = frozenset({"polypropylene", "pvc", "cpvc"})
S636 = "ULC S636"


@dataclass(frozen=True, slots=True)
class CategoryFacts:
    """What a category says of the vent: pressure, condensate, and which way a level run falls."""

    category: str
    pressure: str  # positive | non_positive
    condensate: str  # avoided | possible
    falls_to: str  # heater | terminal
    citation: str
    known_from: str
    note: str


@dataclass(frozen=True, slots=True)
class VentSystem:
    """A vent system; what is not known of it is None. Diameters are nominal [mm]."""

    id: str
    name: str
    is_in_table: bool
    material: str | None
    construction: str | None
    inner_mm: float | None
    outer_mm: float | None
    listed_to: tuple[str, ...] | None
    temperature_class: str | None
    categories: tuple[str, ...] | None


@dataclass(frozen=True, slots=True)
class Suitability:
    """One question put to a vent system. ``suits`` None: only the listing decides, ``missing`` says on what fact."""

    rule_id: str
    suits: bool | None
    detail: str
    citation: str
    known_from: str
    missing: str = ""


@cache
def category_facts(category: str) -> CategoryFacts:
    """What a category I to IV says. Source: IFGC / NFPA 54 definitions (read). KeyError for another."""
    row = table("vent_categories").where(category=category)
    return CategoryFacts(
        category, row.text("pressure"), row.text("condensate"), row.text("falls_to"), _cite(row),
        row.text("known_from"), row.text("note"),
    )  # fmt: skip


@cache
def temperature_classes() -> dict[str, float]:
    """Hottest flue gas of each class of special vent [degC]. Source: ULC S636 (read in a training text)."""
    return {row.text("temperature_class"): row.si("upto") for row in table("vent_classes").rows}


def system_of(listing: VentListing) -> VentSystem:
    """The listed system: as the listing tells it, else as the table ``vent_systems`` has it."""
    row = next((r for r in table("vent_systems").rows if r.text("system") == listing.system), None)
    return VentSystem(
        id=listing.system,
        name=listing.system if row is None else row.text("name"),
        is_in_table=row is not None,
        material=listing.material or _text(row, "material"),
        construction=listing.construction or _text(row, "construction"),
        inner_mm=_diameter_mm(row, "inner"),
        outer_mm=_diameter_mm(row, "outer"),
        listed_to=listing.listed_to if listing.listed_to is not None else _words(row, "listed_to", ";"),
        temperature_class=listing.temperature_class or _text(row, "temperature_class"),
        categories=_words(row, "categories", " "),
    )


def suitability(heater: Heater, country: str) -> tuple[Suitability, ...]:
    """Whether a heater's listed vent system suits its category in a country (us or ca), question by question."""
    system = system_of(heater.vent)
    if system.material is None:
        told = f"what vent system {system.id} is made of is not told"
        return (_open("vent.material", told, f"material of vent system {system.id}"),)
    row = table("vent_materials").where(country=country, category=heater.category.value, material=system.material)
    found = [_material(heater, system, row)]
    if row.flag("allowed"):
        found += [f for f in (_standard(system, row), _class(heater, system, country)) if f is not None]
    return tuple(found)


def fall_faults(listing: VentListing, category: Category) -> tuple[str, ...]:
    """What is wrong with the slope that a listing names for wet flue gas, Category IV: less than 1/4 in per ft (common
    practice), or condensate led to the terminal (read)."""
    if category_facts(category.value).condensate != "possible":
        return ()
    faults = [f"falls {listing.fall:.2%}, {_least_fall():.2%} asked for"] if is_flat(listing) else []
    if not listing.falls_to_heater:
        faults.append(f"falls to the terminal, that of Category {category.value} must run back to the heater")
    return tuple(faults)


def is_flat(listing: VentListing) -> bool:
    """Whether a listing names less fall than 1/4 in per ft. Source: common practice; for dry flue gas, Category III,
    the listing decides."""
    return listing.fall < _least_fall()


def _least_fall() -> float:
    return table("vent").constant("minimum_fall")


def condenses_by_efficiency(efficiency: float) -> bool:
    """Whether flue gas condenses at a steady efficiency above about 0.83. Source: trade magazine (read)."""
    return efficiency > table("vent").constant("condensing_above")


def _material(heater: Heater, system: VentSystem, row: Row) -> Suitability:
    category = heater.category.value
    named = system.categories is None or category in system.categories
    suits = row.flag("allowed") and named
    detail = f"{system.material} for Category {category}: {'' if suits else 'not allowed, '}{row.text('note')}"
    if not named:
        detail = f"{system.name} is listed for Category {' '.join(system.categories or ())}, not {category}"
    return Suitability("vent.material", suits, detail, _cite(row), row.text("known_from"))


def _standard(system: VentSystem, row: Row) -> Suitability | None:
    """Whether the system is listed to the standard that the row asks for; None where it asks for none."""
    wanted = row.cells["listed_to"]
    if wanted is None:
        return None
    if system.listed_to is None:
        return _open("vent.listed_to", f"must be listed to {wanted}", f"standards that {system.id} is listed to")
    told = f"must be listed to {wanted}, is listed to {', '.join(system.listed_to) or 'none'}"
    return Suitability("vent.listed_to", wanted in system.listed_to, told, _cite(row), row.text("known_from"))


def _class(heater: Heater, system: VentSystem, country: str) -> Suitability | None:
    """Whether the system's class stands the flue gas; asked in Canada, where the vent must be of ULC S636."""
    if country != "ca" or category_facts(heater.category.value).category == "I":
        return None
    hot = heater.vent.flue_temperature_c
    if system.temperature_class is None or hot is None:
        lacking = "temperature class of the vent" if system.temperature_class is None else "temperature of the flue gas"
        return _open("vent.class", f"the class of {S636} must stand the flue gas", lacking)
    most = temperature_classes()[system.temperature_class]
    told = f"class {system.temperature_class} stands {most:g} degC, flue gas is at most {hot:g} degC"
    classes = table("vent_classes")
    known = classes.where(temperature_class=system.temperature_class).text("known_from")
    return Suitability("vent.class", hot <= most, told, f"{classes.standard}, {classes.section}", known)


def _open(rule_id: str, detail: str, missing: str) -> Suitability:
    return Suitability(rule_id, None, f"{detail}: the heater's listing decides", "listing", "common_practice", missing)


def _cite(row: Row) -> str:
    return f"{row.text('standard')}, {row.text('section')}"


def _text(row: Row | None, column: str) -> str | None:
    return None if row is None else row.text(column)


def _words(row: Row | None, column: str, between: str) -> tuple[str, ...] | None:
    return None if row is None else tuple(row.text(column).split(between))


def _diameter_mm(row: Row | None, column: str) -> float | None:
    return None if row is None or row.cells[column] is None else row.si(column) * 1000
