"""JSON Schemas of the demand for hot water and of what heaters make of it."""

from __future__ import annotations

from service.http.spec_words import SENTENCES, Json, array, choice, flag, integer, nullable, number, obj, ref, text
from service.survey.model import DemandMethod
from service.trades.inlet_temperature import MONTHS, InletSource
from service.trades.peak_demand import PeakForm

MARK = "read, memory or common_practice"
MONTH: Json = {"type": "string", "enum": list(MONTHS)}
NAMES = array({"type": "string"})


def demand_schemas() -> Json:
    """Component schemas by name."""
    told = {"assumptions": SENTENCES, "warnings": SENTENCES, "cautions": SENTENCES}
    engine = obj("What made this answer.", {"name": text("of the service"), "version": text("of the service")})
    whole = {"name": text("name of the request"), **_report(), **told, "engine": engine}
    part = {**_report(), "findings": array(ref("Finding"), "of demand and output"), "warnings": SENTENCES}
    return {
        "HotWaterMethod": obj("Demand by one method; the methods are never mixed.", _method()),
        "HotWaterFixture": obj("One draw, at the coldest inlet.", _fixture()),
        "HotWaterHeater": obj("One heater against the demand at the coldest inlet.", _heater()),
        "HotWater": nullable(obj("Demand for hot water and output; null without fixtures.", part)),
        "HotWaterDemand": obj("Demand by every method, rise over the year, heaters that carry it.", whole),
    }


def _flow(description: str) -> Json:
    return number(f"{description} [units.flow]")


def _temperature(description: str) -> Json:
    return number(f"{description} [units.temperature]")


def _rise(description: str) -> Json:
    return number(f"{description} [units.temperature_rise]")


def _report() -> Json:
    units = {
        "flow": text("gpm or L/min"),
        "temperature": text("degF or degC"),
        "temperature_rise": text("degF or degC"),
        "power": text("Btu/h or kW"),
        "water_pressure": text("psi or kPa"),
    }
    return {
        "units": obj("Unit of each quantity of this part.", units),
        "method": choice(DemandMethod, "the one that governs"),
        "is_told": flag("whether it is told what runs at once; if not, the largest draw by itself is the demand"),
        "demand": nullable(_flow("hot water at the outlet, by the method that governs, at the coldest inlet")),
        "together": {**NAMES, "description": "fixtures that run, by concurrent use"},
        "setpoint": _temperature("of the outlet"),
        "inlet": obj("Cold water over the year.", _inlet()),
        "rise": _rise("from the coldest inlet to the outlet"),
        "methods": array(ref("HotWaterMethod")),
        "months": array(obj("Middle of a month.", _month()), "empty unless the inlet follows from a climate"),
        "fixtures": array(ref("HotWaterFixture")),
        "smallest_draw": nullable(obj("Least hot part of any draw.", _smallest())),
        "heaters": array(ref("HotWaterHeater")),
    }


def _inlet() -> Json:
    return {
        "coldest": _temperature("of the year"),
        "warmest": _temperature("of the year, as far as known"),
        "month": {**nullable(MONTH), "enum": [*MONTHS, None], "description": "of the coldest; null: not known"},
        "source": choice(InletSource, "how it is known"),
        "citation": text("where it is from"),
        "known_from": text(MARK),
    }


def _method() -> Json:
    probability = {
        "form": choice(PeakForm, "which form of the method serves"),
        "sum": number("sum of the fixtures' chances"),
        "idle": number("chance that nothing runs"),
        "demand_with_idle": nullable(_flow("the percentile with idle moments counted; null but for the exact form")),
    }
    return {
        "method": choice(DemandMethod, "which method"),
        "governs": flag("whether heaters are held against it"),
        "demand": nullable(_flow("hot water asked for at once; null where the method cannot tell")),
        "together": {**NAMES, "description": "fixtures that run, by concurrent use"},
        "fixture_units": nullable(number("sum of the hot column")),
        "probability": nullable(obj("Figures of the probabilistic method.", probability)),
        "citation": text("standard and section"),
        "known_from": text(f"the least sure mark of its figures: {MARK}"),
        "missing": text("what the method cannot tell; empty otherwise"),
    }


def _month() -> Json:
    return {
        "month": MONTH,
        "inlet": _temperature("of the inlet"),
        "rise": _rise("to the outlet"),
        "demand": nullable(_flow("by the method that governs")),
        "carried_by": {**NAMES, "description": "heaters that carry it"},
    }


def _fixture() -> Json:
    limit = {
        "basis": text("law, label or code"),
        "flow": _flow("that it names"),
        "pressure": nullable(number("at which it holds [units.water_pressure]")),
        "kept": flag("the fixture draws no more"),
        "citation": text("standard and section"),
        "known_from": text(MARK),
    }
    return {
        "id": text("id"),
        "kind": text("kind"),
        "count": integer("how many alike"),
        "flow": _flow("of one, mixed as it is used"),
        "flow_is_given": flag("false: the flow of law or code for the kind"),
        "use_temperature": nullable(_temperature("at which it is used; null: may draw hot water alone")),
        "hot_share": number("share of hot water in the draw, 0 to 1"),
        "hot_flow": _flow("hot part of one"),
        "fixture_units": nullable(number("hot units of one; null for a kind that the table lacks")),
        "probability_of_use": nullable(number("in the busy hour; null where the method does not take it")),
        "probability_flow": nullable(_flow("that the probabilistic method takes")),
        "limits": array(obj("A flow that law, label or code names.", limit)),
    }


def _smallest() -> Json:
    return {
        "fixture": text("id"),
        "hot_flow": _flow("its hot part"),
        "inlet": _temperature("the warmest that is known, at which the hot part is least"),
    }


def _heater() -> Json:
    return {
        "id": text("id"),
        "name": text("name"),
        "input": number("greatest input at this altitude [units.power]"),
        "efficiency": number("thermal efficiency, 0 to 1"),
        "burner_flow": nullable(_flow("that the burner warms; null where nothing need be warmed")),
        "max_flow": _flow("that its valve passes"),
        "capacity": _flow("the lesser of the two"),
        "capacity_by_month": array({"type": "number"}, "in the middle of each month [units.flow]; or empty"),
        "carries": flag("one of it carries the demand"),
        "margin": nullable(_flow("capacity less demand; negative when short")),
        "in_parallel": nullable(integer("how many of it would carry the demand; sited if dwellings ask for them")),
        "shared_by": integer("how many heaters carry the demand, each an even part; margin is of that part"),
        "activation_flow": _flow("that starts the burner"),
        "starts": {"type": ["boolean", "null"], "description": "the smallest draw starts it; null: nothing draws"},
        "least_rise": nullable(_rise("that it gives the smallest draw at its least fire")),
        "reason": text("why it is too small, with the figures; empty otherwise"),
    }
