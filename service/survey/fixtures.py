"""Hot-water fixtures as surveyed, and how their demand is to be reckoned. See ``model`` for the units."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from service.survey.house import Point3


class DemandMethod(StrEnum):
    """How the demand for hot water is reckoned; the three are never mixed."""

    CONCURRENT_USE = "concurrent_use"
    FIXTURE_UNITS = "fixture_units"
    PROBABILISTIC = "probabilistic"


@dataclass(frozen=True, slots=True)
class Draw:
    """``count`` equal fixtures of one kind, each drawing a flow [m3/s].

    ``kind`` is one of the table ``fixture_kinds`` or any other word, of which nothing is known.
    ``use_temperature_c``: temperature at which the water is used [degC], None for that of the whole house.
    """

    id: str
    kind: str
    flow_m3_s: float
    count: int = 1
    use_temperature_c: float | None = None


@dataclass(frozen=True, slots=True)
class Fixture(Draw):
    """Hot-water fixture with its place [mm]."""

    at: Point3 = field(kw_only=True)
