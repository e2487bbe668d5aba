"""What to look at in a report on demand and output."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from service.survey.model import DemandMethod, HotWater, UnitSystem
from service.trades.demand import demand_by, setpoint_of
from service.trades.demand_words import asked
from service.trades.inlet_temperature import InletSource
from service.units import Quantity, told
from service.usecases.hot_water_results import HeaterLine, HotWaterReport


def warnings_of(report: HotWaterReport, facts: HotWater, units: UnitSystem) -> Iterator[str]:
    """Who runs together, what the figures rest on, heaters that stay off or overshoot, uses hotter than the outlet."""
    yield from _not_told(report, facts, units)
    yield from _inlet(report, units)
    if facts.terms.method is DemandMethod.PROBABILISTIC:
        yield "The probabilistic method sizes pipe: it takes the whole flow of each fixture as hot, the safe side."
    yield from _altitude(report, facts, units)
    yield from _too_hot(report, facts, units)
    for line in report.heaters:
        yield from _small_draws(line, report, units)


def _not_told(report: HotWaterReport, facts: HotWater, units: UnitSystem) -> Iterator[str]:
    """The most that could be asked for stands beside the little that is known; one fixture alone is all there is."""
    if report.duty.demand.is_told or sum(draw.count for draw in facts.draws) == 1:
        return
    terms = replace(facts.terms, at_once=(tuple(d.id for d in facts.draws),))
    every = demand_by(DemandMethod.CONCURRENT_USE, replace(facts, terms=terms), report.duty.inlet.coldest_c)
    most = told(Quantity.FLOW, every.flow_m3_s or 0.0, units)
    yield (
        f"Nobody told which fixtures run at once: a heater is only held against {asked(report.duty, units)}. All "
        f"fixtures together would ask for {most}. Name in water.demand.at_once what runs together, or a method."
    )


def _inlet(report: HotWaterReport, units: UnitSystem) -> Iterator[str]:
    inlet = report.duty.inlet
    cold = told(Quantity.TEMPERATURE, inlet.coldest_c, units)
    if inlet.source is InletSource.CORRELATION:
        yield (
            f"The coldest inlet, {cold}, follows from the air by a correlation that is untested in northern climates; "
            "surface water can be 5 to 10 degF (3 to 6 degC) colder in winter: a measured inlet_temperature beats it."
        )
    if inlet.source is InletSource.UNKNOWN:
        yield f"The coldest inlet is not known and taken as {cold}: measure it, or tell the climate."


def _altitude(report: HotWaterReport, facts: HotWater, units: UnitSystem) -> Iterator[str]:
    if any(line.input_w < line.heater.input_max_w for line in report.heaters):
        yield (
            f"At {told(Quantity.ALTITUDE, facts.altitude_m, units)} the heaters' output is reckoned with less input "
            "(NFPA 54 11.1.2, from memory), unless a listing tells otherwise; gas pipe is sized for the nameplate."
        )


def _too_hot(report: HotWaterReport, facts: HotWater, units: UnitSystem) -> Iterator[str]:
    outlet = setpoint_of(facts)
    hotter = [f.use.draw.id for f in report.fixtures if f.use.use_c is not None and f.use.use_c > outlet]
    if hotter:
        yield f"Used hotter than the outlet of {told(Quantity.TEMPERATURE, outlet, units)}: {', '.join(hotter)}."


def _each(line: HeaterLine) -> str:
    return "" if line.sharing == 1 else f" of each of {line.sharing} heaters, unless valves lead small draws to one"


def _small_draws(line: HeaterLine, report: HotWaterReport, units: UnitSystem) -> Iterator[str]:
    smallest = report.smallest
    if smallest is None:
        return
    heater, draw = line.heater, told(Quantity.FLOW, smallest.hot_m3_s / line.sharing, units)
    if not line.starts:
        start = told(Quantity.FLOW, heater.activation_flow_m3_s, units)
        yield (
            f"Heater {heater.id} starts at {start}, but {smallest.fixture_id} may take only {draw} of hot water"
            f"{_each(line)}: then the burner stays off and the water cold."
        )
    rise = max(0.0, report.duty.setpoint_c - smallest.inlet_c)
    if line.starts and line.least_rise_k is not None and line.least_rise_k > rise:
        least, wanted = (told(Quantity.TEMPERATURE_RISE, k, units) for k in (line.least_rise_k, rise))
        yield (
            f"Heater {heater.id} warms {draw}, the least draw, by {least} at its least fire, where {wanted} is asked "
            "for: it may cycle or overshoot. Mixing valves at showers and tubs guard against scalding."
        )
