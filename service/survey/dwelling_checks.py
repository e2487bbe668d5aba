"""Faults of the dwellings that are each to have a heater."""

from __future__ import annotations

from collections.abc import Iterator

from service.errors import Fault
from service.survey.divided import of_dwelling, sharing
from service.survey.dwellings import Dwelling
from service.survey.model import Survey

LEAST = 2
"""One heater needs no dwellings."""


def dwelling_faults(survey: Survey) -> Iterator[Fault]:
    """Names of nothing, and dwellings that could have no heater at all."""
    if len(survey.dwellings) == 1:
        yield Fault("#/dwellings", "too_few", f"at least {LEAST} are needed: for one heater leave them out")
    for i, dwelling in enumerate(survey.dwellings):
        yield from _unknown(f"#/dwellings/{i}", survey, dwelling)
        yield from _lacking(f"#/dwellings/{i}", survey, dwelling)
        yield from _parallel(f"#/dwellings/{i}", survey, dwelling)


def _parallel(place: str, survey: Survey, dwelling: Dwelling) -> Iterator[Fault]:
    """Heaters that share a demand are two at least and serve the same fixtures."""
    if dwelling.parallel is None:
        return
    if sharing(survey, dwelling) < LEAST:
        yield Fault(f"{place}/parallel", "too_few", f"no other entry is called parallel {dwelling.parallel!r}")
    first = next(d for d in survey.dwellings if d.parallel == dwelling.parallel)
    if set(dwelling.fixtures or _all_fixtures(survey)) != set(first.fixtures or _all_fixtures(survey)):
        yield Fault(f"{place}/fixtures", "contradiction", f"heaters in parallel serve the same ones as {first.id}")


def _all_fixtures(survey: Survey) -> tuple[str, ...]:
    return tuple(f.id for f in survey.water.fixtures)


def _unknown(place: str, survey: Survey, dwelling: Dwelling) -> Iterator[Fault]:
    """Names that nothing in the survey has, and names given twice."""
    water, gas = survey.water, survey.gas
    there = {
        "rooms": {r.id for s in survey.storeys for r in s.rooms},
        "heaters": {h.id for h in survey.heaters},
        "water_lines": {line.id for line in (*water.cold, *water.hot)},
        "fixtures": {f.id for f in water.fixtures},
        "drains": {d.id for d in survey.drains},
        "receptacles": {r.id for r in survey.receptacles},
        "gas_taps": {n.id for n in gas.nodes} | {s.id for s in gas.segments},
    }
    for member, names in there.items():
        given: tuple[str, ...] = getattr(dwelling, member) or ()
        for k, name in enumerate(given):
            if name not in names:
                yield Fault(f"{place}/{member}/{k}", "unknown_reference", f"there is nothing of the id {name!r}")
            elif name in given[:k]:
                yield Fault(f"{place}/{member}/{k}", "duplicate_id", f"{name!r} is named already")


def _lacking(place: str, survey: Survey, dwelling: Dwelling) -> Iterator[Fault]:
    own = of_dwelling(survey, dwelling)
    for kind, lines in (("cold", own.water.cold), ("hot", own.water.hot)):
        if not lines:
            yield Fault(f"{place}/water_lines", "too_few", f"no {kind} line is among them")
