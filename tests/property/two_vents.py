"""The invented houses with heaters that are listed with two vents: a short one, and a larger and dearer one."""

from __future__ import annotations

from dataclasses import replace

from service.survey.equipment import Heater, Price, VentListing
from service.survey.model import Survey

SHORT_MM = (1500, 2500, 4000)
"""What is left of the standard vent's run above its rise, so that it often does not reach."""


def with_larger(survey: Survey, seed: int) -> Survey:
    """The house with heaters whose standard vent is short, and that may have a larger and dearer one that is not."""
    heaters = tuple(_listed(h, SHORT_MM[(seed + i) % len(SHORT_MM)]) for i, h in enumerate(survey.heaters))
    book = survey.prices
    more = {key: _dearer(key, book[_standard(key)]) for h in heaters for key in _keys(h.vents[1])}
    return replace(survey, heaters=heaters, prices=replace(book, items=book.items | more))


def _listed(heater: Heater, short_mm: int) -> Heater:
    rise = heater.vent_rise_mm
    short = replace(heater.vent, max_equivalent_mm=rise + short_mm, first_elbow_mm=0)
    first = replace(heater, vent=short)
    short = replace(short, first_elbow_mm=rise - first.vent_rise_mm)
    long = replace(
        heater.vent, system=f"{heater.vent.system}-wide", pipe_radius_mm=heater.vent.pipe_radius_mm + 12,
        terminal_radius_mm=heater.vent.terminal_radius_mm + 15, material=None,
    )  # fmt: skip
    return replace(heater, vent=short, vents=(short, long))


def _keys(listing: VentListing) -> tuple[str, ...]:
    return tuple(f"vent.{listing.system}.{part}" for part in ("pipe", "elbow", "terminal"))


def _standard(key: str) -> str:
    return key.replace("-wide", "")


def _dearer(key: str, price: Price) -> Price:
    return replace(price, key=key, cents=price.cents * 5 // 4)
