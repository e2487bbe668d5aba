"""What a gas report takes for granted, what it warns of, and what it must always say."""

from __future__ import annotations

from collections.abc import Iterator

from service.piping.network import Pipe
from service.survey.model import GasFittings, GasMaterial, GasMethod
from service.trades.gas_capacity import Terms, table_for
from service.trades.gas_printed import PrintedTable, tables
from service.usecases.gas_inlets import USUAL
from service.usecases.gas_results import InletReport
from service.usecases.gas_system import System
from service.usecases.gas_words import listed

_LOCK_UP = (
    "Without flow a regulator closes above its set pressure, by how much is not known here: pressures without flow are "
    "told as set. Measure them at the appliances."
)
CAUTIONS = (
    "Gas can explode and burn: only licensed people design, install and test gas piping. Test it for strength with air "
    "or inert gas, and for leaks before any burner is lit.",
    "Meter, service regulator, service line and delivery pressure are the gas supplier's: nothing here binds them.",
    "Local code, the authority having jurisdiction, the gas supplier and the listed instructions of pipe, regulators "
    "and appliances prevail over this answer. Get the permit and the inspection.",
    "Carbon monoxide kills without warning: gas pressure that is too high or too low spoils combustion. Measure "
    "pressure at each appliance after the work, without flow and with everything firing.",
    _LOCK_UP,
)
_TABLES = (GasMethod.LONGEST_TABLES, GasMethod.BRANCH_TABLES)


def assumptions(system: System, inlets: tuple[InletReport, ...]) -> tuple[str, ...]:
    """What the figures rest on, besides what the intake took for granted."""
    told = (_told(table) for table in tables_used(system) if table.note and not _is_unsure(table))
    return (
        *_fittings(system), *_gas(system), *_altitude(system), *_usual_ranges(system, inlets), *_full_input(system),
        *told,
    )  # fmt: skip


def warnings(system: System) -> tuple[str, ...]:
    """Tables not seen in print or wrong in print, pipes that no table is printed for, a system without load."""
    return (*_table_notes(system), *_without_table(system), *_nothing_burns(system))


def tables_used(system: System) -> list[PrintedTable]:
    """Printed tables that fit the pipes there are and will be, in the order of their numbers."""
    found: set[str] = set()
    for pipe, sized in zip(system.network.pipes, system.sizing.pipes, strict=True):
        zone = system.network.zones[pipe.zone]
        for material in {pipe.segment.material, sized.choice.material if sized.choice else pipe.segment.material}:
            fitting = table_for(material, Terms(system.gas, zone.supply_pa, zone.drop_pa))
            if fitting is not None and (system.supply.method in _TABLES or material == GasMaterial.CSST):
                found.add(fitting.number)
    return [table for table in tables() if table.number in found]


def _fittings(system: System) -> Iterator[str]:
    if system.supply.fittings is GasFittings.ALLOWANCE:
        yield "Fittings add no length: the code's allowance for an ordinary number of them is taken to cover them."
        return
    uncounted = [s.id for s in system.supply.segments if s.elbows is None or s.tees is None]
    yield "Elbows, and tees left by the branch, add their equivalent length in the size chosen."
    if uncounted:
        yield f"Nobody counted all fittings of {listed(uncounted)}: those not counted add no length."


def _gas(system: System) -> Iterator[str]:
    value = system.say.heating_value(system.gas.heating_value_j_m3)
    yield (
        f"Flow is input divided by the heating value, {value}, at a specific gravity of "
        f"{system.gas.specific_gravity:g}: ask the supplier for theirs."
    )


def _altitude(system: System) -> Iterator[str]:
    if system.gas.altitude_m > 0:
        yield (
            f"At {system.say.altitude(system.gas.altitude_m)} pipe is sized for the input on the nameplate, the safe "
            "side; inputs derated for altitude (NFPA 54 11.1.2, from memory) are told as a note only."
        )


def _usual_ranges(system: System, inlets: tuple[InletReport, ...]) -> Iterator[str]:
    unread = [i.id for i in inlets if USUAL in i.limits_from]
    if unread:
        yield (
            f"Inlet pressures of {listed(unread)} were not read from a nameplate: what is usual for tankless heaters "
            "stands in (common practice). Read the nameplates."
        )


def _full_input(system: System) -> Iterator[str]:
    if system.supply.diversity is None and system.supply.appliances:
        yield "All appliances are taken to fire at once at their full input (IFGC 402.2)."


def _table_notes(system: System) -> Iterator[str]:
    """Of tables that are not as sure as print: recalled, or with a defect that changes what is taken from them."""
    return (_told(table) for table in tables_used(system) if table.note and _is_unsure(table))


def _is_unsure(table: PrintedTable) -> bool:
    return table.known_from != "read" or table.least or table.last_mm is not None


def _told(table: PrintedTable) -> str:
    return f"IFGC 2018 Table {table.number} ({table.known_from}): {table.note}"


def _without_table(system: System) -> Iterator[str]:
    """Where the governing method is by tables, and there is none for some pipe."""
    if system.supply.method in _TABLES:
        without = [p.segment.id for p in system.network.pipes if not _has_table(system, p)]
        if without:
            yield (
                f"No printed table fits gas, pressure and drop for {listed(without)}: the equation stands in (of "
                "corrugated tubing nothing does)."
            )


def _has_table(system: System, pipe: Pipe) -> bool:
    zone = system.network.zones[pipe.zone]
    return table_for(pipe.segment.material, Terms(system.gas, zone.supply_pa, zone.drop_pa)) is not None


def _nothing_burns(system: System) -> Iterator[str]:
    if not system.supply.appliances:
        yield "No appliance is connected: nothing is asked of any pipe."
