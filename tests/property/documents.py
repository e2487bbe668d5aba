"""A generated survey written as JSON in either system of units, bare numbers throughout."""

from __future__ import annotations

from typing import Any

from service.survey.model import (
    Appliance,
    GasSegment,
    LineRegulator,
    Opening,
    PressureOption,
    Storey,
    Survey,
    UnitSystem,
)

Document = dict[str, Any]
UNITS = {
    UnitSystem.US: {"mm": 304.8, "w": 1055.05585262 / 3600, "gas_pa": 249.08891, "water_pa": 6894.757293168361,
                    "j_m3": 1055.05585262 / 0.3048**3},
    UnitSystem.SI: {"mm": 1000.0, "w": 1000.0, "gas_pa": 1000.0, "water_pa": 1000.0, "j_m3": 1e6},
}  # fmt: skip
"""How much of the inside unit one outside unit is: foot, Btu/h, in w.c., psi, Btu/ft3; m, kW, kPa, kPa, MJ/m3."""


class _Writer:
    def __init__(self, system: UnitSystem) -> None:
        self.per = UNITS[system]

    def length(self, mm: int) -> float:
        return mm / self.per["mm"]

    def point(self, p: tuple[int, ...]) -> list[float]:
        return [self.length(v) for v in p]

    def ring(self, points: tuple[tuple[int, int], ...]) -> list[list[float]]:
        return [self.point(p) for p in points]

    def opening(self, o: Opening, base: int) -> Document:
        flags = {k: v for k, v in (("operable", o.operable), ("swings_out", o.swings_out)) if v is not None}
        return {
            "id": o.id, "kind": o.kind.value, "from": self.point(o.start), "to": self.point(o.end),
            "sill": self.length(o.sill_z_mm - base), "head": self.length(o.head_z_mm - base), **flags,
        }  # fmt: skip

    def storey(self, s: Storey) -> Document:
        rooms = [
            {"id": r.id, "use": r.use.value, "outline": self.ring(r.outline), "finished": r.finished,
             "floor": self.length(r.floor_z_mm), "ceiling": self.length(r.ceiling_z_mm)}
            for r in s.rooms
        ]  # fmt: skip
        walls = [
            {"id": w.id, "start": self.point(w.start), "end": self.point(w.end), "kind": w.kind,
             "thickness": self.length(w.thickness_mm or 0)}
            for w in s.walls
        ]  # fmt: skip
        keep_outs = [
            {"id": k.id, "kind": k.kind.value, "outline": self.ring(k.outline),
             "base": self.length(k.base_z_mm - s.floor_z_mm), "top": self.length(k.top_z_mm - s.floor_z_mm)}
            for k in s.keep_outs
        ]  # fmt: skip
        return {
            "id": s.id, "floor": self.length(s.floor_z_mm), "ceiling": self.length(s.ceiling_z_mm), "rooms": rooms,
            "openings": [self.opening(o, s.floor_z_mm) for o in s.openings], "walls": walls, "keep_outs": keep_outs,
        }  # fmt: skip

    def site(self, survey: Survey) -> Document:
        site = survey.site
        return {
            "rule_set": site.rule_set, "fuel": site.fuel, "grade": self.length(site.grade_z_mm),
            "heating_value": site.heating_value_j_m3 / self.per["j_m3"], "specific_gravity": site.specific_gravity,
            "snow_depth": self.length(site.snow_depth_mm), "regulators": self._regulators(survey),
            "air_inlets": [
                {"id": i.id, "kind": i.kind.value, "at": self.point(i.at), "width": self.length(i.width_mm),
                 "bottom": self.length(i.bottom_z_mm), "top": self.length(i.top_z_mm)} for i in site.air_inlets
            ],
            "lot_lines": [{"id": x.id, "start": self.point(x.start), "end": self.point(x.end)} for x in site.lot_lines],
            "ways": [
                {"id": w.id, "kind": w.kind.value, "outline": self.ring(w.outline),
                 "surface": self.length(w.surface_z_mm)} for w in site.ways
            ],
            "neighbour_walls": [
                {"id": n.id, "start": self.point(n.start), "end": self.point(n.end), "base": self.length(n.base_z_mm),
                 "top": self.length(n.top_z_mm)} for n in site.neighbour_walls
            ],
            "decks": [self._deck(survey, i) for i in range(len(site.decks))],
        }  # fmt: skip

    def _regulators(self, survey: Survey) -> list[Document]:
        out = []
        for r in survey.site.regulators:
            pa = r.inlet_pressure_pa
            known = {} if pa is None else {"inlet_pressure": pa / self.per["water_pa"]}
            out.append({"id": r.id, "at": self.point(r.at), **known})
        return out

    def _deck(self, survey: Survey, i: int) -> Document:
        d = survey.site.decks[i]
        known = {k: v for k, v in (("open_sides", d.open_sides), ("vented", d.vented)) if v is not None}
        return {
            "id": d.id, "outline": self.ring(d.outline), "underside": self.length(d.underside_z_mm),
            "top": self.length(d.top_z_mm), "is_eave": d.is_eave, **known,
        }  # fmt: skip

    def gas(self, survey: Survey) -> Document:
        gas = survey.gas
        known = {} if gas.service_regulator_w is None else {
            "service_regulator_capacity": gas.service_regulator_w / self.per["w"]
        }  # fmt: skip
        return known | self.choices(survey) | {
            "delivery_node": gas.delivery_node, "pressure": gas.pressure_pa / self.per["gas_pa"],
            "meter_capacity": gas.meter_capacity_w / self.per["w"],
            "allowable_drop": gas.allowable_drop_pa / self.per["gas_pa"],
            "nodes": [{"id": n.id, "at": self.point(n.at)} for n in gas.nodes],
            "segments": [self._segment(s) for s in gas.segments],
            "appliances": [self._appliance(a) for a in gas.appliances],
            "regulators": [self._line_regulator(r) for r in gas.regulators],
            "pressure_options": [self._option(o) for o in gas.pressure_options],
        }  # fmt: skip

    def choices(self, survey: Survey) -> Document:
        gas = survey.gas
        known = {} if gas.diversity is None else {"diversity": gas.diversity}
        return known | {
            "method": gas.method.value, "fittings": gas.fittings.value, "free_outlets": list(gas.free_outlets),
            "branch_materials": list(gas.branch_materials),
        }  # fmt: skip

    def _segment(self, s: GasSegment) -> Document:
        known = {k: v for k, v in (("size", s.size), ("elbows", s.elbows), ("tees", s.tees)) if v is not None}
        return known | {
            "id": s.id, "start": s.start, "end": s.end, "material": s.material, "length": self.length(s.length_mm),
            "finished": s.finished, "fixed": s.fixed, "before_regulator": s.before_regulator,
        }  # fmt: skip

    def _appliance(self, a: Appliance) -> Document:
        pressures = {"inlet_min": a.inlet_min_pa, "inlet_max": a.inlet_max_pa}
        told = {"direct_vent": a.direct_vent, "room": a.room, **self._pressures(pressures)}
        known = {k: v for k, v in told.items() if v is not None}
        return known | {"id": a.id, "kind": a.kind, "input": a.input_w / self.per["w"], "node": a.node}

    def _line_regulator(self, r: LineRegulator) -> Document:
        told = {"outlet_pressure": r.outlet_pa, "allowable_drop": r.allowable_drop_pa, "loss": r.loss_pa}
        return {"node": r.node, **self._pressures(told)}

    def _option(self, o: PressureOption) -> Document:
        told = {
            "pressure": o.pressure_pa, "allowable_drop": o.allowable_drop_pa,
            "regulated_pressure": o.regulated_pa, "regulated_drop": o.regulated_drop_pa,
        }  # fmt: skip
        return {"id": o.id, **self._pressures(told)}

    def _pressures(self, told: dict[str, float | None]) -> dict[str, float]:
        return {k: pa / self.per["gas_pa"] for k, pa in told.items() if pa is not None}

    def water(self, survey: Survey) -> Document:
        """What is known of the water; its setpoint with its own unit."""
        water, names = survey.water, ("check_valve", "reducing_valve", "expansion_tank", "mixing_valve")
        told = {name: getattr(water, name) for name in names if getattr(water, name) is not None}
        hot = water.setpoint_c
        return told if hot is None else told | {"setpoint": {"value": hot * 1.8 + 32, "unit": "degF"}}


def document(survey: Survey, system: UnitSystem, price_book: str) -> Document:
    """The survey as JSON; its heaters by their ids of the catalogue, its prices by the book's id."""
    w = _Writer(system)
    lines = {
        kind: [
            {"id": x.id, "points": [w.point(p) for p in x.points], "size": x.size, "material": x.material}
            for x in pipes
        ]
        for kind, pipes in (("cold", survey.water.cold), ("hot", survey.water.hot))
    }
    return {
        "name": survey.name, "units": system.value, "site": w.site(survey),
        "storeys": [w.storey(s) for s in survey.storeys], "gas": w.gas(survey), "water": lines | w.water(survey),
        "drains": [{"id": d.id, "at": w.point(d.at)} for d in survey.drains],
        "receptacles": [{"id": r.id, "at": w.point(r.at)} for r in survey.receptacles],
        "heaters": [h.id for h in survey.heaters], "prices": {"book": price_book},
        "preferences": {"alternatives": 1},
    }  # fmt: skip
