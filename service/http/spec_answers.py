"""JSON Schemas of what the service answers. Tests hold every real answer against them, closed to unknown members."""

from __future__ import annotations

from service.design import Part, Service, Surface, Verdict
from service.http.spec_air import air_provision, design_air
from service.http.spec_dwellings import of_dwellings
from service.http.spec_explain import besides, besides_schemas
from service.http.spec_outdoors import mount_outdoors, outdoors
from service.http.spec_roof import roof_terminal
from service.http.spec_surfaces import SIDE, surface_schemas
from service.http.spec_words import (
    PLAN_POINT,
    POINT,
    SENTENCES,
    Json,
    array,
    choice,
    flag,
    integer,
    length,
    money,
    nullable,
    number,
    obj,
    ref,
    text,
)
from service.http.spec_works import gas_works
from service.survey.equipment import Category, Draft, Per
from service.survey.water import WaterItem
from service.usecases.results import Status


def answer_schemas() -> Json:
    """Component schemas by name."""
    return {**_common(), **_of_design(), **surface_schemas(), **_answers()}


def _common() -> Json:
    return {
        "Units": obj(
            "Unit of each quantity of this answer; follows the survey's units.",
            {
                "length": text("ft or m"),
                "area": text("ft2 or m2"),
                "power": text("Btu/h or kW"),
                "opening_area": text("in2 or mm2: free and gross areas of openings for air"),
                "volume": text("ft3 or m3"),
                "air_flow": text("cfm or L/s"),
                "money": text("currency of the price book"),
            },
        ),
        "Engine": obj(
            "What made this answer; the same engine gives the same bytes for the same request.",
            {
                "name": text("name of the service"),
                "version": text("version of the service"),
                "rule_set": text("rule set applied"),
                "price_book": text("price book applied"),
                "seed": {"type": ["integer", "null"], "description": "seed of the solver, null where none ran"},
            },
        ),
        "Anchor": obj(
            "Point from which distances along a surface are measured.",
            {"name": text("which corner or end, in words"), "point": PLAN_POINT},
        ),
        "Finding": obj("One rule applied to one thing.", _finding()),
    }


def _finding() -> Json:
    return {
        "rule": text("id of the rule"),
        "citation": text("standard, edition and section"),
        "verdict": choice(Verdict, "unknown never counts as a pass; advice is outside the rule set"),
        "subject": text("part of the design that the rule is about"),
        "object": text("what it was measured to"),
        "required": nullable(length("distance that the rule names")),
        "actual": nullable(length("distance found")),
        "margin": nullable(length("what is left to the limit: positive when kept, negative when broken")),
        "short_by": nullable(length("by how much a failed distance misses its limit; null for every other finding")),
        "verify_on_site": flag("the margin is at most 25 mm: measure on site before cutting"),
        "detail": text("the finding in words"),
        "missing": text("fact that would settle an unknown verdict; empty otherwise"),
    }


def _of_design() -> Json:
    return {
        "HeaterChosen": obj("The heater; the catalogue or the survey holds the rest.", _heater()),
        "Mount": {"oneOf": [ref("MountInRoom"), ref("MountOutdoors")], "description": "Where the case hangs."},
        "MountInRoom": obj("On a wall of a room.", _mount()),
        "MountOutdoors": mount_outdoors(),
        "Outdoors": outdoors(),
        "Terminal": {"oneOf": [obj("End of a vent in a wall, or flue outlet.", _terminal()), ref("RoofTerminal")]},
        "RoofTerminal": obj("Where the vent ends over a roof.", roof_terminal()),
        "IntakeTerminal": {
            **obj("Where the intake of a twin-pipe vent begins; null where the vent has none to place.", _terminal()),
            "type": ["object", "null"],
        },
        "Route": obj("One run from the heater to its other end.", _route()),
        "AirProvision": air_provision(),
        "Cost": obj("Every line is quantity x unit price of the price book.", _cost()),
        **besides_schemas(_design()),
        "Design": obj("One complete installation, to be handed to POST /v1/checks as it is.", _design()),
    }


def _heater() -> Json:
    return {
        "id": text("id in the catalogue or the survey"),
        "name": text("name"),
        "category": choice(Category, "vent category"),
        "condensing": flag("whether it condenses"),
        "draft": choice(Draft, "where its air comes from"),
        "input_max": number("greatest input [units.power]"),
        "efficiency": number("thermal efficiency, 0 to 1"),
        "vent": nullable(text("system of the vent chosen, of those that the heater is listed with; null outdoors")),
    }


def _mount() -> Json:
    return {
        "room": text("id of the room"),
        "wall": text("id of the wall face"),
        "from_corner": ref("Anchor"),
        "distance_to_left_edge": length("from that corner to the case's left edge"),
        "distance_to_vent_line": length("from that corner to the vertical line of the vent port"),
        "point": {**PLAN_POINT, "description": "where the vent port's line meets the wall [units.length]"},
        "bottom_height": length("from the room's floor to the case's underside"),
        "bottom_z": length("the same in the survey's datum"),
    }


def _terminal() -> Json:
    return {
        "facade": text("id of the facade"),
        "side": SIDE,
        "from_end": ref("Anchor"),
        "distance_along": length("from that end to the terminal's centre"),
        "height_above_grade": length("from the highest ground below to the terminal's centre"),
        "z": length("the centre's height in the survey's datum"),
        "point": {**PLAN_POINT, "description": "the centre in plan [units.length]"},
    }


def _route() -> Json:
    crossings = {
        "walls": integer("inner walls"),
        "floors": integer("floors"),
        "outer": integer("outer walls"),
        "roof": integer("the roof, with the ceiling below it"),
    }
    return {
        "service": choice(Service, "what runs here"),
        "option": text(
            "vent system, pipe size, or how power is had: cable, cord, cord_gfci, wired, wired_switch, wired_gfci, "
            "wired_switch_gfci"
        ),
        "ends_at": text("id of what it ends at"),
        "length": length("length of pipe, crossings included"),
        "elbows": integer("turns of 90 degrees"),
        "equivalent_length": nullable(length("length with elbow allowances; for gas with the pipe before the tap")),
        "limit": nullable(length("what the equivalent length may be at most")),
        "pumped": flag("condensate that has to be lifted"),
        "crossings": obj("How many of each it passes through.", crossings),
        "points": {**array(POINT, "corner points from the heater on"), "minItems": 2},
        "surfaces": array(
            choice(Surface, "what the run is fastened to"), "one a leg: surfaces[i] from points[i] to points[i+1]"
        ),
    }


def _cost() -> Json:
    line = {
        "trade": text("who does it"),
        "key": text("key in the price book"),
        "description": text("what it is"),
        "quantity": number("items, metres or feet, as per says"),
        "per": choice(Per, "what the unit price is for"),
        "unit_price": money("price of one"),
        "amount": money("quantity x unit price"),
    }
    by_trade = obj("Sum of one trade.", {"trade": text("who does it"), "amount": money("sum of its lines")})
    return {
        "lines": array(obj("One cost.", line)),
        "by_trade": array(by_trade),
        "total": money("sum of the lines"),
        "weighed_waiting": nullable(money("waiting for hot water as the survey prices it; not paid, not in the total")),
        "currency": text("currency of the price book"),
    }


def _design() -> Json:
    return {
        "rank": {"type": "integer", "minimum": 1, "description": "1 is the cheapest"},
        "heater": ref("HeaterChosen"),
        "mount": ref("Mount"),
        "terminal": ref("Terminal"),
        "intake": ref("IntakeTerminal"),
        "air_openings": flag("openings for combustion air are to be made"),
        "air": design_air(),
        "meter_upgrade": flag("the gas meter is to be changed for a larger one"),
        "cold_fitting": flag("the vent has the fitting for cold climates"),
        "water_items": array(choice(WaterItem, "bought once"), "what is bought for the heater's water"),
        "gas": gas_works(),
        "routes": array(ref("Route")),
        "clearances": array(ref("Finding"), "smallest margin first"),
        "gas_system": ref("GasSystem"),
        "vent_system": {"oneOf": [ref("VentSystem"), {"type": "null"}], "description": "null outdoors"},
        "condensate": ref("Condensate"),
        "outdoors": ref("Outdoors"),
        "power": ref("Power"),
        "water_quality": ref("WaterQuality"),
        "relief_and_scald": ref("ReliefAndScald"),
        "start_up": ref("StartUp"),
        "water_pressure": ref("WaterPressure"),
        "waiting": ref("Waiting"),
        "hot_water": ref("HotWater"),
        "cost": ref("Cost"),
    }


_LEFT_OUT: Json = {"part": choice(Part, "which part"), "leaves_open": text("what cannot be said without it")}


def _answers() -> Json:
    told = {"assumptions": SENTENCES, "warnings": SENTENCES}
    return {
        "Placement": obj(
            "Ranked designs and what was proven. Infeasible is an answer, not an error.", _placement(told)
        ),
        "CheckReport": obj(
            "What an inspector would find.",
            {
                "lawful": flag("the design is whole, nothing failed and nothing is unknown"),
                "lawful_as_far_as_given": flag("nothing of what was given failed or is unknown"),
                "not_given": array(obj("Part that was not handed in and so was not judged.", _LEFT_OUT)),
                "units": ref("Units"),
                "findings": array(ref("Finding"), "broken rules first, then unknown ones, then by margin"),
                "dwellings": of_dwellings(),
                **told,
                "engine": ref("Engine"),
            },
        ),
        "ClearanceMap": obj(
            "Free and forbidden parts of every facade and wall.",
            {
                "units": ref("Units"),
                "complete": {"type": "boolean", "description": "false where time was up; what is not told is unknown"},
                "terminal_classes": array(ref("TerminalClass")),
                "facades": array(ref("Region")),
                "walls": array(ref("Region")),
                "roofs": array(ref("Region"), "every roof plane, once for each class of terminal"),
                **told,
                "engine": ref("Engine"),
            },
        ),
    }


def _placement(told: Json) -> Json:
    proof = {
        "rounds": integer("rounds of lazy insertion"),
        "planes": integer("critical planes in the end"),
        "states": integer("states searched"),
        "cross_check": text("how the result was confirmed a second way"),
    }
    return {
        "status": choice(Status, "optimal: proven cheapest within scope; feasible: stopped early"),
        "units": ref("Units"),
        "cost": nullable(money("cost of the first design: what is paid")),
        "weighed_waiting": nullable(money("its waiting for hot water as the survey prices it; null without a price")),
        "objective": nullable(money("what is least: cost and weighed waiting together")),
        "bound": nullable(money("no lawful design within scope has a lesser objective")),
        "gap": nullable(number("(objective - bound) / objective")),
        "scope": text("what the proof covers"),
        "designs": array(ref("Design"), "cheapest first; empty unless optimal or feasible"),
        "proof": obj("How it was proven.", proof),
        "coverage": array(ref("Coverage"), "which rules take how much of each facade and wall"),
        **told,
        "cautions": SENTENCES,
        "alarms": array(obj("One carbon monoxide alarm that is asked for.", _alarm()), "the least that is asked for"),
        **besides(),
        "engine": ref("Engine"),
    }


def _alarm() -> Json:
    return {
        "rule": text("id of the rule"),
        "what": text("what is asked for"),
        "where": text("storey, rooms and place"),
        "why": text("what asks for it"),
        "citation": text("standard and section"),
        "known_from": text("read, memory or common_practice"),
        "designs": array({"type": "integer", "minimum": 1}, "ranks of the designs that ask for it; empty: all do"),
    }
