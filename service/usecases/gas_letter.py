"""The request to the gas supplier: what is asked, with its figures, for whoever writes to them."""

from __future__ import annotations

from collections.abc import Iterator

from service.trades.gas_meter import capacity_m3_s
from service.usecases.gas_meters import class_words
from service.usecases.gas_results import MeterReport
from service.usecases.gas_system import System, without_heater


def request_to_supplier(system: System, meter: MeterReport) -> tuple[str, ...]:
    """Sentences of the request; none where nothing is asked."""
    asked = (*_meter(system, meter), *_service_regulator(system, meter), *_pressure(system))
    if not asked:
        return ()
    return (
        "Date: ____________  Account or meter number: ____________",
        _loads(system, meter),
        *asked,
        "The supplier decides on meter, regulator, service line and pressure: nothing here is settled until they "
        "have agreed, and their piping is theirs to work on.",
    )


def _loads(system: System, meter: MeterReport) -> str:
    say, today = system.say, sum(a.input_w for a in without_heater(system.supply).appliances)
    flow = say.flow(meter.connected_w / system.gas.heating_value_j_m3)
    after = f"{say.power(meter.connected_w)} ({flow} at {say.heating_value(system.gas.heating_value_j_m3)})"
    drawn = "" if meter.drawn_w == meter.connected_w else f", of which {say.power(meter.drawn_w)} at once as surveyed"
    if today == meter.connected_w:
        return f"Connected load: {after}{drawn}."
    return f"Connected load: today {say.power(today)}, after the work {after}{drawn}."


def _meter(system: System, meter: MeterReport) -> Iterator[str]:
    if meter.enough:
        return
    passes = ""
    if meter.class_needed is not None:
        passes = f", that is {system.say.flow(capacity_m3_s(meter.class_needed, system.gas))} of this gas"
    present = system.say.power(meter.capacity_w)
    yield f"Meter: the present one passes {present}. Asked for: {class_words(meter)}{passes}."


def _service_regulator(system: System, meter: MeterReport) -> Iterator[str]:
    if meter.service_regulator_enough is False:
        passes = system.say.power(meter.service_regulator_w or 0.0)
        yield f"Service regulator: the present one passes {passes}. Asked for: one that passes the load after the work."
    elif meter.service_regulator_w is None:
        needed = "Service regulator: please confirm that it, and the service line, pass the load after the work."
        if not meter.enough or system.asked.pressure is not None:
            yield needed


def _pressure(system: System) -> Iterator[str]:
    at_meter = system.say.pressure(system.supply.pressure_pa)
    if system.asked.pressure is not None:
        yield f"Delivery pressure: asked for is {at_meter} at the outlet of the meter, held at the full load."
