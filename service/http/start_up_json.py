"""A start-up sheet as JSON in the caller's units, with blanks to be filled in."""

from __future__ import annotations

from typing import Any

from service.http.quantities import Quantities
from service.units import rounded_from_si, unit_name
from service.usecases.start_up_results import Reading, StartUpSheet, Step

Json = dict[str, Any]
PLAIN_DECIMALS = 2
BLANKS = ("site", "date", "installer", "licence_number", "permit_number", "serial_number", "signature")


def start_up_json(sheet: StartUpSheet, q: Quantities) -> Json:
    """The member ``start_up`` of a design."""
    return {
        "licences": list(sheet.licences),
        "cautions": list(sheet.cautions),
        "header": dict.fromkeys(BLANKS),
        "steps": [_step(number, step, q) for number, step in enumerate(sheet.steps, 1)],
        "customer": [{"id": p.id, "text": p.text, "known_from": p.known_from, "done": None} for p in sheet.customer],
    }


def _step(number: int, step: Step, q: Quantities) -> Json:
    return {
        "number": number,
        "id": step.rule.id,
        "who": step.rule.who,
        "title": step.rule.title,
        "action": step.rule.action,
        "caution": step.rule.caution,
        "after": list(step.rule.after),
        "citation": step.rule.citation,
        "known_from": step.rule.known_from,
        "readings": [_reading(r, q) for r in step.readings],
        "done": None,
    }


def _reading(reading: Reading, q: Quantities) -> Json:
    return {
        "id": reading.id,
        "name": reading.name,
        "unit": reading.unit if reading.quantity is None else unit_name(reading.quantity, q.system),
        "expected": _told(reading, reading.expected, q),
        "low": _told(reading, reading.low, q),
        "high": _told(reading, reading.high, q),
        "found": None,
        "from": reading.source,
        "citation": reading.citation,
        "known_from": reading.known_from,
    }


def _told(reading: Reading, value: float | None, q: Quantities) -> float | None:
    if value is None:
        return None
    if reading.quantity is None:
        return round(value, PLAIN_DECIMALS)
    return rounded_from_si(reading.quantity, value, q.system)
