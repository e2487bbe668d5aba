"""Start-up of a heater: the steps in their order, what a pressure test asks for, limits and points for the customer.

All of it stands in the tables ``start_up*`` and ``gas_test``.
"""

from __future__ import annotations

from collections.abc import Container
from dataclasses import dataclass

from service.rules.figures import citation_of
from service.rules.tables import Row, table


@dataclass(frozen=True, slots=True)
class StepRule:
    """One step: who may do it, what must be done before, and its words with fields for what the design says."""

    id: str
    who: str
    after: tuple[str, ...]
    title: str
    action: str
    caution: str
    citation: str
    known_from: str


@dataclass(frozen=True, slots=True)
class PressureTest:
    """What a test of new gas pipe asks for: pressures gauge [Pa], least time [min]; ``governs`` by the rule set."""

    code: str
    least_pa: float
    gauge_most_pa: float | None
    minutes: float
    governs: bool
    citation: str
    known_from: str
    note: str


@dataclass(frozen=True, slots=True)
class Limit:
    """A figure in SI (minutes for times) with how it is known."""

    value: float
    citation: str
    known_from: str
    note: str


@dataclass(frozen=True, slots=True)
class CustomerPoint:
    """What the customer must know, with fields for what the survey says."""

    id: str
    text: str
    known_from: str


def step_rules(facts: Container[str]) -> tuple[StepRule, ...]:
    """Steps of a design with these facts, in order; what comes before a step is named only where the design has it."""
    rows = [r for r in table("start_up_steps").rows if _applies(r, facts)]
    held = {row.text("step") for row in rows}
    return tuple(_step(row, held) for row in rows)


def _applies(row: Row, facts: Container[str]) -> bool:
    return row.text("applies") == "always" or row.text("applies") in facts


def _step(row: Row, held: Container[str]) -> StepRule:
    before = tuple(s for s in _text(row, "after").split("|") if s in held)
    cited = citation_of(row.text("standard"), row.text("section"))
    return StepRule(
        row.text("step"), row.text("who"), before, row.text("title"), row.text("action"), _text(row, "caution"),
        cited, row.text("known_from"),
    )  # fmt: skip


def _text(row: Row, column: str) -> str:
    return "" if row.cells[column] is None else row.text(column)


def pressure_tests(country: str, working_pa: float, pipe_m: float) -> tuple[PressureTest, ...]:
    """Tests of new pipe at a working pressure [Pa] and of a length [m], the code that governs first; none where the
    tables speak of lower pressures only. Source: IFGC 406.4 (read), UPC (read), CSA B149.1 (memory)."""
    rows = [r for r in table("gas_test").rows if r.text("country") == country and _covers(r, working_pa)]
    tests = [_test(row, working_pa, pipe_m) for row in rows]
    return tuple(sorted(tests, key=lambda t: not t.governs))


def _covers(row: Row, working_pa: float) -> bool:
    return row.cells["up_to"] is None or working_pa <= row.si("up_to")


def _test(row: Row, working_pa: float, pipe_m: float) -> PressureTest:
    least = max(row.si("factor") * working_pa, row.si("least"))
    gauge = None if row.cells["gauge_factor"] is None else row.si("gauge_factor") * least
    is_long = row.cells["long_from"] is not None and pipe_m > row.si("long_from")
    return PressureTest(
        row.text("code"), least, gauge, row.si("long_minutes" if is_long else "minutes"),
        row.flag("governs"), citation_of(row.text("code"), row.text("section")), row.text("known_from"),
        row.text("note"),
    )  # fmt: skip


def cited_in(citation: str, country: str) -> str:
    """A citation as it may stand in a country: codes of the United States hold elsewhere as a likeness only."""
    foreign = country != "us" and citation.startswith(("IFGC", "IPC", "IRC", "NEC", "UPC", "ANSI"))
    return f"the code adopted here; compare {citation}" if foreign else citation


def limit_of(symbol: str) -> Limit:
    """A limit by its symbol; KeyError where there is none."""
    row = table("start_up_limits").where(symbol=symbol)
    cited = citation_of(row.text("standard"), row.text("section"))
    return Limit(row.si("value"), cited, row.text("known_from"), _text(row, "note"))


def customer_points(facts: Container[str]) -> tuple[CustomerPoint, ...]:
    """Points to go through with the customer."""
    rows = [r for r in table("start_up_customer").rows if _applies(r, facts)]
    return tuple(CustomerPoint(r.text("point"), r.text("text"), r.text("known_from")) for r in rows)
