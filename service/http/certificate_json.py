"""A certificate as JSON. Lengths in whole millimetres of the building's frame, money in whole money units: figures that
can be compared without rounding, whatever units the survey speaks in."""

from __future__ import annotations

from typing import Any

from service.building.model import Building
from service.clearance.model import Zone
from service.http.digests import digest
from service.siting.active import Active
from service.siting.certificate import CaseBounds, Certificate
from service.siting.ground import Ground
from service.siting.roof import surfaces_of
from service.siting.terminals import sides_of, terminal_key
from service.survey.equipment import MONEY_SCALE

Json = dict[str, Any]
CERTIFICATE = "certificate"
SEALS = ("survey", "design", "answer", "certificate")


def certificate_json(certificate: Certificate, ground: Ground) -> Json:
    """All members but the digests."""
    building = ground.building
    return {
        "covers": "network" if certificate.network else "continuous",
        "scope": certificate.scope,
        "money_units_per_cent": MONEY_SCALE,
        "cost_units": certificate.cost_units,
        "fixed_units": certificate.fixed_units,
        "services": [
            {"service": s.service.value, "least_units": s.least_units, "design_units": s.design_units}
            for s in certificate.services
        ],
        "limits": [
            {"service": b.service.value, "what": b.what, "most": b.most} for b in certificate.limits
        ],
        "heaters": [_case_json(c, building, certificate.cost_units) for c in certificate.cases],
        "networks": [_board_json(i, board, certificate, ground) for i, board in enumerate(certificate.boards)],
        "gas_steps": [
            {
                "feed": g.feed, "branch": g.branch, "held_mm": g.held_mm,
                "taps": [{"node": t.node, "works_units": t.units, "before_mm": t.before_mm} for t in g.taps],
            }
            for g in certificate.gas
        ],
    }  # fmt: skip


def sealed(answer: Json, survey: object) -> Json:
    """The answer with the digests of what they are of put into its certificates, if it has any."""
    for part in certified(answer):
        part[CERTIFICATE]["digests"] = digests_of(answer, survey, part.get("dwelling"))
    return answer


def certified(answer: Json) -> list[Json]:
    """The parts of an answer that hold a certificate: of the first design, or of each dwelling's."""
    together = answer.get("dwellings")
    of_set = together.get("explained") if isinstance(together, dict) else None
    parts = [answer.get("explained"), *(of_set if isinstance(of_set, list) else ())]
    return [p for p in parts if isinstance(p, dict) and isinstance(p.get(CERTIFICATE), dict)]


def digests_of(answer: Json, survey: object, dwelling: object = None) -> Json:
    """Digests of the survey as it was sent, of the first design, or a dwelling's, of the answer but for its
    certificates, and of the certificate but for its digests. StopIteration where there is no such certificate."""
    part = next(p for p in certified(answer) if p.get("dwelling") == dwelling)
    bare = {k: v for k, v in part[CERTIFICATE].items() if k != "digests"}
    rest = _without(answer, [id(p) for p in certified(answer)])
    parts = (survey, _design_of(answer, dwelling), rest, bare)
    return {name: digest(value) for name, value in zip(SEALS, parts, strict=True)}


def _design_of(answer: Json, dwelling: object) -> object:
    """The first design, or that of a dwelling; None if there is none."""
    of_set = answer.get("dwellings")
    told = answer.get("designs") if dwelling is None else of_set.get("designs") if isinstance(of_set, dict) else None
    designs = told if isinstance(told, list) else []
    named = (d for d in designs if dwelling is None or (isinstance(d, dict) and d.get("dwelling") == dwelling))
    return next(named, None)


def _without(value: Any, certified_ids: list[int]) -> Any:
    """A copy without the certificates in some of its parts."""
    if isinstance(value, dict):
        kept = (k for k in value if not (k == CERTIFICATE and id(value) in certified_ids))
        return {k: _without(value[k], certified_ids) for k in kept}
    return [_without(v, certified_ids) for v in value] if isinstance(value, list) else value


def _case_json(case: CaseBounds, building: Building, cost_units: int) -> Json:
    return {
        "heater": case.label,
        "outdoors": case.outdoors,
        "network": case.board,
        "loose": case.loose,
        "surfaces": [
            {
                "surface": hung_id(building, b.surface), "least_units": b.units,
                "closed_by": closed_by(b.units, cost_units),
            }
            for b in case.surfaces
        ],
    }  # fmt: skip


def hung_id(building: Building, surface: int) -> str:
    """Wall face, or facade counted on after the walls."""
    walls = len(building.faces)
    return building.faces[surface].id if surface < walls else building.facades[surface - walls].id


def closed_by(units: int | None, cost_units: int) -> str:
    """Why a surface holds nothing cheaper than the design."""
    if units is None:
        return "nothing fits"
    return "price" if units >= cost_units else "limits on runs"


def _board_json(index: int, board: Active, certificate: Certificate, ground: Ground) -> Json:
    building, planes = ground.building, board.planes
    by_axis = (("x", planes.x), ("y", planes.y), ("z", planes.z), ("manifold_z", planes.hub), *planes.skew.items())
    return {
        "planes": [{"axis": a, "at": v, "why": why} for a, cut in by_axis for v, why in sorted(cut.items())],
        "obstacles": [
            {
                "pipe_radius": radius, "surface": _sheet_id(building, o.sheet), "box": [o.c0, o.c1, o.d0, o.d1],
                "why": o.reason,
            }
            for radius, several in sorted(board.obstacles.items())
            for o in several
        ],
        "zones": [*_case_zones(board, building), *_terminal_zones(index, board, certificate, ground)],
        "closed_places": [*_closed_hubs(board, building), *_closed_outlets(index, board, certificate, ground)],
    }  # fmt: skip


def _sheet_id(building: Building, sheet: int) -> str:
    return building.faces[sheet].id if sheet >= 0 else f"ceiling {building.rooms[-1 - sheet].id}"


def _case_zones(board: Active, building: Building) -> list[Json]:
    named = ((on, z) for by_surface in board.mount.values() for on, zones in sorted(by_surface.items()) for z in zones)
    return [{"of": "case", "intake": None, "surface": hung_id(building, on), **_zone_json(z)} for on, z in named]


def _terminal_zones(index: int, board: Active, certificate: Certificate, ground: Ground) -> list[Json]:
    surfaces = surfaces_of(ground.building)
    return [
        {"of": "terminal", "intake": side, "surface": surfaces[on].id, **_zone_json(z)}
        for key, side in _keys(index, certificate, ground).items()
        for on, zones in sorted(board.terminal.get(key, {}).items())
        for z in zones
    ]


def _keys(index: int, certificate: Certificate, ground: Ground) -> dict[tuple[object, ...], str | None]:
    """Kinds of terminal of the heater that a network is of, with the side of the intake."""
    own = {(c.label, c.outdoors) for c in certificate.cases if c.board == index and not c.loose and not c.outdoors}
    needs = [n for n in ground.needs if (n.heater.label, n.outdoors) in own]
    return {
        terminal_key(n.heater, side): None if side is None else side.value
        for n in needs
        for side in sides_of(n.heater.vent)
    }


def _zone_json(zone: Zone) -> Json:
    return {
        "rule": zone.rule_id,
        "object": zone.object_id,
        "box": [zone.s0, zone.s1, zone.z0, zone.z1],
        "radius_squared": zone.radius2,
        "within": None if zone.within is None else list(zone.within),
    }


def _closed_hubs(board: Active, building: Building) -> list[Json]:
    return [
        {"of": "case", "intake": None, "surface": hung_id(building, on), "at": [s, bottom]}
        for _, on, s, bottom in sorted(board.shut_hubs)
    ]


def _closed_outlets(index: int, board: Active, certificate: Certificate, ground: Ground) -> list[Json]:
    surfaces = surfaces_of(ground.building)
    return [
        {"of": "terminal", "intake": side, "surface": surfaces[on].id, "at": [s, z]}
        for key, side in _keys(index, certificate, ground).items()
        for on, s, z in sorted(board.shut.get(key, ()))
    ]
