"""Designs of several dwellings together, as lines of text."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from service.words import length_text

Json = dict[str, Any]


def dwelling_lines(answer: Json, place: Callable[[Json], str], leaves_by: Callable[[Json], str]) -> Iterator[str]:
    """A line for each dwelling and what is shared; ``place`` and ``leaves_by`` tell a mount and a terminal."""
    found, money = answer["dwellings"], answer["units"]["money"]
    yield from ("", "Dwellings")
    for d in found["designs"]:
        yield (
            f"  {d['dwelling']}: {d['heater']['name']} ({d['heater']['id']}) {place(d['mount'])}, vents through "
            f"{leaves_by(d['terminal'])}, own cost {d['cost']['total']:,.2f} {money}"
        )
    yield from ("", "Shared")
    shared = found["shared"]
    yield from (f"  {line}" for line in shared_works(shared, answer))
    yield f"  shared cost {shared['cost']['total']:,.2f} {money}"
    yield from ("", "Beside one another")
    for d in found["designs"]:
        yield from (f"  {_beside(f, d, answer)}" for f in d["clearances"] if f["object"].startswith("intake of "))
    advice = (f for f in found["findings"] if f["verdict"] == "advice")
    yield from (f"  {f['verdict']:<7} {f['rule']}: {f['detail']}" for f in advice)


def shared_works(shared: Json, answer: Json) -> Iterator[str]:
    """What is done once for all heaters, and where their gas branches leave."""
    for b in shared["branches"]:
        after = f", the end of {b['after']}" if b["after"] else ""
        long = length_text(b["length"], answer)
        yield f"gas branch of {b['dwelling']} leaves at {b['leaves_at']}{after}, {long} long"
    for r in shared["renewals"]:
        yield f"gas pipe {r['segment']} is renewed in {r['material'].replace('_', ' ')} {r['size']}"
    for key, told in (("meter_upgrade", "gas meter"), ("service_regulator", "regulator of the supplier")):
        if shared[key]:
            yield f"the {told} is changed for a larger one"
    if shared["pressure_option"] is not None:
        yield f"gas is asked for at another delivery pressure: {shared['pressure_option']}"
    for s in shared["sleeves"]:
        what = s["through"].replace("_crossing", "")
        yield f"{s['service']} of {', '.join(s['dwellings'])} passes through one hole in a {what}"


def _beside(finding: Json, design: Json, answer: Json) -> str:
    """How far a design's exhaust is from another's intake."""
    told = f"{finding['verdict']:<7} {finding['rule']}: exhaust of {design['dwelling']} to {finding['object']}"
    if finding["margin"] is None:
        return told
    return f"{told}, margin {length_text(finding['margin'], answer)}"
