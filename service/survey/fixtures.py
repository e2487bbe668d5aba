"""Hot-water fixtures as surveyed, and how their demand is to be reckoned. See ``model`` for the units."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from service.survey.house import Point3
from service.survey.site import Climate


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
    ``flow_is_given``: False where the flow is that of law or code for the kind.
    """

    id: str
    kind: str
    flow_m3_s: float
    count: int = 1
    use_temperature_c: float | None = None
    flow_is_given: bool = True


@dataclass(frozen=True, slots=True)
class Fixture(Draw):
    """Hot-water fixture with its place [mm]."""

    at: Point3 = field(kw_only=True)


@dataclass(frozen=True, slots=True)
class DemandTerms:
    """How a household uses hot water; ``use_temperature_c`` None is that of the table ``hot_water`` [degC].

    ``at_once``: sets of fixtures (their ids) that run together, by the method of concurrent use. Empty: nobody told,
    and nothing but each fixture by itself can be held against a heater. ``sharing``: how many heaters in parallel carry
    the demand, each an even part of it.
    """

    method: DemandMethod = DemandMethod.CONCURRENT_USE
    at_once: tuple[tuple[str, ...], ...] = ()
    use_temperature_c: float | None = None
    sharing: int = 1

    @property
    def is_told(self) -> bool:
        """Whether it is known what a heater must carry at once."""
        return bool(self.at_once) or self.method is not DemandMethod.CONCURRENT_USE


@dataclass(frozen=True, slots=True)
class HotWater:
    """All that the demand for hot water follows from; ``inlet_c`` is the coldest inlet as measured, ``setpoint_c`` the
    heater's [degC]; None where not told."""

    draws: tuple[Draw, ...]
    terms: DemandTerms
    inlet_c: float | None
    climate: Climate | None
    altitude_m: float
    setpoint_c: float | None = None
