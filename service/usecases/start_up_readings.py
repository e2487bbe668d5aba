"""Readings to take at a start-up, with what this design leads one to expect and the limits beside it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial

from service.design import RenewedPart
from service.rules.tables import table
from service.survey.model import UnitSystem
from service.trades.scald import OutletLimit, outlet_limit
from service.trades.start_up import PressureTest, cited_in, limit_of, pressure_tests
from service.units import Quantity, to_si, told
from service.usecases.gas_results import SegmentReport, ZoneReport
from service.usecases.start_up_results import Reading, Subject
from service.usecases.start_up_taps import taps_of
from service.usecases.start_up_words import metered

PLATE, LISTING, SHEET = "rating plate and instructions", "heater listing", "this design"
PRACTICE = "common practice"
OWN = {PLATE: "listing", LISTING: "listing", "gas supply": "survey", "circuit": "survey"}
"""Citations of the house and the heater themselves, which no standard's mark fits."""
_ENDINGS = {
    RenewedPart.WHOLE: ("", " before tap", " after tap"),
    RenewedPart.BEFORE_TAP: (" before tap",),
    RenewedPart.AFTER_TAP: (" after tap",),
}
"""How the report calls a renewed segment, or the parts that the heater's tap cuts it into."""


def readings_of(step: str, subject: Subject) -> tuple[Reading, ...]:
    """Readings of one step; most have none."""
    make = _READINGS.get(step)
    found = () if make is None else tuple(make(subject))
    return tuple(replace(r, citation=cited_in(r.citation, subject.country)) for r in found)


def _reading(
    name: str, quantity: Quantity | None, source: str, expected: float | None = None, low: float | None = None,
    high: float | None = None, unit: str = "", citation: str = PRACTICE, known_from: str = "common_practice",
    at: str = "",
) -> Reading:  # fmt: skip
    key = name if not at else f"{name} {at}"
    return Reading(
        key.lower().replace(" ", "_").replace(",", ""), key, quantity, unit, expected, low, high, source, citation,
        OWN.get(citation, known_from),
    )  # fmt: skip


def _vent(subject: Subject) -> Iterator[Reading]:
    if subject.vent is None:
        return
    length, slope = subject.vent.length, subject.vent.slope
    yield _reading("equivalent length", Quantity.LENGTH, SHEET, length.equivalent_mm / 1000,
                   high=length.limit_mm / 1000, citation=LISTING)  # fmt: skip
    yield _reading("fall of the level parts", Quantity.LENGTH, SHEET, slope.drop_mm / 1000, low=slope.drop_mm / 1000,
                   citation=LISTING)  # fmt: skip


def _drain(subject: Subject) -> Iterator[Reading]:
    condensate = subject.condensate
    if condensate is not None and condensate.drop_mm is not None:
        drop = condensate.drop_mm / 1000
        yield _reading("fall of the drain", Quantity.LENGTH, SHEET, low=drop, citation="IFGC, 307.2 (2024)",
                       known_from="read")  # fmt: skip


def _gas_test(subject: Subject) -> Iterator[Reading]:
    """For each pressure at which there is new pipe."""
    gas, new = subject.gas, _new_pipe(subject)
    for zone in sorted({s.zone for s in new}):
        length_m = sum(s.length_mm for s in new if s.zone == zone) / 1000
        found = gas.zones[zone]
        yield from _tested(found, pressure_tests(subject.country, found.supply_pa, length_m), len(gas.zones) > 1)


def _new_pipe(subject: Subject) -> list[SegmentReport]:
    """The branch and what is renewed."""
    ids = {f"{r.segment_id}{end}" for r in subject.design.gas.renewals for end in _ENDINGS[r.part]}
    return [s for s in subject.gas.segments if s.end == subject.inlet.node or s.id in ids]


def _tested(zone: ZoneReport, tests: tuple[PressureTest, ...], many: bool) -> Iterator[Reading]:
    at = f"from {zone.root}" if many else ""
    yield _reading("working pressure", Quantity.GAS_PRESSURE, SHEET, zone.supply_pa, citation="gas supply", at=at)
    if not tests:
        yield _reading("test pressure", Quantity.WATER_PRESSURE, "the code adopted here: not in our tables", at=at)
    for test in tests:
        told = at if test.governs else f"by {test.code} {at}".strip()
        source = test.code if test.governs else f"{test.code}, where it governs"
        cited = partial(_reading, citation=test.citation, known_from=test.known_from, at=told)
        pressure = Quantity.WATER_PRESSURE
        yield cited("test pressure", pressure, f"{source}: {test.note}", low=test.least_pa)
        if test.gauge_most_pa is not None:
            yield cited("range of the gauge", pressure, source, high=test.gauge_most_pa)
        yield cited("time of the test", None, source, low=test.minutes, unit="min")
    yield _reading("loss over that time", Quantity.WATER_PRESSURE, "no loss", 0.0, high=0.0, at=at)


def _water_fill(subject: Subject) -> Iterator[Reading]:
    most = limit_of("static_water_most")
    yield _reading("static water pressure", Quantity.WATER_PRESSURE, "survey", subject.survey.water.static_pressure_pa,
                   high=most.value, citation=most.citation, known_from=most.known_from)  # fmt: skip


def _water_run(_subject: Subject) -> Iterator[Reading]:
    run = limit_of("run_minutes")
    yield _reading("time of running", None, PRACTICE, run.value, low=run.value, unit="min", citation=run.citation)


def _relief(subject: Subject) -> Iterator[Reading]:
    """What the valve's tag says."""
    valve = subject.relief.valve
    cited = partial(_reading, citation=valve.citation, known_from=valve.known_from)
    yield cited("relief valve, pressure on its tag", Quantity.WATER_PRESSURE, SHEET, high=valve.pressure_most_pa)
    yield cited("relief valve, rating on its tag", Quantity.POWER, SHEET, low=valve.capacity_w)
    if valve.temperature_most_c is not None:
        hottest = valve.temperature_most_c
        yield cited("relief valve, temperature on its tag", Quantity.TEMPERATURE, SHEET, high=hottest)


def _expansion(subject: Subject) -> Iterator[Reading]:
    yield _reading("charge of the tank, empty of water", Quantity.WATER_PRESSURE, "the static pressure of the house",
                   subject.survey.water.static_pressure_pa)  # fmt: skip


def _mixing(_subject: Subject) -> Iterator[Reading]:
    most = limit_of("tap_most_c")
    yield _reading("mixed water behind the valve", Quantity.TEMPERATURE, most.note, high=most.value,
                   citation=most.citation, known_from=most.known_from)  # fmt: skip


def _power(subject: Subject) -> Iterator[Reading]:
    power, known = subject.power, table("power").constant
    nominal, base = power.load.voltage_v, known("voltage")
    yield _reading("voltage", None, LISTING if power.voltage_known else PRACTICE, nominal,
                   nominal * known("voltage_low") / base, nominal * known("voltage_high") / base, "V",
                   "ANSI C84.1", "memory")  # fmt: skip
    yield _reading("breaker", None, "new circuit" if power.circuit.is_new else "survey", power.circuit.breaker_a,
                   unit="A", citation=PRACTICE if power.circuit.is_new else "circuit")  # fmt: skip


def _current(subject: Subject) -> Iterator[Reading]:
    load = subject.power.load
    yield _reading("running current", None, LISTING, load.running_a, high=load.most_a, unit="A", citation=LISTING)


def _gas_static(subject: Subject) -> Iterator[Reading]:
    inlet = subject.inlet
    yield _reading("inlet pressure, nothing firing", Quantity.GAS_PRESSURE, SHEET, inlet.static_pa, inlet.min_pa,
                   inlet.max_pa, citation=LISTING)  # fmt: skip


def _gas_firing(subject: Subject) -> Iterator[Reading]:
    """Of the heater, then of every other appliance."""
    own = subject.inlet
    yield _reading("inlet pressure, everything firing", Quantity.GAS_PRESSURE, SHEET, own.full_fire_pa, own.min_pa,
                   own.max_pa, citation=LISTING)  # fmt: skip
    for inlet in (i for i in subject.gas.inlets if i is not own):
        usual = inlet.limits_from == "common practice"
        yield _reading("inlet pressure, everything firing", Quantity.GAS_PRESSURE, SHEET, inlet.full_fire_pa,
                       inlet.min_pa, inlet.max_pa, citation=inlet.limits_from,
                       known_from="common_practice" if usual else "read", at=f"at {inlet.id}")  # fmt: skip


def _manifold(subject: Subject) -> Iterator[Reading]:
    plain = limit_of("manifold_plain")
    usual = told(Quantity.GAS_PRESSURE, plain.value, subject.survey.units)
    source = f"{PLATE}; {usual} where {plain.note}" if subject.survey.site.fuel == "natural_gas" else PLATE
    yield _reading("manifold pressure", Quantity.GAS_PRESSURE, source, citation=PLATE, known_from=plain.known_from)
    if metered(subject.survey):
        yield _clocked(subject)


def _clocked(subject: Subject) -> Reading:
    site, heater = subject.survey.site, subject.design.heater
    is_us = subject.survey.units is UnitSystem.US
    volume_m3, words = (to_si(Quantity.VOLUME, 1, "ft3"), "1 ft3") if is_us else (0.1, "0.1 m3")
    seconds = site.heating_value_j_m3 * volume_m3 / heater.input_max_w
    return _reading(f"time of {words} at the meter, full fire, nothing else on", None,
                    "heating value of the survey, input of the listing", seconds, unit="s", citation=PLATE)  # fmt: skip


def _combustion(subject: Subject) -> Iterator[Reading]:
    """Nothing of this is known to us but a flue temperature that the entry tells."""
    for fire in ("full fire", "least fire"):
        for gas, unit in (("carbon monoxide", "ppm"), ("carbon dioxide", "%"), ("oxygen", "%")):
            yield _reading(gas, None, PLATE, unit=unit, citation=PLATE, at=f"at {fire}")
    hottest = subject.design.heater.vent.flue_temperature_c
    yield _reading("flue gas temperature", Quantity.TEMPERATURE, LISTING, high=hottest, citation=LISTING,
                   at="at full fire")  # fmt: skip


def _temperature(subject: Subject) -> Iterator[Reading]:
    """At the nearest tap of each storey, with the limit of those that have one; a survey that names none leaves its
    place blank, and that tap may be a shower."""
    scald = subject.relief.scald
    source = "survey" if scald.told else "taken, for the survey tells none; as agreed with the customer"
    yield _reading("setpoint", Quantity.TEMPERATURE, source, scald.setpoint_c)
    taps = taps_of(subject.survey, subject.building, subject.design)
    for tap in taps:
        name = f"at {tap.id}" + (f" on {tap.storey}" if tap.storey else "")
        yield _tap_reading(name, outlet_limit(tap.kind))
    if not taps:
        yield _tap_reading("at the nearest hot tap", outlet_limit("shower"))
    yield from _waits(subject, {t.id for t in taps})


def _tap_reading(name: str, most: OutletLimit | None) -> Reading:
    """Of a tub, a shower or a bidet no hotter than its limit; any other outlet has none."""
    told = partial(_reading, "hot water", Quantity.TEMPERATURE, "the setpoint, less what the pipe loses", at=name)
    return told() if most is None else told(high=most.at_most_c, citation=most.citation, known_from=most.known_from)


def _waits(subject: Subject, taps: set[str]) -> Iterator[Reading]:
    """Time from a cold pipe until it is hot, where the facts for it are told."""
    waiting = subject.waiting
    if waiting is None:
        return
    for fixture in waiting.fixtures:
        if fixture.fixture in taps and fixture.wait is not None:
            yield _reading("time until it is hot", None, SHEET, fixture.wait.later, high=fixture.wait.most, unit="s",
                           citation=waiting.citation, at=f"at {fixture.fixture}")  # fmt: skip


_READINGS: dict[str, Callable[[Subject], Iterator[Reading]]] = {
    "vent": _vent,
    "drain": _drain,
    "gas_test": _gas_test,
    "water_fill": _water_fill,
    "water_run": _water_run,
    "power": _power,
    "relief": _relief,
    "expansion": _expansion,
    "mixing": _mixing,
    "gas_static": _gas_static,
    "gas_firing": _gas_firing,
    "manifold": _manifold,
    "combustion": _combustion,
    "temperature": _temperature,
    "current": _current,
}
