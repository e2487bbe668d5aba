"""JSON Schemas of the answers about places that a survey asks about."""

from __future__ import annotations

from service.http.spec_words import Json, array, choice, flag, length, money, nullable, obj, ref, text
from service.usecases.results import Status


def here_answer(design: Json) -> Json:
    """One answer; ``design`` are the members of a ranked design."""
    by_trade = obj("One trade.", {"trade": text("who does it"), "amount": money("more (or, if negative, less)")})
    unranked = {name: schema for name, schema in design.items() if name != "rank"}
    return obj(
        "What came of one place asked about.",
        {
            "id": text("id of the question"),
            "dwelling": nullable(
                text("id of the dwelling whose heater it is about; sums are then of the cheapest set through the place")
            ),
            "status": choice(Status, "optimal: the design is the cheapest through this place; infeasible: none is"),
            "cost": nullable(money("cost of that design")),
            "bound": nullable(money("no design through this place has a lesser objective; null if nothing is known")),
            "extra_cost": nullable(money("how much more than the best design of the house")),
            "extra_objective": nullable(money("the same with weighed waiting; not negative if proven")),
            "extra_by_trade": array(by_trade, "the same by trade"),
            "design": {
                **obj("The design, to be handed to POST /v1/checks as it is; null if there is none.", unranked),
                "type": ["object", "null"],
            },
            "refused": array(_refusal(), "what is broken at the place itself"),
            "why": text("what stands against it where no rule by itself does; empty otherwise"),
        },
    )


def _refusal() -> Json:
    return obj(
        "What some heaters break alike.",
        {
            "heaters": array(text("id of a heater")),
            "part": {"type": "string", "enum": ["mount", "terminal"], "description": "what is judged"},
            "z": length("height judged, survey's datum: the one asked about, else where the fewest rules are broken"),
            "broken": array(ref("Finding"), "with the distance short"),
        },
    )


def deadlock() -> Json:
    """Why nothing is lawful."""
    then = {
        "heater": text("heater of the cheapest design then"),
        "mount": ref("Mount"),
        "terminal": ref("Terminal"),
        "cost": money("what it would cost"),
    }
    rules = array(text("id of a rule"), "lifted together they open this design; with one of them kept none")
    broken = array(ref("Finding"), "how the design breaks them, with the distance short")
    way = {"rules": rules, **then, "broken": broken}
    change = {"what": text("what would be otherwise, in a sentence"), **then}
    return obj(
        "Where nothing is lawful, what would open a design. It says where to look; it lets nobody lift a rule.",
        {
            "dwelling": nullable(text("id of the dwelling whose heater it is about; null for one heater alone")),
            "beside": array(text("id of a dwelling"), "those whose heaters hang then, one after another cheapest"),
            "ways_out": array(obj("One way out.", way), "the cheapest first, five at most"),
            "blocking": array(text("id of a rule"), "a smallest set that alone leaves nothing; empty: none is known"),
            "complete": flag("every set of rules that places break was tried, with limits of the house and without"),
            "why": text("what is not known, or what else lacks; empty if all is told"),
            "changes": array(
                obj("One change that opens a design; no rule is broken then.", change),
                "windows fixed, heaters of the catalogue, a place outdoors, a vent over the roof; the cheapest first",
            ),
            "changes_untried": array(text("a sentence"), "changes that time did not allow to try"),
        },
    )
