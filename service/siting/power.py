"""In which ways a heater may have its power, and from which outlets and panels."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from math import dist, inf

from service.building.model import Building, BuiltRoom
from service.design import MANIFOLD_DROP_MM, Surface
from service.routing.ends import Anchor
from service.rules.rulesets import rule_set
from service.survey.equipment import Heater, PriceBook
from service.survey.model import Receptacle, Survey
from service.trades.circuits import Fit, Load, breaker_disconnects, carried, fit_of, load_of
from service.trades.electrical_code import OutletPlace, edition_of, ground_fault, ground_fault_outdoors, near_water
from service.trades.power_options import PowerOption, power_pieces

ASSUMED = Receptacle("assumed-panel", (0, 0, 0), True)
"""Stands for the panel of a survey that names no outlet."""
SKEW_SLACK_MM = 5
"""Points of a skew wall are rounded to whole millimetres: a cord of few pieces measures by up to this more than the
lattice says."""


@dataclass(frozen=True, slots=True)
class PowerWay:
    """One way: its option, which anchors it may end at (by index), and the most that its run may measure [mm]."""

    option: PowerOption
    anchors: tuple[int, ...]
    limit_mm: float


def power_fits(survey: Survey, heater: Heater) -> dict[str, Fit]:
    """Whether each outlet's circuit, or a new one of a panel, carries a heater."""
    load, country = load_of(heater), rule_set(survey.site.rule_set).country
    return {r.id: _fit(load, r, country) for r in survey.receptacles or (ASSUMED,)}


@lru_cache(maxsize=1024)
def _fit(load: Load, at: Receptacle, country: str) -> Fit:
    """Kept, for most heaters draw what another does."""
    return fit_of(carried(load, at, country))


def power_obstacle(survey: Survey, heater: Heater, any_circuit: bool = False) -> str | None:
    """Why a heater can have no power here; ``any_circuit``: one that carries it is not asked for."""
    if not list(_run_options(load_of(heater), heater, survey.prices)):
        return "it has no cord and nothing for wiring it in is in the price book"
    fits = power_fits(survey, heater)
    if not any_circuit and all(fit is Fit.NO for fit in fits.values()):
        return f"no circuit carries it, of {', '.join(sorted(fits))}"
    return None


def power_ways(
    survey: Survey, building: Building, heater: Heater, anchors: tuple[Anchor, ...], outdoors: bool = False
) -> list[PowerWay]:
    """All ways that have a price and an end; outdoors no cord, for it would go through the wall. A heater that no
    circuit carries, let in all the same, takes any by cable."""
    load, fits = load_of(heater), power_fits(survey, heater)
    every = tuple(range(len(anchors)))
    open_ends = tuple(i for i in every if fits.get(anchors[i].end_id) is not Fit.NO) or every
    protected = outdoors and ground_fault_outdoors(edition_of(survey.site), wired=True).asked is not False
    ways = [PowerWay(option, open_ends, inf) for option in _run_options(load, heater, survey.prices, protected)]
    slack = SKEW_SLACK_MM * any(face.axis is None for face in building.faces)
    for option in () if outdoors else (PowerOption.CORD, PowerOption.CORD_GFCI):
        ends = tuple(i for i, a in enumerate(anchors) if _plugs(survey, building, fits, a) is option)
        ways.append(PowerWay(option, ends, cord_mm(heater) - slack))
    return [w for w in ways if w.anchors and w.limit_mm >= 0 and _has_price(w.option, survey.prices)]


def cord_mm(heater: Heater) -> float:
    """What is left of the cord from the point below the case where the small runs meet [mm], negative if none is."""
    return heater.cord_length_mm - MANIFOLD_DROP_MM - heater.power_reach_mm


def _run_options(load: Load, heater: Heater, prices: PriceBook, protected: bool = False) -> Iterator[PowerOption]:
    """Ways by cable. A heater without a cord is wired in; one with a cord, if its listing takes that. ``protected``:
    what is wired in has ground-fault protection."""
    if heater.cord_length_mm > 0:
        yield PowerOption.CABLE
    plain, safe = PowerOption.WIRED, PowerOption.WIRED_GFCI
    if not breaker_disconnects(load):
        plain, safe = PowerOption.WIRED_SWITCH, PowerOption.WIRED_SWITCH_GFCI
    wired = safe if protected else plain
    if (heater.cord_length_mm == 0 or heater.may_be_wired) and _has_price(wired, prices):
        yield wired


def _has_price(option: PowerOption, prices: PriceBook) -> bool:
    return all(key in prices.items for key in power_pieces(option))


def _plugs(survey: Survey, building: Building, fits: dict[str, Fit], anchor: Anchor) -> PowerOption | None:
    """How a heater plugs into an outlet: only where its circuit is known to carry it, and within the room."""
    outlet = next((r for r in survey.receptacles if r.id == anchor.end_id), None)
    if outlet is None or outlet.is_panel or fits[outlet.id] is not Fit.YES:
        return None
    if anchor.room >= len(building.rooms) or any(piece.surface is not Surface.STUB for piece in anchor.tail):
        return None
    asked = ground_fault(edition_of(survey.site), _place(survey, building, anchor, outlet)).asked
    return PowerOption.CORD if outlet.gfci or asked is False else PowerOption.CORD_GFCI


def _place(survey: Survey, building: Building, anchor: Anchor, outlet: Receptacle) -> OutletPlace:
    room = building.rooms[anchor.room]
    near = near_water(dist(f.at, outlet.at) for f in survey.water.fixtures)
    return OutletPlace(room.use, room.finished, _is_below_grade(building, room), near)


def _is_below_grade(building: Building, room: BuiltRoom) -> bool:
    """Whether a room's floor lies lower than the ground anywhere about the house: it may be a basement."""
    return any(room.floor_z < step.z for facade in building.facades for step in facade.grade)
