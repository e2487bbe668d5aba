"""What hanging outdoors asks for, as JSON in the caller's units."""

from __future__ import annotations

from typing import Any

from service.http.findings_json import finding_json, part_json, sorted_findings
from service.http.quantities import Quantities
from service.units import Quantity
from service.usecases.outdoor_report import OutdoorReport

Json = dict[str, Any]


def outdoor_json(report: OutdoorReport, q: Quantities) -> Json:
    """The member ``outdoors`` of a design that hangs there."""
    return {
        "units": q.units((Quantity.TEMPERATURE,)),
        "winter_temperature": q.temperature(report.winter_c),
        "listed_down_to": None if report.least_c is None else q.temperature(report.least_c),
        "water_freezes": report.freezes,
        "parts": [part_json(p) for p in report.parts],
        "findings": [finding_json(f, q) for f in sorted_findings(report.findings)],
        "warnings": list(report.warnings),
    }
