"""Relief valves of tankless heaters: kind, setting, discharge pipe; closed systems and their expansion."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from service.rules.figures import Figure, citation_of, figure_of
from service.rules.tables import Row, table
from service.survey.model import Site, WaterSupply
from service.survey.water import Discharge, DischargeEnd, ReliefRule
from service.trades.condensate import nominal_in
from service.trades.house_pressure import needs_valve
from service.trades.water import SIZES

LAWFUL_ENDS = (DischargeEnd.FLOOR, DischargeEnd.PAN, DischargeEnd.RECEPTOR, DischargeEnd.OUTDOORS)


@cache
def relief_rule(rule: str) -> Figure:
    """Figure of a rule on relief, expansion or pans; KeyError for an unknown one."""
    return figure_of(table("relief").where(rule=rule))


@dataclass(frozen=True, slots=True)
class ReliefValve:
    """What a heater's relief valve must be: temperature relief or not, settings at most [Pa, degC], capacity [W]."""

    local_rule: ReliefRule
    temperature: bool
    pressure_most_pa: float
    temperature_most_c: float | None
    capacity_w: float
    citation: str
    known_from: str
    note: str


def relief_valve(site: Site, input_w: float) -> ReliefValve:
    """Valve that the site's rule asks for, of at least the heater's input [W]; where the rule is not known the
    strictest, temperature and pressure relief. Source: ordinance on instantaneous types (read), IRC P2804.1
    (memory)."""
    rule = site.relief or ReliefRule.TEMPERATURE_AND_PRESSURE
    row = table("relief_kinds").where(local_rule=rule.value)
    is_hot = row.flag("temperature")
    return ReliefValve(
        rule, is_hot, relief_rule("pressure_most").value, temperature_most_c(site) if is_hot else None, input_w,
        citation_of(row.text("standard"), row.text("section")), row.text("known_from"), row.text("note"),
    )  # fmt: skip


def temperature_most_c(site: Site) -> float:
    """Hottest that temperature relief may be set [degC]: 210 degF (ANSI Z21.22, read) or a lower local limit."""
    most = relief_rule("temperature_most").value
    return most if site.relief_temperature_c is None else min(most, site.relief_temperature_c)


@dataclass(frozen=True, slots=True)
class DischargeRule:
    """One rule on the discharge pipe; ``kept`` None where the survey does not tell."""

    rule_id: str
    topic: str
    kept: bool | None
    citation: str
    known_from: str
    note: str


def valve_size() -> str:
    """Nominal size [in] of the relief valves of tankless heaters. Source: common practice; its own outlet decides."""
    return str(Fraction(relief_rule("valve_size").printed))


def discharge_rules(pipe: Discharge | None, valve: str | None = None) -> tuple[DischargeRule, ...]:
    """Rules RD1 to RD14 on the discharge pipe of a valve of a nominal size [in], else the usual one, each against what
    is known of the pipe. Source: IPC 2018 504.6 (read)."""
    return tuple(_discharge_rules(pipe or Discharge(), valve or valve_size()))


def _discharge_rules(pipe: Discharge, valve: str) -> Iterator[DischargeRule]:
    rules = table("relief_discharge")
    for row in rules.rows:
        rule = row.text("rule")
        kept = _told(row, pipe) if row.cells["fact"] is not None else _WORKED_OUT[rule](pipe, valve)
        note = "" if row.cells["note"] is None else row.text("note")
        cite = f"{rules.standard} {rules.edition}, {rules.section} item {rule.removeprefix('RD')}"
        yield DischargeRule(rule, row.text("topic"), kept, cite, row.text("known_from"), note)


def _told(row: Row, pipe: Discharge) -> bool | None:
    fact: bool | None = getattr(pipe, row.text("fact"))
    return None if fact is None else fact is row.flag("kept_if")


def _not_joined(pipe: Discharge, _valve: str) -> bool | None:
    return None if pipe.end is None else pipe.end is not DischargeEnd.DRAINAGE


def _wide_enough(pipe: Discharge, valve: str) -> bool | None:
    own, outlet = nominal_in(pipe.size or ""), nominal_in(valve)
    return None if own is None or outlet is None else own >= outlet


def _ends_lawfully(pipe: Discharge, _valve: str) -> bool | None:
    return None if pipe.end is None else pipe.end in LAWFUL_ENDS


def _height_kept(pipe: Discharge, _valve: str) -> bool | None:
    """Height of the end, in diameters of the pipe."""
    inches = nominal_in(pipe.size or "")
    if pipe.end_height_mm is None or inches is None:
        return None
    least = float(inches) * 25.4 * relief_rule("end_diameters").value
    return least <= pipe.end_height_mm + 0.5 and pipe.end_height_mm <= relief_rule("end_most").value * 1000 + 0.5


def _larger_for_inserts(pipe: Discharge, valve: str) -> bool | None:
    """Kept without insert fittings; with them by the next size and a fastened end."""
    if pipe.insert_fittings is None:
        return None
    if not pipe.insert_fittings:
        return True
    larger = SIZES[SIZES.index(valve) + 1] if valve in SIZES[:-1] else None
    wide = None if larger is None else _wide_enough(pipe, larger)
    return False if wide is False or pipe.end_fastened is False else wide and pipe.end_fastened


_WORKED_OUT: dict[str, Callable[[Discharge, str], bool | None]] = {
    "RD1": _not_joined, "RD3": _wide_enough, "RD5": _ends_lawfully, "RD10": _height_kept, "RD14": _larger_for_inserts,
}  # fmt: skip


def is_closed(water: WaterSupply) -> bool | None:
    """Whether a check valve or a pressure reducing valve, there or to be put in, keeps water from swelling back into
    the main; None where that is not known, as where no pressure tells whether a valve must be put in."""
    reducing = None if water.static_pressure_pa is None and not water.reducing_valve else water.reducing_valve
    valves = (water.check_valve, needs_valve(water) or reducing)
    return True if True in valves else None if None in valves else False


def expansion_rule(water: WaterSupply) -> Figure:
    """The rule that asks for an expansion tank in a closed system: behind a reducing valve UPC 608.2 (read), behind a
    check valve UPC 608.3 (memory)."""
    regulated = water.reducing_valve or needs_valve(water)
    return relief_rule("expansion_regulator" if regulated else "expansion_check")


def needs_expansion_tank(water: WaterSupply) -> bool:
    """Whether the system is known to be closed and not known to have an expansion tank."""
    return is_closed(water) is True and water.expansion_tank is not True
