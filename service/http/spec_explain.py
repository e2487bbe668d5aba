"""JSON Schemas of what a placement tells besides the cheapest designs."""

from __future__ import annotations

from service.http.spec_certificate import certificate_members
from service.http.spec_differs import differs
from service.http.spec_dwellings import joint_designs
from service.http.spec_here import deadlock, here_answer
from service.http.spec_sureness import sureness
from service.http.spec_words import (
    NETWORK_ONLY,
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
from service.survey.explain import TradeOff
from service.usecases.checked import Status


def besides() -> Json:
    """Members of a placement."""
    return {
        "what_about": array(ref("HereAnswer"), "one for each place that the survey asks about"),
        "deadlock": nullable(deadlock()),
        "explained": {"oneOf": [ref("Explained"), {"type": "null"}], "description": "null if nothing was asked for"},
        "dwellings": {"oneOf": [ref("JointDesigns"), {"type": "null"}], "description": "null for one heater alone"},
    }


def besides_schemas(design: Json) -> Json:
    """Component schemas by name; ``design`` are the members of a ranked design."""
    unranked = {name: schema for name, schema in design.items() if name != "rank"}
    told = {
        "different": nullable(_different()),
        "trade_offs": array(_front(), "fronts of cost, in the order asked for"),
        "sureness": nullable(sureness()),
        **certificate_members(),
    }
    beside = {
        "dwelling": text("id of the dwelling"),
        "as_in_set": flag(
            "it is told of the set's own design; else the search found a cheaper one beside the others, or was cut off"
        ),
        **told,
    }
    return {
        "ComparedDesign": obj("A design beside others.", _compared(unranked)),
        "HereAnswer": here_answer(design),
        "JointDesigns": joint_designs(design),
        "Explained": obj("The parts that the survey's `explain` asks for, null where it does not.", told),
        "ExplainedBeside": obj("The same of one dwelling's heater while all others stay.", beside),
    }


def _different() -> Json:
    return obj(
        "A cheapest set of lawful designs, each two of them different in two at least of room, way out, heater and gas "
        "pipe; null if not asked for.",
        {
            "asked": integer("how many designs the set is to have"),
            "status": choice(Status, "optimal: proven cheapest; infeasible: proven that there is no such set"),
            "total": nullable(money("sum of their costs")),
            "bound": nullable(money("no such set has a lesser sum of objectives; null if nothing is known")),
            "regions": integer("parts of the space of designs that were searched for it"),
            "network_only": NETWORK_ONLY,
            "designs": array(ref("ComparedDesign"), "the cheapest first"),
            "why": text("why there is none, or what is not known; empty otherwise"),
        },
    )


def _front() -> Json:
    return obj(
        "Designs by rising cost: none that is better than one of them by a step costs less than the next.",
        {
            "against": choice(TradeOff, "what cost is weighed against: mean wait for hot water, or margin"),
            "step": number("least difference of two designs [s] or [units.length]"),
            "designs": array(ref("ComparedDesign"), "the cheapest first"),
            "complete": flag("no design is better than the last by a step"),
            "network_only": NETWORK_ONLY,
            "why": text("why no more is told; empty if complete"),
        },
    )


def _compared(unranked: Json) -> Json:
    trade = {"trade": text("who does it"), "amount": money("what it costs")}
    piece = {"what": text("as on the bill"), "count": integer("how many")}
    return {
        "room": text("room it hangs in; outdoors"),
        "way_out": text("facade or roof plane where the vent ends, or the facade it hangs on"),
        "heater": text("id of the heater"),
        "gas_pipe": text("segment that the gas branch is tapped from; delivery: the delivery itself"),
        "cost": money("what is paid"),
        "extra_cost": money("more than the cheapest beside it"),
        "by_trade": array(obj("One trade.", trade), "in the order of the bill"),
        "mean_wait_s": nullable(number("mean wait for hot water over all fixtures [s]; null if not known")),
        "margin": length("by how much every distance that the rule set asks of the terminal may grow"),
        "needs": array(obj("Bought by the piece.", piece), "what not all of them need alike"),
        "differs": differs("the first design beside it"),
        "design": obj("The design, to be handed to POST /v1/checks as it is.", unranked),
    }
