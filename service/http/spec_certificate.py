"""JSON Schemas of a certificate and of its re-check."""

from __future__ import annotations

from service.design import Service
from service.http.spec_words import Json, array, choice, flag, integer, nullable, obj, ref, text
from service.verify.results import Outcome

RECHECK = "Re-check a certified answer without the search."
_ANY = {"type": "integer"}
_BOX = {
    "type": "array", "items": _ANY, "minItems": 4, "maxItems": 4,
    "description": "least and greatest along the surface (or x), least and greatest height (or y) [mm]",
}  # fmt: skip
_AT = {"type": "array", "items": _ANY, "minItems": 2, "maxItems": 2}


def certificate_schemas() -> Json:
    """Component schemas by name."""
    return {
        "Certificate": _certificate(),
        "VerificationRequest": {
            **obj(
                "A survey as it was sent, and the whole answer that it was given, its certificate included.",
                {"survey": ref("SurveyRequest"), "answer": {"type": "object", "description": "a placement"}},
            ),
            "additionalProperties": False,
        },
        "Verification": _verification(),
    }


def certificate_members() -> Json:
    """Members of what is told besides the cheapest designs."""
    return {
        "certificate": {
            "oneOf": [ref("Certificate"), {"type": "null"}], "description": "null if not asked for or not to be had",
        },
        "no_certificate": text("why there is none though asked for; empty otherwise"),
    }  # fmt: skip


def _certificate() -> Json:
    cost = {
        "service": choice(Service, "which run"),
        "least_units": integer("least it costs at any open place, limits aside, with what is bought once for it"),
        "design_units": integer("what it costs in the design, works on old pipe and weighed waiting included"),
    }
    limit = {
        "service": choice(Service, "which run"), "what": text("what is limited"), "most": integer("[mm], or pieces"),
    }  # fmt: skip
    return obj(
        "What a sceptical reader needs to re-check that the first design is cheapest. Lengths in whole millimetres of "
        "the frame that the plan is turned into, money in whole units.",
        {
            "covers": {"type": "string", "enum": ["network", "continuous"], "description": "as `scope` says in words"},
            "scope": text("what the proof covers"),
            "money_units_per_cent": integer("money units in a cent"),
            "cost_units": integer("the design's cost, weighed waiting included"),
            "fixed_units": integer("the design's cost but for its runs"),
            "services": array(obj("One service of the design's heater.", cost)),
            "limits": array(obj("A limit that its listing sets on a run; those of gas are steps.", limit)),
            "heaters": array(_heater(), "every heater that the house can feed, with each of its vents, and outdoors"),
            "networks": array(_network(), "relaxations that the bounds are of"),
            "gas_steps": array(_gas_step(), "the staircase of the design's heater; empty where pressure decides sizes"),
            "digests": obj(
                "SHA-256 of canonical JSON: members sorted, no blanks, whole numbers without a fraction.",
                {
                    "survey": text("of the request as it was sent"),
                    "design": text("of the first design"),
                    "answer": text("of the answer without its certificate"),
                    "certificate": text("of the certificate without its digests"),
                },
            ),
        },
    )


def _heater() -> Json:
    surface = {
        "surface": text("wall face, or facade where it hangs outdoors"),
        "least_units": nullable(integer("least total there, limits on runs aside; null if it can hang nowhere there")),
        "closed_by": {
            "type": "string", "enum": ["price", "limits on runs", "nothing fits"],
            "description": "why nothing cheaper than the design is to be had there",
        },
    }  # fmt: skip
    return obj(
        "One heater with one vent, or outdoors.",
        {
            "heater": text("id, with the vent if that is not the standard one"),
            "outdoors": flag("it hangs outdoors"),
            "network": integer("index of the network that bounds it"),
            "loose": flag("bounded with its vent turning at any height and no zone looked at"),
            "surfaces": array(obj("One surface.", surface)),
        },
    )


def _network() -> Json:
    of = {"type": "string", "enum": ["case", "terminal"], "description": "what may not be there"}
    intake = {"type": ["string", "null"], "description": "side of the intake that a terminal's zones are for"}
    plane = {
        "axis": text("x, y, z; manifold_z: height at which the small runs meet; or a skew wall, along it"),
        "at": {"type": "integer", "description": "[mm]"},
        "why": text("what it goes through, or the rule whose zone ends there"),
    }
    obstacle = {
        "pipe_radius": integer("of the pipes that it was cut in for [mm]"),
        "surface": text("wall face, or ceiling and room"),
        "box": _BOX,
        "why": text("opening or keep-out"),
    }
    zone = {
        "of": of,
        "intake": intake,
        "surface": text("wall face, facade or roof plane"),
        "rule": text("rule that forbids it"),
        "object": text("what the rule measures to"),
        "box": _BOX,
        "radius_squared": integer("all nearer to the box than this; 0: the open box itself [mm2]"),
        "within": {"oneOf": [_BOX, {"type": "null"}], "description": "open box that the zone is cut to"},
    }
    closed = {
        "of": of,
        "intake": intake,
        "surface": text("wall face, facade or roof plane"),
        "at": {**_AT, "description": "distance along and height (of a case its underside), on a roof x and y [mm]"},
    }
    return obj(
        "Sheets of the house cut by planes, with what was cut in.",
        {
            "planes": array(obj("One plane.", plane)),
            "obstacles": array(obj("A box on a surface that no run passes.", obstacle)),
            "zones": array(obj("Where a case or terminal may not be.", zone)),
            "closed_places": array(obj("A place in a round zone whose rim is cut in all round it.", closed)),
        },
    )


def _gas_step() -> Json:
    tap = {
        "node": text("node of the gas piping"),
        "works_units": integer("works that a branch from there asks for"),
        "before_mm": integer("pipe before it in its pressure zone, with fittings [mm]"),
    }
    return obj(
        "A branch pipe while every run of its zone is held to a length.",
        {
            "feed": text("delivery pressure and zone"),
            "branch": text("pipe of the branch"),
            "held_mm": integer("longest run that the sizes are good for [mm]"),
            "taps": array(obj("One node.", tap), "nodes that it may leave"),
        },
    )


def _verification() -> Json:
    step = {
        "step": text("what was re-checked"),
        "outcome": choice(Outcome, "what came of it"),
        "detail": text("what was found, what differs, or what is not known"),
    }
    covers = {"type": ["string", "null"], "enum": ["network", "continuous", None], "description": "of the certificate"}
    return obj(
        "What a re-check without the search comes to.",
        {
            "verdict": choice(Outcome, "refused if any step is, else not confirmed if any is not"),
            "covers": covers,
            "steps": array(obj("One step.", step)),
            "trusted": array({"type": "string"}, "what is taken as it is"),
            "not_looked_at": array({"type": "string"}, "what of the answer is not re-checked"),
        },
    )
