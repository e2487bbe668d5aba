"""The lines of a summary that tell of the water: hardness, softener and descaling."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

Json = dict[str, Any]

_TOLD = ("water.hardness", "water.scale")
_TOLD_WHOLE = ("relief.valve", "scald.setpoint")
_BURNS = {"about": "in about", "more_than": "after more than", "less_than": "in less than"}


def water_lines(design: Json) -> Iterator[str]:
    """What is told of the water of the first design."""
    quality = design["water_quality"]
    yield f"  {_hardness(quality)}; {_descaling(quality)}"
    yield from (f"  {line}" for line in (*_softener(quality), *_scale(quality)))
    yield from _advice(quality["findings"])
    relief = design["relief_and_scald"]
    yield from (f"  {line}" for line in (_valve(relief), _scald(relief)))
    yield from _advice(relief["findings"])


def _advice(findings: list[Json]) -> Iterator[str]:
    """What the lines before have not told already."""
    for finding in findings:
        missing = f" - not known: {finding['missing']}" if finding["missing"] else ""
        told = finding["rule"] in _TOLD_WHOLE or (finding["rule"] in _TOLD and not missing)
        if finding["verdict"] == "advice" and not told:
            yield f"  advice  {finding['rule']}: {finding['detail']}{missing} [{finding['citation']}]"


def _hardness(quality: Json) -> str:
    hardness, unit = quality["hardness"], quality["units"]["hardness"]
    if hardness["value"] is None:
        return "hardness not known"
    return f"hardness {hardness['value']:g} {unit}, {hardness['class']}"


def _descaling(quality: Json) -> str:
    today, softened = (quality["descaling"][key] for key in ("months", "months_softened"))
    behind = f", {softened} behind the softener" if quality["softener"]["bought"] else ""
    return f"descale every {today} months{behind}"


def _softener(quality: Json) -> Iterator[str]:
    """Size of a softener that is advised or bought."""
    softener, units = quality["softener"], quality["units"]
    size = softener["size"]
    if size is None or not (softener["bought"] or (softener["advised"] and not softener["present"])):
        return
    unit, nominal = units["hardness_mass"], size["nominal_size"]
    sold = "larger than any that is sold for houses" if nominal is None else f"size {nominal:,.0f} {unit}"
    yield (
        f"softener {'bought' if softener['bought'] else 'advised'}: {size['load_a_day']:,.0f} {unit} a day for "
        f"{size['daily_use']:g} {units['daily_use']}, {sold} for a week"
    )


def _scale(quality: Json) -> Iterator[str]:
    scale, unit = quality["scale"], quality["units"]["temperature"]
    if scale["tendency"] is not None:
        shown = ", ".join(f"{i['langelier']:+.2f} at {i['temperature']:g} {unit}" for i in scale["indices"])
        yield f"{scale['tendency']}: Langelier index {shown}"


def _valve(relief: Json) -> str:
    valve, units = relief["valve"], relief["units"]
    hot = f" and {valve['temperature_at_most']:g} {units['temperature']}" if valve["temperature_relief"] else ""
    return (
        f"relief valve of {'temperature and ' if valve['temperature_relief'] else ''}pressure: at most "
        f"{valve['pressure_at_most']:g} {units['water_pressure']}{hot}, for at least "
        f"{valve['capacity_at_least']:,.0f} {units['power']}{_rule(relief)}"
    )


def _rule(relief: Json) -> str:
    """What is open about the rule on relief."""
    missing = next((f["missing"] for f in relief["findings"] if f["rule"] == "relief.valve"), "")
    strictest = "" if relief["valve"]["rule_told"] else " (the strictest)"
    return f"{strictest} - not known: {missing}" if missing else ""


def _scald(relief: Json) -> str:
    scald, mixing = relief["scald"], relief["scald"]["mixing_valve"]
    burn, unit = scald["burns_adult"], relief["units"]["temperature"]
    taken = "" if scald["setpoint_told"] else " (taken)"
    valve = " - mixing valve bought" if mixing["bought"] else " - mixing valve there" if mixing["present"] else ""
    how = f"{_BURNS[burn['relation']]} {burn['seconds']:g} s"
    return f"setpoint {scald['setpoint']:g} {unit}{taken}: burns {how}{valve}"
