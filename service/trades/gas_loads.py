"""What gas appliances draw: typical inputs by kind, the altitude's share of a rating, the connected load."""

from __future__ import annotations

from functools import cache

from service.rules.tables import Row, table


def kinds() -> tuple[str, ...]:
    """Kinds of appliance that have a typical input, in the order of the table."""
    return tuple(_rows())


def typical_input_w(kind: str) -> float | None:
    """Typical input [W] of a kind of appliance, None for one that the table does not hold; case does not matter.

    Source: table ``gas_appliances`` (NFPA 54 Table A.5.4.2.1, partly memory). The nameplate beats it.
    """
    row = _row(kind)
    return None if row is None else row.si("input")


def typical_mark(kind: str) -> str | None:
    """How the typical input of a kind is known (read | memory), None for a kind that the table does not hold."""
    row = _row(kind)
    return None if row is None else row.text("known_from")


def derated_w(input_w: float, altitude_m: float) -> float:
    """Input [W] that is left of a rating at an altitude [m]: 4 % less for each 1000 ft above sea level, above 2000 ft.

    A note for the reader, never for pipe. Never below 0. Source: NFPA 54 11.1.2 (memory).
    """
    rule = table("gas_altitude")
    if altitude_m <= rule.constant("threshold"):
        return input_w
    lost = rule.constant("share") * altitude_m / rule.constant("step")
    return input_w * max(0.0, 1 - lost)


def _row(kind: str) -> Row | None:
    return _rows().get(kind.strip().lower())


@cache
def _rows() -> dict[str, Row]:
    return {row.text("kind"): row for row in table("gas_appliances").rows}
