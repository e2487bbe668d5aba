"""Vent runs: equivalent length and fall."""

from __future__ import annotations

from math import ceil

from service.rules.tables import table
from service.survey.equipment import Category, VentListing


def equivalent_mm(length_mm: int, elbows: int, listing: VentListing) -> int:
    """Straight length plus allowance for each 90 degree elbow [mm].
    Source: common practice of listed instructions; the allowance is the listing's."""
    return length_mm + elbows * listing.elbow_equivalent_mm


def within_listing(length_mm: int, elbows: int, listing: VentListing) -> bool:
    """Whether equivalent length and number of elbows are within the listing."""
    few = listing.max_elbows is None or elbows <= listing.max_elbows
    return few and equivalent_mm(length_mm, elbows, listing) <= listing.max_equivalent_mm


def fall_mm(horizontal_mm: int, listing: VentListing) -> int:
    """Height [mm], rounded up, that a horizontal run must fall: length x the listing's fall."""
    return ceil(round(horizontal_mm * listing.fall, 6))


def minimum_fall() -> float:
    """Least fall [m/m] of a horizontal vent: 1/4 in per ft, printed 20.8 mm/m. Source: common practice."""
    return table("vent").constant("minimum_fall")


def default_elbow_mm() -> int:
    """Equivalent length [mm] of a 90 degree elbow when the listing is silent: 5 ft. Source: common practice."""
    return round(table("vent").constant("elbow_90") * 1000)


def falls_to_heater(category: Category) -> bool:
    """Whether condensate must run back to the heater (IV) or out to the terminal (III).
    Source: IV read in a gas technicians' training text; III common practice."""
    return category is Category.IV
