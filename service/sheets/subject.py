"""What the sheets tell of: a house, and the installations in it if there are any."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import zip_longest

from service.building.model import Building
from service.design import Design, Finding, Part, Renewal, RoofTerminal, Sleeve, Terminal
from service.survey.model import GasSupply, Point2, Survey
from service.usecases.gas_results import GasReport
from service.usecases.pictured import Installed
from service.usecases.results import SurfaceRegions


@dataclass(frozen=True, slots=True)
class Subject:
    """A house with its installations (none: nothing is lawful), its gas system (None: not told), and for each heater
    where its terminal may be on every facade and roof plane (without one: for the one that is meant).

    ``beside``: findings on several heaters together; ``supply`` the gas pipe that they share with their branches on it
    (None: as surveyed), ``renewals`` of it.
    ``say`` tells millimetres in the caller's units, ``say_point`` a plan point of the frame in the survey's axes.
    ``verdict``: in a few words whether it is lawful; ``reasons``: why nothing is.
    """

    survey: Survey
    building: Building
    installed: tuple[Installed, ...]
    gas: GasReport | None
    surfaces: tuple[tuple[SurfaceRegions, ...], ...]
    verdict: str
    say: Callable[[float], str]
    say_point: Callable[[Point2], str]
    beside: tuple[Finding, ...] = ()
    reasons: tuple[str, ...] = ()
    supply: GasSupply | None = None
    renewals: tuple[Renewal, ...] = ()

    def views(self) -> Iterator[tuple[Installed | None, tuple[SurfaceRegions, ...]]]:
        """Each heater, or None where there is none, with its terminal's surfaces."""
        return zip_longest(self.installed, self.surfaces)

    def number(self, one: Installed | None) -> str:
        """What marks a heater on drawings: its number where there are several of several dwellings, else nothing."""
        return str(self.installed.index(one) + 1) if one is not None and one.dwelling else ""

    def name(self, one: Installed | None) -> str:
        """Number and dwelling, to stand before other words; nothing where there is one heater."""
        return f"{self.number(one)} {one.dwelling}: " if one is not None and one.dwelling else ""

    def terminals(self) -> Iterator[tuple[Installed, Terminal | RoofTerminal]]:
        """Each heater whose terminal is given."""
        yield from ((one, one.design.terminal) for one in self.installed if one.design.has(Part.TERMINAL))

    def holes(self) -> dict[Sleeve, tuple[Installed, ...]]:
        """Holes that runs of several heaters pass together, each with those heaters."""
        told = {hole for one in self.installed for hole in one.design.sleeves}
        order = sorted(told, key=lambda hole: (hole.start, hole.end, hole.service))
        return {hole: tuple(one for one in self.installed if hole in one.design.sleeves) for hole in order}

    def designs(self) -> tuple[Design, ...]:
        """Of all heaters."""
        return tuple(one.design for one in self.installed)
