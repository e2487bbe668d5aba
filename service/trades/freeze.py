"""Cold climate: when a vent needs its cold-climate fitting, and which rooms may freeze."""

from __future__ import annotations

from enum import StrEnum

from service.rules.tables import table
from service.survey.model import RoomUse

COLD_KEY = "vent.cold_fitting"
"""Price of the combined fitting; a book may lack it."""


class Warmth(StrEnum):
    """Whether a room is kept from freezing."""

    HEATED = "heated"
    UNHEATED = "unheated"
    MAY_BE = "may_be"


def needs_cold_fitting(winter_c: float) -> bool:
    """Whether the winter design temperature [degC] is below that from which on a vent has an upright condensate
    drain near the heater and, where the heater burns room air, a backdraft damper: -15 degC (5 degF).
    Source: common practice, without a figure of any code."""
    return winter_c < table("freeze").constant("cold_fitting_below")


def cold_limit_c() -> float:
    """Winter design temperature [degC] below which the cold-climate fitting is asked for."""
    return table("freeze").constant("cold_fitting_below")


def freezes(winter_c: float) -> bool:
    """Whether water freezes outdoors at the winter design temperature [degC]."""
    return winter_c < table("freeze").constant("freezing")


def warmth(use: RoomUse) -> Warmth:
    """Whether a room of some use is heated: garage, attic and crawl space are not, storage and rooms of unknown use
    may not be. Source: common practice."""
    states = {row.text("use"): row.text("state") for row in table("freeze_rooms").rows}
    return Warmth(states.get(use.value, Warmth.HEATED))
