"""From a parsed JSON document - a gas system alone, or a whole survey - to a gas system that is to be sized."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import dist
from typing import Any

from service.errors import Fault, InvalidRequest
from service.http.schemas.build_equipment import build_prices
from service.http.schemas.build_gas import Entry, build_character, build_gas
from service.http.schemas.gas import GasSystemSchema
from service.http.schemas.gas_faults import entry_faults
from service.http.schemas.limits import check_limits
from service.http.schemas.load import load_survey, loaded
from service.http.schemas.notes import ROUNDED, Notes
from service.piping.extended import HEATER_KIND
from service.settings import Settings
from service.survey.checks import check_supply
from service.survey.gas_request import GasRequest
from service.survey.model import Appliance, GasSupply, Survey

HEATER_ID = "heater"
ROUNDING_MM = 3
"""By how much a straight pipe may fall short of its nodes' distance, each coordinate rounded by itself [mm]."""


def load_gas(document: object, settings: Settings) -> GasRequest:
    """Gas system from a parsed JSON document; one that has ``storeys`` is a survey, and its gas is taken.

    Raises:
        LimitExceeded: the document is larger than the service takes.
        InvalidRequest: every fault of the schema; where there is none, every contradiction.
    """
    if isinstance(document, dict) and "storeys" in document:
        return _of_survey(load_survey(document, settings))
    check_limits(document, settings)
    entry = loaded(GasSystemSchema(), document, settings)
    request, faults = _built(entry)
    found, warnings = check_supply(request.gas)
    if all_faults := (*_told_at_heater(found, entry), *_coordinate_faults(request.gas), *faults):
        raise InvalidRequest(all_faults)
    return replace(request, warnings=request.warnings + warnings)


def _of_survey(survey: Survey) -> GasRequest:
    return GasRequest(
        survey.name, survey.units, survey.gas, survey.site.gas, survey.prices, survey.assumptions, survey.warnings
    )


def _built(entry: dict[str, Any]) -> tuple[GasRequest, list[Fault]]:
    """The request, and what its own words, the tables and the prices say against it."""
    notes = Notes(entry["units"])
    character = build_character(entry, notes)
    prices, price_faults = build_prices(entry.get("prices"), (), entry["units"], notes)
    supply = build_gas(entry["gas"], character, notes)
    faults = [*entry_faults(entry["gas"], supply, prices), *price_faults]
    notes.assume(ROUNDED)
    request = GasRequest(entry["name"], entry["units"], _with_heater(supply, entry), character, prices)
    return replace(request, assumptions=notes.assumptions(), warnings=notes.warnings()), faults


def _with_heater(supply: GasSupply, entry: Entry) -> GasSupply:
    """The planned heater as one more appliance; it is not in what the meter carries today."""
    heater = entry.get("heater")
    if heater is None:
        return supply
    planned = Appliance(
        HEATER_ID, HEATER_KIND, heater["input"], None, None, heater["node"],
        heater.get("inlet_min"), heater.get("inlet_max"),
    )  # fmt: skip
    return replace(supply, appliances=(*supply.appliances, planned))


def _told_at_heater(faults: tuple[Fault, ...], entry: Entry) -> Iterator[Fault]:
    """Faults of the planned heater at its own place in the document."""
    ours = f"#/gas/appliances/{len(entry['gas'].get('appliances', []))}"
    for fault in faults:
        pointer = fault.pointer
        if pointer == ours or pointer.startswith(f"{ours}/"):
            pointer = f"#/heater{pointer.removeprefix(ours)}".removesuffix("/id")
        yield Fault(pointer, fault.code, fault.detail)


def _coordinate_faults(supply: GasSupply) -> Iterator[Fault]:
    """Pipes that are shorter than the way between their nodes, where the nodes' places are given."""
    at = {node.id: node.at for node in supply.nodes}
    for i, segment in enumerate(supply.segments):
        ends = [at[name] for name in (segment.start, segment.end) if name in at]
        if len(ends) == 2 and segment.length_mm + ROUNDING_MM < dist(*ends):
            detail = f"shorter than the {dist(*ends):.0f} mm between its nodes"
            yield Fault(f"#/gas/segments/{i}/length", "contradiction", detail)
