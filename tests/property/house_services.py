"""Invented plots, pipes and heaters for the generated houses."""

from __future__ import annotations

from dataclasses import replace
from random import Random
from typing import TypeVar

from service.rules.catalogue import heaters, price_book
from service.survey.equipment import Heater, PriceBook
from service.survey.model import (
    AirInlet,
    Deck,
    Drain,
    InletKind,
    LotLine,
    NeighbourWall,
    Point3,
    Preferences,
    Receptacle,
    Regulator,
    Room,
    Site,
    Storey,
    Survey,
    UnitSystem,
    WaterLine,
    WaterSupply,
    Way,
    WayKind,
)
from tests.property.house_gas import gas_of

GAS_WORKS = {"gas.renew": 3.0, "gas.line_regulator": 2.0, "gas.pressure_change": 1.0}
"""Most that the price of works on old gas piping is of the demo book's."""
SHAKEN_APART = (
    "vent.cold_fitting", "air.transfer_grilles", "air.one_opening", "air.horizontal_ducts", "air.vertical_ducts",
    "air.mechanical", "water.softener", "water.expansion_tank", "water.mixing_valve", "water.drain_pan",
    "vent.roof_penetration", "vent.ss4.roof_terminal", "vent.cc_ss_3_5.roof_terminal",
    "vent.cc_ss_4_6.roof_terminal", "vent.pp3.roof_terminal", "vent.cc_pp_60_100.roof_terminal",
    "vent.cc_pp_80_125.roof_terminal",
    "water.recirculation_pump",
    *(f"water.{material}.{size}.{part}" for material in ("copper_k", "copper_m", "pex", "cpvc")
      for size in ("1/2", "3/4", "1") for part in ("pipe", "elbow")),
    "mount.outdoors",
)  # fmt: skip
"""Keys that came later: their chance is their own, so that the houses of a seed stay what they were."""
RULE_SETS = ("us-2015", "us-2018", "us-2021", "ca-b149")
Box = tuple[int, int, int, int]
T = TypeVar("T")


def with_services(r: Random, name: str, storeys: tuple[Storey, ...]) -> Survey:
    """Storeys with a plot, gas, water, a drain, an outlet and one to three heaters."""
    rooms = storeys[0].rooms
    return Survey(
        name=name,
        units=r.choice((UnitSystem.US, UnitSystem.SI)),
        site=_site(r, _bounds(storeys[0])),
        storeys=storeys,
        gas=gas_of(r, rooms),
        water=_water(name, WaterSupply((_line(r, "cold", r.choice(rooms)),), (_line(r, "hot", r.choice(rooms)),))),
        heaters=_heaters(r),
        prices=_prices(r),
        drains=(Drain("drain", _on_wall(r, r.choice(rooms), r.randint(0, 500))),),
        receptacles=(Receptacle("outlet", _on_wall(r, r.choice(rooms), 300)),),
        preferences=Preferences(alternatives=1),
    )


def _water(name: str, water: WaterSupply) -> WaterSupply:
    """What is known of the water, by a chance of its own: whether it is closed in, and how hot it is set."""
    apart = Random(f"water of {name}")
    known = (None, True, False)
    return replace(
        water,
        check_valve=apart.choice(known),
        reducing_valve=apart.choice(known),
        expansion_tank=apart.choice(known),
        mixing_valve=apart.choice(known),
        setpoint_c=apart.choice((None, 45.0, 55.0, 65.0)),
    )


def _bounds(storey: Storey) -> Box:
    xs, ys = zip(*(p for room in storey.rooms for p in room.outline), strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def box_of(room: Room) -> Box:
    """Bounds of a room in plan [mm]."""
    xs, ys = zip(*room.outline, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def _site(r: Random, house: Box) -> Site:
    x0, y0, x1, y1 = house
    regulator = Regulator("regulator", (r.randint(x0, x1), y0 - 250, 500), r.choice((None, 1700.0, 20_000.0)))
    inlet = AirInlet("inlet", r.choice(tuple(InletKind)), (r.randint(x0, x1), y1 + 200), 300, 700, 900)
    way = Way("way", r.choice(tuple(WayKind)), _rect(x0, y0 - 1500, x1, y0 - 500), -150)
    line = LotLine("line", (x0 - 500, y1 + 1500), (x1 + 500, y1 + 1500))
    wall = NeighbourWall("next door", (x1 + 2000, y1), (x1 + 2000, y0), -150, 5000)
    deck = Deck("deck", _rect(x0, y1 + 200, x0 + 1200, y1 + 1400), 500, 650, r.choice((None, 1, 3)))
    eave = Deck("eave", _rect(x0 - 500, y0 - 700, x1 + 500, y0 - 100), 2700, 2800, None, True, r.choice((None, False)))

    def some(thing: T, share: float) -> tuple[T, ...]:
        return (thing,) if r.random() < share else ()

    return Site(
        rule_set=r.choice(RULE_SETS), fuel="natural_gas", heating_value_j_m3=38.0e6, specific_gravity=0.6,
        altitude_m=0.0, snow_depth_mm=r.choice((0, 0, 300)), winter_design_temperature_c=-5.0,
        grade_z_mm=r.choice((-150, -300, -600)), lot_lines=some(line, 0.3), neighbour_walls=some(wall, 0.3),
        ways=some(way, 0.3), decks=(*some(deck, 0.2), *some(eave, 0.3)), air_inlets=some(inlet, 0.6),
        regulators=some(regulator, 0.6),
    )  # fmt: skip


def _rect(x0: int, y0: int, x1: int, y1: int) -> tuple[tuple[int, int], ...]:
    return (x0, y0), (x1, y0), (x1, y1), (x0, y1)


def _on_wall(r: Random, room: Room, above_floor: int, off: int = 0) -> Point3:
    """A point on one of the room's four walls or ``off`` it into the room [mm]."""
    x0, y0, x1, y1 = box_of(room)
    z = room.floor_z_mm + above_floor
    x, y = r.randint(x0 + 300, x1 - 300), r.randint(y0 + 300, y1 - 300)
    return r.choice(((x, y0 + off, z), (x, y1 - off, z), (x0 + off, y, z), (x1 - off, y, z)))


def _line(r: Random, name: str, room: Room) -> WaterLine:
    """A straight pipe on a wall, level or upright."""
    start = _on_wall(r, room, r.randint(200, 2100), r.choice((0, 0, 40)))
    if r.random() < 0.5:
        other = start[2] + 700 if start[2] - room.floor_z_mm < 1300 else start[2] - 700
        return WaterLine(name, (start, (start[0], start[1], other)), "3/4", "copper")
    x0, y0, x1, y1 = box_of(room)
    on_x = min(start[1] - y0, y1 - start[1]) <= min(start[0] - x0, x1 - start[0])
    end = (r.randint(x0 + 50, x1 - 50), start[1]) if on_x else (start[0], r.randint(y0 + 50, y1 - 50))
    end = end if end != start[:2] else (start[0] + 40 * on_x, start[1] + 40 * (not on_x))
    return WaterLine(name, (start, (*end, start[2])), "3/4", "copper")


def _heaters(r: Random) -> tuple[Heater, ...]:
    burning = sorted((h for h in heaters().values() if "natural_gas" in h.fuels and h.indoors), key=lambda h: h.id)
    chosen = r.sample(burning, r.choice((1, 1, 2, 3)))
    return tuple(_limited(r, h) for h in chosen)


def _limited(r: Random, heater: Heater) -> Heater:
    """The heater as listed, or with a vent so short or so straight that the limit can bind."""
    if r.random() < 0.7:
        return heater
    most = r.choice((3500, 5000, 6500))
    elbows = r.choice((None, 1, 2))
    return replace(heater, vent=replace(heater.vent, max_equivalent_mm=most, max_elbows=elbows))


def _prices(r: Random) -> PriceBook:
    """One of the two demo books, its prices shaken so that no two trades tie by chance; what is done to old gas
    piping from cheap to dear, so that renewing wins in one house and a run from the meter in another."""
    book = price_book(r.choice(("demo", "demo-si")))
    first = [key for key in book.items if key not in SHAKEN_APART]
    shares = {key: r.uniform(0.6, 1.6) for key in first}
    apart = Random(str(shares))
    shares |= {key: apart.uniform(0.6, 1.6) for key in SHAKEN_APART}
    shares |= {key: r.uniform(0.03, most) for key, most in GAS_WORKS.items()}
    items = {key: replace(p, cents=max(1, round(p.cents * shares[key]))) for key, p in book.items.items()}
    if r.random() < 0.04:
        del items["gas.renew"]
    return replace(book, items=items)
