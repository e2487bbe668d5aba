"""A design as JSON. ``design_schema`` reads back exactly what is written here."""

from __future__ import annotations

from typing import Any

from service.building.model import Building, Facade
from service.design import (
    CostLine,
    Design,
    GasWorks,
    Mount,
    Part,
    Piece,
    Renewal,
    RoofTerminal,
    Route,
    Surface,
    Terminal,
)
from service.http.air_json import air_json
from service.http.compass import side
from service.http.quantities import QUANTITY_DECIMALS, Quantities
from service.http.roof_json import roof_terminal_json
from service.survey.equipment import Heater

Json = dict[str, Any]

LEFT_CORNER = "left-hand corner, facing the wall from inside the room"
LEFT_END = "left-hand end, facing the facade from outside"


def design_json(design: Design, building: Building, q: Quantities) -> Json:
    """One installation in the survey's axes and units; a mount or terminal that is not given is left out."""
    return {
        "heater": heater_json(design.heater, q, design.outdoors),
        **({"mount": _mount_json(design.mount, design.heater, building, q)} if design.has(Part.MOUNT) else {}),
        **({"terminal": _terminal_json(design.terminal, building, q)} if design.has(Part.TERMINAL) else {}),
        "intake": None if design.intake is None else _terminal_json(design.intake, building, q),
        "air_openings": design.air_openings,
        "air": None if design.air is None else air_json(design.air, q),
        "meter_upgrade": design.meter_upgrade,
        "cold_fitting": design.cold_fitting,
        "water_items": [item.value for item in design.water_items],
        "gas": _gas_json(design.gas, q),
        "routes": [_route_json(r, q) for r in design.routes],
        "cost": cost_json(design.lines, design.total_cents, design.weighed_cents, q),
    }


def heater_json(heater: Heater, q: Quantities, outdoors: bool = False) -> Json:
    """What a reader needs to know the heater by; the catalogue holds the rest."""
    return {
        "id": heater.id,
        "name": heater.name,
        "category": heater.category.value,
        "condensing": heater.condensing,
        "draft": heater.draft.value,
        "input_max": q.power(heater.input_max_w),
        "efficiency": heater.efficiency,
        "vent": None if outdoors else heater.vent.system,
    }


def _mount_json(mount: Mount, heater: Heater, building: Building, q: Quantities) -> Json:
    if mount.facade_id:
        return _outdoors_json(mount, heater, building.facade(mount.facade_id), building, q)
    face = building.face(mount.face_id)
    room = building.room(face.room_id)
    to_vent_line = face.length_mm - mount.s_mm
    return {
        "room": room.id,
        "wall": face.id,
        "from_corner": {"name": LEFT_CORNER, "point": q.plan_point(face.end)},
        "distance_to_left_edge": q.length(to_vent_line - heater.vent_dx_mm),
        "distance_to_vent_line": q.length(to_vent_line),
        "point": q.plan_point(face.point(mount.s_mm)),
        "bottom_height": q.length(mount.bottom_z_mm - room.floor_z),
        "bottom_z": q.length(mount.bottom_z_mm),
    }


def _outdoors_json(mount: Mount, heater: Heater, facade: Facade, building: Building, q: Quantities) -> Json:
    return {
        **_on_facade(facade, building, q),
        "distance_to_left_edge": q.length(mount.s_mm - heater.line_dx_mm(outdoors=True)),
        "distance_to_flue_line": q.length(mount.s_mm),
        "point": q.plan_point(facade.point(mount.s_mm)),
        "height_above_grade": q.length(mount.bottom_z_mm - grade_z_mm(facade, mount.s_mm)),
        "bottom_z": q.length(mount.bottom_z_mm),
    }


def _terminal_json(terminal: Terminal | RoofTerminal, building: Building, q: Quantities) -> Json:
    if isinstance(terminal, RoofTerminal):
        return roof_terminal_json(terminal, building, q)
    facade = building.facade(terminal.facade_id)
    return {
        **_on_facade(facade, building, q),
        "distance_along": q.length(terminal.s_mm),
        "height_above_grade": q.length(terminal.z_mm - grade_z_mm(facade, terminal.s_mm)),
        "z": q.length(terminal.z_mm),
        "point": q.plan_point(facade.point(terminal.s_mm)),
    }


def _on_facade(facade: Facade, building: Building, q: Quantities) -> Json:
    return {
        "facade": facade.id,
        "side": side(facade, building.frame),
        "from_end": {"name": LEFT_END, "point": q.plan_point(facade.start)},
    }


def grade_z_mm(facade: Facade, s_mm: int) -> int:
    """Highest ground at ``s_mm`` along a facade, absolute [mm]; beyond its ends, that of the nearer end."""
    s = min(max(s_mm, 0), facade.length_mm)
    return max(step.z for step in facade.grade if step.s0 <= s <= step.s1)


def _gas_json(works: GasWorks, q: Quantities) -> Json:
    return {
        "renewals": [renewal_json(r, q) for r in works.renewals],
        "pressure_option": works.pressure_option,
        "line_regulators": works.line_regulators,
        "ahead_of_regulator": works.ahead_of_regulator,
        "service_regulator": works.service_regulator,
    }


def renewal_json(renewal: Renewal, q: Quantities) -> Json:
    """One old pipe, or part of it, that is renewed."""
    return {
        "segment": renewal.segment_id,
        "part": renewal.part.value,
        "material": renewal.material,
        "size": renewal.size,
        "length": q.length(renewal.length_mm),
    }


def _route_json(route: Route, q: Quantities) -> Json:
    return {
        "service": route.service.value,
        "option": route.option,
        "ends_at": route.end_id,
        "length": q.length(route.length_mm),
        "elbows": route.elbows,
        "equivalent_length": q.length_or_none(route.equivalent_mm),
        "limit": q.length_or_none(route.limit_mm),
        "pumped": route.pumped,
        "crossings": _crossings_json(route.pieces),
        "points": _points_json(route, q),
        "surfaces": [p.surface.value for p in route.pieces],
    }


def _crossings_json(pieces: tuple[Piece, ...]) -> Json:
    surfaces = [p.surface for p in pieces]
    return {
        "walls": surfaces.count(Surface.WALL_CROSSING),
        "floors": surfaces.count(Surface.FLOOR_CROSSING),
        "outer": surfaces.count(Surface.OUTER_WALL),
        "roof": surfaces.count(Surface.ROOF),
    }


def _points_json(route: Route, q: Quantities) -> list[list[float]]:
    """Corner points of a run; ValueError when its pieces do not meet, which no polyline could tell."""
    if any(a.end != b.start for a, b in zip(route.pieces, route.pieces[1:], strict=False)):
        raise ValueError(f"the pieces of the {route.service} run do not meet")
    return [q.point(p) for p in (route.pieces[0].start, *(piece.end for piece in route.pieces))]


def cost_json(lines: tuple[CostLine, ...], total_cents: int, weighed_cents: int | None, q: Quantities) -> Json:
    """A bill."""
    return {
        "lines": [_line_json(line, q) for line in lines],
        "by_trade": _by_trade_json(lines, q),
        "total": q.money(total_cents),
        "weighed_waiting": q.money_or_none(weighed_cents),
        "currency": q.units()["money"],
    }


def _line_json(line: CostLine, q: Quantities) -> Json:
    return {
        "trade": line.trade,
        "key": line.key,
        "description": line.description,
        "quantity": round(line.quantity, QUANTITY_DECIMALS),
        "per": line.per,
        "unit_price": q.money(line.unit_price_cents),
        "amount": q.money(line.amount_cents),
    }


def _by_trade_json(lines: tuple[CostLine, ...], q: Quantities) -> list[Json]:
    sums: dict[str, int] = {}
    for line in lines:
        sums[line.trade] = sums.get(line.trade, 0) + line.amount_cents
    return [{"trade": trade, "amount": q.money(cents)} for trade, cents in sums.items()]
