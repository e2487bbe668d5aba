"""JSON Schema of designs of several dwellings together."""

from __future__ import annotations

from service.design import Service
from service.http.spec_words import POINT, Json, array, choice, flag, length, nullable, obj, ref, text
from service.http.spec_works import renewal

_SLEEVE: Json = {
    "service": choice(Service, "whose runs pass it"),
    "through": text("wall_crossing or floor_crossing"),
    "start": POINT,
    "end": POINT,
    "dwellings": array(text("id of a dwelling"), "those whose runs pass it, two at least"),
}


def of_dwellings() -> Json:
    """The member `dwellings` of a check."""
    return nullable(
        array(
            obj(
                "One dwelling's design as it stands beside all others.",
                {
                    "dwelling": text("id of the dwelling"),
                    "lawful": flag("nothing of it failed or is unknown"),
                    "findings": array(ref("Finding"), "on it in the house as the other designs leave it"),
                },
            ),
            "of a set, in its order; `findings` then tell of all together. Null for one design",
        )
    )


def joint_designs(design: Json) -> Json:
    """The member `dwellings` of a placement; ``design`` are the members of a ranked design."""
    own = {name: schema for name, schema in design.items() if name != "rank"}
    branch = {
        "dwelling": text("id of the dwelling"),
        "leaves_at": text("node of the survey, or a new one, that its gas branch leaves from"),
        "after": nullable(text("pipe that leads to that node; null at the delivery")),
        "length": length("of the branch"),
    }
    shared = {
        "renewals": array(renewal(), "pipe of the shared gas system that is renewed; cut pipe by its parts"),
        "meter_upgrade": flag("the gas meter is to be changed for a larger one"),
        "service_regulator": flag("the supplier's regulator is to be changed for a larger one"),
        "pressure_option": nullable(text("id of the delivery pressure to ask the supplier for; null: as it is")),
        "branches": array(obj("Where one heater's branch leaves.", branch)),
        "sleeves": array(obj("One hole.", _SLEEVE), "holes that runs of several heaters pass, in no design's own bill"),
        "gas_system": ref("GasSystem"),
        "cost": ref("Cost"),
    }
    return obj(
        "Where the survey names dwellings: one design for each, lawful beside all others with what they share done. "
        "Each design's own bill holds nothing shared; `cost` of the answer is the sum of all.",
        {
            "designs": array(
                obj("Design of one dwelling.", {"dwelling": text("id of the dwelling"), **own}), "in the survey's order"
            ),
            "shared": obj("What is done once for all heaters.", shared),
            "findings": array(ref("Finding"), "what concerns the designs together"),
            "explained": array(ref("ExplainedBeside"), "of each dwelling, if the survey's `explain` asks for anything"),
        },
    )
