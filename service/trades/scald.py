"""Scalding: how soon water of a temperature burns, what outlets may give, and when it must be mixed down."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import exp, log

from service.rules.figures import citation_of
from service.rules.tables import Row, table
from service.survey.model import WaterSupply
from service.units import Quantity, to_si

_SLACK_C = 1e-6
TAKEN = ("bath_shower",)
"""Outlets of a house whose survey names none: the strictest of a common bath."""


@dataclass(frozen=True, slots=True)
class BurnTime:
    """Time until skin is burnt through [s]; ``relation``: about, more_than (below the table) or less_than (above)."""

    seconds: float
    relation: str


def burn_time(t_c: float, person: str = "adult") -> BurnTime:
    """Time to a third-degree burn at a temperature [degC], of an adult or an infant: the logarithm of the time
    interpolated between printed rows, 120 to 160 degF (infants 150). Source: public scald tables (read).
    KeyError for another person."""
    rows = [(_celsius(r, "temperature"), r.printed("seconds")) for r in table("scald_times").rows
            if r.text("person") == person]  # fmt: skip
    if not rows:
        raise KeyError(person)
    if t_c < rows[0][0] - _SLACK_C:
        return BurnTime(rows[0][1], "more_than")
    for (t0, s0), (t1, s1) in pairwise(rows):
        if t_c <= t1 + _SLACK_C:
            share = max((t_c - t0) / (t1 - t0), 0.0)
            return BurnTime(exp(log(s0) + share * (log(s1) - log(s0))), "about")
    return BurnTime(rows[-1][1], "less_than")


@dataclass(frozen=True, slots=True)
class OutletLimit:
    """Hottest water that an outlet of a kind may give [degC] and the device that sees to it."""

    outlet: str
    at_most_c: float
    device: str
    citation: str
    known_from: str


def outlet_limit(kind: str) -> OutletLimit | None:
    """Limit of a kind of outlet, None where none is known. Source: IPC 412, IRC P2708 and P2713 (memory)."""
    found = next((r for r in table("scald_limits").rows if r.text("outlet") == kind), None)
    if found is None:
        return None
    cite = citation_of(found.text("standard"), found.text("section"))
    return OutletLimit(kind, _celsius(found, "at_most"), found.text("device"), cite, found.text("known_from"))


def limits_of(water: WaterSupply) -> tuple[tuple[str, OutletLimit], ...]:
    """Outlets of the survey that have a limit, with it; of a house that names none, a bath with a shower."""
    outlets = [(f.id, f.kind) for f in water.fixtures] or [(kind, kind) for kind in TAKEN]
    return tuple((name, limit) for name, kind in outlets if (limit := outlet_limit(kind)) is not None)


def is_over(limit: OutletLimit, setpoint_c: float) -> bool:
    """Whether a setpoint [degC] is hotter than an outlet may give; equality is not."""
    return setpoint_c > limit.at_most_c + _SLACK_C


def safe_c() -> float:
    """Hottest setpoint [degC] at which no bath or shower gets more than it may: 120 degF. Source: IPC 412.3, 412.5;
    IRC P2708.4, P2713.3 (memory)."""
    limit = outlet_limit("shower")
    assert limit is not None
    return limit.at_most_c


def is_too_hot(setpoint_c: float) -> bool:
    """Whether water of the setpoint [degC] is hotter than a bath or shower may get; equality is not."""
    return setpoint_c > safe_c() + _SLACK_C


def needs_mixing_valve(water: WaterSupply) -> bool:
    """Whether the survey's own setpoint is too hot and no mixing valve is known."""
    return water.setpoint_c is not None and is_too_hot(water.setpoint_c) and water.mixing_valve is not True


def _celsius(row: Row, column: str) -> float:
    return to_si(Quantity.TEMPERATURE, row.printed(column), "degF")
