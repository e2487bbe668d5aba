"""What hanging outdoors asks for besides a lawful place: frost, power, parts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from service.design import Design, Finding, Service
from service.survey.model import Survey
from service.trades.freeze import freezes
from service.units import Quantity, told
from service.usecases.gas_results import PartLine

PRACTICE = ("common practice", "common_practice")
OWN_RULES = ("freeze.outdoors", "OUT10", "OUT11", "OUT12")


@dataclass(frozen=True, slots=True)
class OutdoorReport:
    """Temperatures [degC], whether water freezes, parts that are advised and not priced, the checker's findings on
    frost and power, sentences for the answer."""

    winter_c: float
    least_c: float | None
    freezes: bool
    parts: tuple[PartLine, ...]
    findings: tuple[Finding, ...]
    warnings: tuple[str, ...]


def outdoor_report(survey: Survey, design: Design, found: tuple[Finding, ...]) -> OutdoorReport | None:
    """What a design outdoors asks for; None for one in a room."""
    listing, winter_c = design.heater.outdoor, survey.site.winter_design_temperature_c
    if not design.outdoors or listing is None:
        return None
    frost = freezes(winter_c)
    return OutdoorReport(
        winter_c=winter_c,
        least_c=listing.min_temperature_c,
        freezes=frost,
        parts=tuple(_parts(design, frost)),
        findings=tuple(f for f in found if f.rule_id in OWN_RULES),
        warnings=tuple(_warnings(survey, design, frost)),
    )


def _parts(design: Design, frost: bool) -> Iterator[PartLine]:
    """Nothing of it stands in the bill: insulation before the wall is part of mount.outdoors, heat tape is not."""
    facade = design.mount.facade_id
    wet = [s for s in (Service.COLD, Service.HOT, Service.DRAIN) if design.route(s) is not None]
    yield PartLine("insulation of water pipes before the wall", len(wet), "each", facade, *PRACTICE)
    if frost:
        yield PartLine("listed heat tape on water pipes before the wall, on a circuit of its own or with the heater",
                       len(wet), "each", facade, *PRACTICE)  # fmt: skip
    yield PartLine("outlet outdoors: weather-resistant, in-use cover, GFCI", 1, "each", facade,
                   "NEC, 210.8(A), 210.8(F), 406.9", "memory")  # fmt: skip


def _warnings(survey: Survey, design: Design, frost: bool) -> Iterator[str]:
    where = f"Heater {design.heater.id} hangs outdoors on facade {design.mount.facade_id}"
    yield f"{where}: its outlet there must be weather-resistant, under an in-use cover and protected by a GFCI."
    if frost:
        winter = told(Quantity.TEMPERATURE, survey.site.winter_design_temperature_c, survey.units)
        yield (
            f"{where} and the winter design temperature is {winter}: its freeze protection needs power all the time; "
            "insulate and heat the pipes before the wall (heat tape is not priced), drain it when power or gas is off."
        )
