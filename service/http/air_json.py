"""Combustion air of a design as JSON, and back."""

from __future__ import annotations

from math import ceil
from typing import Any

from service.design import AirOpening, AirProvision
from service.http.quantities import Quantities
from service.trades import air

Json = dict[str, Any]

FIGURES = frozenset(
    {"area_free", "area_gross_metal", "area_gross_wood", "supply_flow", "counted_volume", "required_volume"}
)
"""They are taken as told, to a whole unit of the inside; the checker holds them against what it finds."""
SLACK_MM2, SLACK_ML_S = 0.01, 0.1
"""Whole square millimetres and millilitres a second went out rounded by less than this; so did no caller's own figure,
which is taken up to the next whole one, as ours are."""


def air_json(provision: AirProvision, q: Quantities) -> Json:
    """What gives the heater its air; volumes are told beside openings too, to show what the room lacks."""
    return {
        "method": provision.method.value,
        **({"citation": provision.citation} if provision.citation else {}),
        "rooms": list(provision.rooms),
        "counted_volume": q.volume_or_none(provision.counted_m3),
        "required_volume": q.volume_or_none(provision.asked_m3),
        "openings": [_opening_json(o, q) for o in provision.openings],
        "through": list(provision.through),
        "supply_flow": q.air_flow(provision.supply_m3_s),
        "price_keys": list(air.price_keys(provision)),
    }


def _opening_json(opening: AirOpening, q: Quantities) -> Json:
    return {
        **({"where": opening.where} if opening.where else {}),
        "area_free": q.opening_area(opening.free_mm2),
        "area_gross_metal": q.opening_area(opening.gross_metal_mm2),
        "area_gross_wood": q.opening_area(opening.gross_wood_mm2),
    }


def read_air(raw: Json) -> AirProvision:
    """Provision of a loaded ``AirSchema``."""
    return AirProvision(
        method=raw["method"],
        rooms=tuple(raw["rooms"]),
        openings=tuple(_opening(o) for o in raw.get("openings", ())),
        through=tuple(raw.get("through", ())),
        counted_m3=_litres(raw.get("counted_volume")),
        asked_m3=_litres(raw.get("required_volume")),
        supply_m3_s=max(ceil(raw.get("supply_flow", 0.0) * 1e6 - SLACK_ML_S), 0) / 1e6,
        citation=raw.get("citation", ""),
    )


def _opening(raw: Json) -> AirOpening:
    """Gross sizes that are not told are the least that do."""
    least = air.opening(_mm2(raw["area_free"]))
    metal, wood = raw.get("area_gross_metal"), raw.get("area_gross_wood")
    return AirOpening(
        free_mm2=least.free_mm2,
        gross_metal_mm2=least.gross_metal_mm2 if metal is None else _mm2(metal),
        gross_wood_mm2=least.gross_wood_mm2 if wood is None else _mm2(wood),
        where=raw.get("where", ""),
    )


def _mm2(area_m2: float) -> int:
    return max(ceil(area_m2 * air.MM2 - SLACK_MM2), 0)


def _litres(volume_m3: float | None) -> float | None:
    return None if volume_m3 is None else round(volume_m3, 3)
