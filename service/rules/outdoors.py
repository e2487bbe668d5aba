"""What a listing for outdoors asks of the flue outlet beyond the code, in the form of a rule."""

from __future__ import annotations

from service.rules.rule import Rule
from service.rules.rulesets import SizedRule

OPENINGS = Rule(
    id="LIST-OUT", objects=("window_operable", "door", "gravity_inlet", "forced_inlet", "combustion_inlet"),
    draft="any", categories=(), input_over_btu_h=None, input_upto_btu_h=None, pressure_over_psi=None,
    pressure_upto_psi=None, relation="radial", distance=None, beside=None, below=None, above=None, gate=None,
    open_sides_min=None, strict=False, force="required", on_missing="worst_case", standard="listing",
    section="installation instructions", mark="common_practice",
    reading="distance on another wall or round a corner is not defined; string round an outside corner, else straight",
    note="what the listing for outdoors keeps between flue outlet and openings",
)  # fmt: skip


def listed_openings(distance_mm: int) -> tuple[SizedRule, ...]:
    """The rule at the listing's distance [mm]; none where it asks for none."""
    return (SizedRule(OPENINGS, distance_mm, 0, 0, 0, 0),) if distance_mm else ()
