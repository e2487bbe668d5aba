"""A design's water as plain text: pressure at the worst fixture, and the wait for hot water at each."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from service.words import length_text

Json = dict[str, Any]


def design_water(design: Json, answer: Json) -> Iterator[str]:
    """Lines on pressure, on the wait of each fixture, what it weighs, and what a loop would take."""
    if design["water_pressure"] is not None:
        yield _pressure(design["water_pressure"])
    waiting = design["waiting"]
    if waiting is None or not waiting["fixtures"]:
        yield "  no fixtures are told: the wait for hot water is not known"
        return
    for fixture in waiting["fixtures"]:
        yield f"  {fixture['fixture']}: {_wait(fixture, waiting, answer)}"
    if waiting["weighed"] is not None:
        yield f"  mean {waiting['mean']:.1f} s at {waiting['price_of_a_second']:,.2f} a second weighs " \
              f"{waiting['weighed']:,.2f} {answer['units']['money']}, which is not paid"  # fmt: skip
    if waiting["recirculation"] is not None:
        yield _loop(waiting["recirculation"], answer)


def _pressure(report: Json) -> str:
    unit = report["units"]["water_pressure"]
    if report["worst"] is None:
        return f"  pressure not settled for want of: {', '.join(report['missing'])}"
    worst = next(f for f in report["fixtures"] if f["fixture"] == report["worst"])
    lost = ", ".join(f"{step['what']} {step['loss']:.1f}" for step in report["chain"])
    least = f"which needs {worst['least']:.1f} [{worst['citation']}]"
    return f"  pressure {report['supply']:.1f} {unit} behind valve and equipment; less {lost}: leaves " \
           f"{worst['residual']:.1f} at {worst['fixture']}, {least}"  # fmt: skip


def _wait(fixture: Json, waiting: Json, answer: Json) -> str:
    times = fixture["time_to_hot"]
    if times is None:
        return f"wait not known for want of the {fixture['missing']}"
    held = f"{fixture['volume']:.2f} {waiting['units']['water_volume']} in {length_text(fixture['length'], answer)}"
    broken = [limit["citation"] for limit in fixture["limits"] if limit["applies"] and not limit["kept"]]
    over = f"; over the limit of {', '.join(broken)}" if broken else ""
    cold = "" if fixture["lights_burner"] else "; its flow does not light the burner"
    return f"hot after {times['cold_pipe']:.0f} s, at the first start {times['first_start']:.0f} s ({held}){over}{cold}"


def _loop(loop: Json, answer: Json) -> str:
    length = length_text(loop["return_length"], answer)
    price = "" if loop["price"] is None else f", {loop['price']:,.2f} {answer['units']['money']} with its pump"
    wait = "" if loop["mean_when_warm"] is None else f", mean wait then {loop['mean_when_warm']:.1f} s"
    return f"  recirculation to {loop['to_fixture']}: {length} of return pipe{price}{wait}; not in the cost"
