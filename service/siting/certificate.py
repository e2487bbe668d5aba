"""What a sceptical reader needs to re-check the proof of a cheapest design: plain data, made by ``certify`` and read by
``service.verify``. Money in money units (see MONEY_SCALE), lengths in [mm], places in the building's frame."""

from __future__ import annotations

from dataclasses import dataclass

from service.design import Service
from service.siting.active import Active
from service.survey.equipment import VentListing
from service.trades.vent import exhaust_limit


@dataclass(frozen=True, slots=True)
class SurfaceBound:
    """Least total on one surface, limits on runs aside; None where the heater can hang nowhere on it. ``surface``: a
    wall's index, or a facade's counted on after the walls."""

    surface: int
    units: int | None


@dataclass(frozen=True, slots=True)
class CaseBounds:
    """A heater with one of its vents, or outdoors, and the relaxation that bounds it.

    ``board``: index of the network. ``loose``: its vent may turn at any height and no zone is looked at.
    """

    label: str
    outdoors: bool
    board: int
    loose: bool
    surfaces: tuple[SurfaceBound, ...]


@dataclass(frozen=True, slots=True)
class ServiceCost:
    """One service of the cheapest heater: the least it costs at any open place, and in the design."""

    service: Service
    least_units: int
    design_units: int


@dataclass(frozen=True, slots=True)
class LimitTold:
    """A limit on a run of the cheapest heater, beyond which its listing or the code does not go: of what, and how much
    ([mm] of length, or pieces)."""

    service: Service
    what: str
    most: int


@dataclass(frozen=True, slots=True)
class TapStep:
    """What works at one node of the old gas piping cost, and the pipe before it that counts [mm]."""

    node: str
    units: int
    before_mm: int


@dataclass(frozen=True, slots=True)
class GasStep:
    """A branch pipe while every run is held to a length: what each node asks that it may leave."""

    branch: str
    held_mm: int
    feed: str
    taps: tuple[TapStep, ...]


@dataclass(frozen=True, slots=True)
class Certificate:
    """The proof of the first design. ``boards`` are the relaxations: planes with reasons, obstacles and zones cut in.
    ``network``: the claim covers the stated network, not all continuous positions. ``fixed_units``: all of the design
    but its runs. ``gas``: empty where pressure or counted fittings decide sizes."""

    cost_units: int
    network: bool
    scope: str
    boards: tuple[Active, ...]
    cases: tuple[CaseBounds, ...]
    services: tuple[ServiceCost, ...]
    limits: tuple[LimitTold, ...]
    fixed_units: int
    gas: tuple[GasStep, ...]


def limits_of(listing: VentListing, outdoors: bool) -> tuple[LimitTold, ...]:
    """Limits on the vent's run that its listing sets; those of gas are its steps."""
    if outdoors:
        return ()
    longest, few = exhaust_limit(listing)
    elbows = () if few is None else (LimitTold(Service.VENT, "elbows", few),)
    return (LimitTold(Service.VENT, "equivalent length of the exhaust", longest), *elbows)
