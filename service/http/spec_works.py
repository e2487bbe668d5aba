"""JSON Schema of the works on the gas system that a design asks for besides the heater's branch."""

from __future__ import annotations

from service.design import RenewedPart
from service.http.spec_words import Json, array, choice, flag, integer, length, nullable, obj, text
from service.survey.model import GasMaterial


def gas_works() -> Json:
    """The member ``gas`` of a design."""
    works = {
        "renewals": array(renewal()),
        "pressure_option": nullable(text("delivery pressure to ask the supplier for; null: as it is")),
        "line_regulators": integer("line regulators bought"),
        "ahead_of_regulator": flag("the branch leaves ahead of a line regulator, and the heater has its own"),
        "service_regulator": flag("the supplier's service regulator is to be changed for a larger one"),
    }
    return obj("Works on the gas system besides the branch; may be left out of a check: none.", works)


def renewal() -> Json:
    """One old pipe, or part of it."""
    members = {
        "segment": text("id of the old segment"),
        "part": choice(RenewedPart, "the whole of it, or what lies ahead of or beyond the branch's tap"),
        "material": choice(GasMaterial, "material of the new pipe"),
        "size": text("nominal size of the new pipe; of corrugated tubing its EHD"),
        "length": length("length renewed"),
    }
    return obj("Old pipe that other pipe takes the place of.", members)
