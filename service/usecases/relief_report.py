"""Relief and scald of a finished design: valve, discharge pipe, expansion, setpoint, mixing valve, pan."""

from __future__ import annotations

from collections.abc import Iterator

from service.design import Design, Finding, Verdict
from service.rules.figures import Figure
from service.survey.model import Survey, WaterItem
from service.trades.relief import (
    discharge_rules,
    expansion_rule,
    is_closed,
    relief_rule,
    relief_valve,
    valve_size,
)
from service.trades.scald import burn_time, is_over, is_too_hot, limits_of, outlet_limit
from service.trades.water_quality import setpoint_c
from service.units import Quantity, told
from service.usecases.relief_results import ExpansionReport, OutletReport, ReliefScaldReport, ScaldReport
from service.usecases.water_parts import CONNECTION, bought, part
from service.usecases.water_results import WaterPart

OWN_RULES = ("relief.", "scald.")
THERMOSTAT = "the heater's own thermostat is no limiting device unless it is listed as one (ASSE 1082 or 1085; read)"


def relief_report(survey: Survey, design: Design, found: tuple[Finding, ...]) -> ReliefScaldReport:
    """Relief and scald with the checker's findings on them."""
    own = tuple(f for f in found if f.rule_id.startswith(OWN_RULES))
    return ReliefScaldReport(
        valve=relief_valve(survey.site, design.heater.input_max_w),
        rule_told=survey.site.relief is not None,
        valve_size=valve_size(),
        discharge=discharge_rules(survey.water.relief_discharge),
        expansion=_expansion(survey, design),
        scald=_scald(survey, design),
        parts=tuple(_parts(survey, design, own)),
        findings=own,
    )


def _expansion(survey: Survey, design: Design) -> ExpansionReport:
    rule = expansion_rule(survey.water)
    return ExpansionReport(
        closed=is_closed(survey.water),
        tank_present=survey.water.expansion_tank is True,
        tank_bought=WaterItem.EXPANSION_TANK in design.water_items,
        citation=rule.citation,
        known_from=rule.known_from,
        note=f"{rule.note}; a relief valve is no control of expansion",
    )


def _scald(survey: Survey, design: Design) -> ScaldReport:
    water, at = survey.water, setpoint_c(survey.water)
    outlets = (OutletReport(name, limit, is_over(limit, at)) for name, limit in limits_of(water))
    return ScaldReport(
        setpoint_c=at,
        told=water.setpoint_c is not None,
        adult=burn_time(at),
        infant=burn_time(at, "infant"),
        outlets=tuple(outlets),
        mixing_needed=is_too_hot(at),
        mixing_present=water.mixing_valve is True,
        mixing_bought=WaterItem.MIXING_VALVE in design.water_items,
        notes=(*_local_note(survey, at), THERMOSTAT, _legionella(survey)),
    )


def _legionella(survey: Survey) -> str:
    """Hot enough against legionella is too hot for skin: both are told together."""
    rule = relief_rule("against_legionella")
    hot = told(Quantity.TEMPERATURE, rule.value, survey.units)
    return (
        f"long dead branches and loops colder than {hot} may breed legionella ({rule.citation}, {rule.known_from}); "
        "water that hot needs a mixing valve ahead of the taps: the two go together"
    )


def _local_note(survey: Survey, at: float) -> tuple[str, ...]:
    """The example of a limit for every outlet, where the setpoint is over it."""
    limit = outlet_limit("any")
    if limit is None or not is_over(limit, at):
        return ()
    most = told(Quantity.TEMPERATURE, limit.at_most_c, survey.units)
    return (f"some local rules let no outlet give more than {most} ({limit.citation}): ask",)


def _parts(survey: Survey, design: Design, found: tuple[Finding, ...]) -> Iterator[WaterPart]:
    """Relief valve and its pipe always; what is bought or advised besides."""
    where = "hot outlet, ahead of any shut-off"
    yield part(survey, design, f"relief valve {valve_size()} in", where, relief_rule("relief_valve_each"), CONNECTION)
    pipe = f"discharge pipe {valve_size()} in from the relief valve; neither drawn nor priced"
    yield part(survey, design, pipe, where, _discharge_figure(), None)
    if WaterItem.EXPANSION_TANK in design.water_items or is_closed(survey.water) is None:
        yield bought(survey, design, WaterItem.EXPANSION_TANK, "expansion tank", expansion_rule(survey.water))
    if WaterItem.MIXING_VALVE in design.water_items:
        yield bought(survey, design, WaterItem.MIXING_VALVE, "mixing valve at the heater", _mixing_figure())
    if WaterItem.DRAIN_PAN in design.water_items or _asked(found, "relief.pan"):
        yield bought(survey, design, WaterItem.DRAIN_PAN, "pan with a drain", relief_rule("pan_advised"))


def _asked(found: tuple[Finding, ...], rule_id: str) -> bool:
    return any(f.rule_id == rule_id and f.verdict is Verdict.ADVICE for f in found)


def _discharge_figure() -> Figure:
    rules = discharge_rules(None)
    return Figure(1.0, 1.0, "1", "IPC 2018, 504.6", rules[0].known_from, "as its fourteen rules ask")


def _mixing_figure() -> Figure:
    limit = outlet_limit("bath_shower")
    assert limit is not None
    return Figure(1.0, 1.0, "1", limit.citation, limit.known_from, "so that no bath or shower gets more than it may")
