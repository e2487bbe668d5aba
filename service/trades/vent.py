"""Vent runs: equivalent length, fall, supports."""

from __future__ import annotations

from functools import cache
from math import ceil

from service.rules.figures import Figure, figure_of
from service.rules.tables import table
from service.survey.equipment import Category, VentListing
from service.survey.intake_listing import LengthBasis
from service.trades.supports import spacings_begun
from service.trades.vent_systems import category_facts

ANY = "any"


INTAKE_ELBOWS = 2
"""An intake's pipe has so many elbows more than the exhaust's beside it: it turns off to its own hole, and out."""


def equivalent_mm(length_mm: int, elbows: int, listing: VentListing, apart_mm: int | None = None) -> int:
    """Straight length plus allowance for each 90 degree elbow [mm], of what the listing counts of two pipes.
    ``apart_mm``: between exhaust and intake terminal, if it is not the listing's distance.
    Source: common practice of listed instructions; the allowance is the listing's."""
    return sum(length + n * listing.elbow_equivalent_mm for length, n in _counted(length_mm, elbows, listing, apart_mm))


def elbows_counted(elbows: int, listing: VentListing) -> int:
    """Elbows of the pipes that the listing counts, for so many in the exhaust's."""
    return sum(n for _, n in _counted(0, elbows, listing, None))


def _counted(length_mm: int, elbows: int, listing: VentListing, apart_mm: int | None) -> tuple[tuple[int, int], ...]:
    """Length and elbows of each pipe counted: of two that count each for itself the intake's, which is the longer."""
    exhaust, intake = (length_mm, elbows), listing.intake
    if intake is None or intake.length_basis is LengthBasis.EXHAUST_ONLY:
        return (exhaust,)
    beside = length_mm + (intake.apart_mm if apart_mm is None else apart_mm), elbows + INTAKE_ELBOWS
    return (beside,) if intake.length_basis is LengthBasis.EACH else (exhaust, beside)


def exhaust_limit(listing: VentListing) -> tuple[int, int | None]:
    """Longest equivalent length [mm] and most elbows of the exhaust run itself, whatever of two pipes is counted."""
    pipes, none = len(_counted(0, 0, listing, None)), equivalent_mm(0, 0, listing)
    few = None if listing.max_elbows is None else (listing.max_elbows - elbows_counted(0, listing)) // pipes
    return (listing.max_equivalent_mm - none) // pipes, few


def within_listing(length_mm: int, elbows: int, listing: VentListing) -> bool:
    """Whether equivalent length and number of elbows are within the listing."""
    few = listing.max_elbows is None or elbows_counted(elbows, listing) <= listing.max_elbows
    return few and equivalent_mm(length_mm, elbows, listing) <= listing.max_equivalent_mm


def fall_mm(horizontal_mm: int, listing: VentListing) -> int:
    """Height [mm], rounded up, that a horizontal run must fall: length x the listing's fall."""
    return ceil(round(horizontal_mm * listing.fall, 6))


def default_elbow_mm(degrees: int = 90) -> int:
    """Equivalent length [mm] of an elbow of 90 or 45 degrees when the listing is silent: 5 ft and 2.5 ft.
    Source: common practice. KeyError for another angle."""
    return round(table("vent").constant(f"elbow_{degrees}") * 1000)


def friction_elbow_mm(diameter_mm: float, degrees: int = 90) -> int:
    """Equivalent length [mm] of an elbow of 90 or 45 degrees by friction, k D / f, to cross-check a listing's.
    ``diameter_mm``: inside diameter of the exhaust pipe. Source: handbook (memory). KeyError for another angle."""
    vent = table("vent")
    return round(vent.constant(f"elbow_k_{degrees}") * diameter_mm / vent.constant("friction_factor"))


def falls_to_heater(category: Category) -> bool:
    """Whether condensate must run back to the heater (IV) or out to the terminal (III).
    Source: IV read in a gas technicians' training text; III common practice."""
    return category_facts(category.value).falls_to == "heater"


@cache
def vent_rule(rule: str, material: str | None = None) -> Figure:
    """Figure of a rule for a material; that for any material stands in where it has none of its own, or the
    material is not known. KeyError for an unknown rule."""
    rows = {r.text("material"): r for r in table("vent_practice").rows if r.text("rule") == rule}
    found = rows.get(material or ANY) or rows.get(ANY)
    if found is None:
        raise KeyError(f"{rule} says nothing of {material}")
    return figure_of(found)


def spacing_mm(material: str | None, upright: bool) -> float:
    """Farthest that supports of a vent may be apart [mm]. Source: polypropylene read in a training text, the rest
    common practice; of an unknown material the shortest that is known."""
    return vent_rule("support_vertical" if upright else "support_horizontal", material).value * 1000


def supports_between(length_mm: int, apart_mm: float) -> int:
    """Supports along a straight leg [mm] whose ends are held: by a support at a turn, at the wall, or, at the
    heater, by none, but counted from there. ValueError for a negative length or no spacing."""
    return max(spacings_begun(length_mm, apart_mm) - 1, 0)
