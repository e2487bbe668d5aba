"""The vent of a finished design told in full: category, system, length, slope, snow, cold, parts."""

from __future__ import annotations

from dataclasses import replace

from service.design import Design, Finding, Piece, RoofTerminal, Route, Service, Terminal, Verdict
from service.phrases import text
from service.survey.intake_listing import IntakeSide, LengthBasis
from service.survey.model import Survey, UnitSystem
from service.trades.freeze import COLD_KEY, cold_limit_c, needs_cold_fitting
from service.trades.vent import (
    INTAKE_ELBOWS,
    elbows_counted,
    equivalent_mm,
    fall_mm,
    friction_elbow_mm,
    vent_rule,
)
from service.trades.vent_systems import VentSystem, category_facts, system_of
from service.usecases.vent_parts import legs_of, vent_parts
from service.usecases.vent_results import (
    ColdReport,
    FittingLine,
    IntakeReport,
    LengthReport,
    SlopeReport,
    SnowReport,
    VentReport,
)

OWN_RULES = ("vent.", "freeze.", "intake.")
SNOW = "SNOW"
COUNTS = {
    None: "the vent", LengthBasis.EXHAUST_ONLY: "the exhaust alone", LengthBasis.COMBINED: "exhaust and intake, added",
    LengthBasis.EACH: "the intake, the longer of the two pipes",
}  # fmt: skip


def vent_report(survey: Survey, design: Design, found: tuple[Finding, ...]) -> VentReport:
    """The vent with the checker's findings on it. Raises ValueError for a design without a vent run."""
    vent = design.route(Service.VENT)
    if vent is None or not vent.pieces:
        raise ValueError("the design has no vent run")
    system = system_of(design.heater.vent)
    own = tuple(f for f in found if f.rule_id.startswith(OWN_RULES))
    cold = _cold(survey, design)
    return VentReport(
        category=category_facts(design.heater.category.value),
        system=system,
        length=_length(design, vent, system),
        slope=_slope(design, vent, system),
        snow=_snow(survey, found),
        intake=_intake(design, vent),
        cold=cold,
        legs=legs_of(vent, system),
        parts=vent_parts(survey, design),
        findings=own,
        warnings=(*_price_warning(cold), *(_open_point(f, survey.units) for f in own if _is_open(f))),
    )


def level_mm(pieces: tuple[Piece, ...]) -> int:
    """Length of the pieces that are not upright [mm]."""
    return sum(p.length_mm for p in pieces if p.start[:2] != p.end[:2])


def _open_point(finding: Finding, units: UnitSystem) -> str:
    return f"{text(finding.detail, units)}; not known: {finding.missing}."


def _is_open(finding: Finding) -> bool:
    return finding.verdict is Verdict.ADVICE and bool(finding.missing)


def _length(design: Design, vent: Route, system: VentSystem) -> LengthReport:
    listing = design.heater.vent
    elbows, nothing = elbows_counted(vent.elbows, listing), replace(listing, elbow_equivalent_mm=0)
    return LengthReport(
        equivalent_mm(vent.length_mm, 0, nothing),
        _fittings(design, elbows, system),
        equivalent_mm(vent.length_mm, vent.elbows, listing),
        listing.max_equivalent_mm,
        elbows,
        listing.max_elbows,
        COUNTS[None if listing.intake is None else listing.intake.length_basis],
    )


def _intake(design: Design, vent: Route) -> IntakeReport | None:
    """The intake's pipe: beside the vent's, and on along the wall to its own hole."""
    listing, exhaust, intake = design.heater.vent.intake, design.terminal, design.intake
    if listing is None or intake is None or isinstance(exhaust, RoofTerminal):
        return None
    apart = abs(intake.s_mm - exhaust.s_mm) + abs(intake.z_mm - exhaust.z_mm)
    side = next((s.value for s in IntakeSide if listing.shift_mm(s) == _shift(exhaust, intake)), "")
    return IntakeReport(
        vent.length_mm + apart, vent.elbows + INTAKE_ELBOWS, side, apart, listing.apart_mm, listing.length_basis.value
    )


def _shift(exhaust: Terminal, intake: Terminal) -> tuple[int, int]:
    return intake.s_mm - exhaust.s_mm, intake.z_mm - exhaust.z_mm


def _fittings(design: Design, elbows: int, system: VentSystem) -> tuple[FittingLine, ...]:
    """Elbows by the listing's allowance; terminal and cold-climate fitting count what the listing counts: nothing."""
    each = design.heater.vent.elbow_equivalent_mm
    friction = None if system.inner_mm is None else friction_elbow_mm(system.inner_mm)
    line = FittingLine(
        "elbow of 90 degrees", elbows, each, elbows * each, friction,
        "allowance of the listing; friction of a smooth elbow beside it",
    )  # fmt: skip
    terminal = FittingLine("terminal", 1, 0, 0, None, "within the listing's limit, unless its instructions count it")
    cold = FittingLine("cold-climate fitting", 1, 0, 0, None, "in the place of pipe of its length; the listing decides")
    return (line, terminal, *((cold,) if design.cold_fitting else ()))


def _slope(design: Design, vent: Route, system: VentSystem) -> SlopeReport:
    listing, level = design.heater.vent, level_mm(vent.pieces)
    to_heater, steep = listing.falls_to_heater, system.material == "polypropylene"
    rule = vent_rule("fall_87", "polypropylene")
    leaves = "what condenses leaves at the terminal"
    if isinstance(design.terminal, RoofTerminal):
        leaves = "what condenses gathers at the foot of the rise to the roof, where a trapped drain tee takes it"
    notes = ["condensate runs to the heater's trap" if to_heater else leaves]
    if listing.intake is not None:
        notes.append("the intake's pipe falls with it, so its terminal must keep rain out")
    if steep:
        notes.append(f"elbows of 87 degrees fall {rule.printed:.1%} ({rule.citation}, {rule.known_from})")
    mark = category_facts(design.heater.category.value).known_from if to_heater else "common_practice"
    return SlopeReport(
        listing.fall, "heater" if to_heater else "terminal", level, fall_mm(level, listing), mark, "; ".join(notes)
    )


def _snow(survey: Survey, found: tuple[Finding, ...]) -> SnowReport | None:
    """The tightest finding of the rule on snow; None where none lies."""
    measured = [f for f in found if f.rule_id == SNOW and f.required_mm is not None and f.actual_mm is not None]
    if not measured:
        return None
    tightest = min(measured, key=lambda f: ((f.actual_mm or 0) - (f.required_mm or 0), f.object_id))
    return SnowReport(
        survey.site.snow_depth_mm, tightest.required_mm or 0, tightest.actual_mm or 0, SNOW, tightest.citation
    )


def _cold(survey: Survey, design: Design) -> ColdReport:
    winter = survey.site.winter_design_temperature_c
    price = survey.prices.items.get(COLD_KEY) if design.cold_fitting else None
    return ColdReport(
        winter, cold_limit_c(), needs_cold_fitting(winter), design.cold_fitting,
        None if price is None else price.cents, vent_rule("cold_fitting_each").known_from,
    )  # fmt: skip


def _price_warning(cold: ColdReport) -> tuple[str, ...]:
    if not cold.included or cold.price_cents is not None:
        return ()
    return (f"The cold-climate fitting of the vent is needed and not in the total: the price book has no {COLD_KEY}.",)
