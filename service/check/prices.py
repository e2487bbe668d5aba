"""Whether the bill says what the drawing says: quantities taken again from the runs, every line added again."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from math import hypot

from service.building.model import Building
from service.check.gas_works import joined_option, split_option
from service.check.intake import leaves_from
from service.check.place import rooms_of
from service.check.routes import elbows_of, face_of
from service.check.vent import jog_mm
from service.check.verdicts import all_of, stated
from service.design import CostLine, Design, Finding, Piece, Route, Service, Surface
from service.survey.equipment import MONEY_SCALE, Per, PriceBook
from service.survey.model import GasMaterial, GasSupply, RoomUse, Survey
from service.trades.air import price_keys
from service.trades.freeze import COLD_KEY
from service.trades.power_options import CORDS, PowerOption

HALF_MM_PER = {Per.METRE: 0.5 / 1000, Per.FOOT: 0.5 / 304.8, Per.EACH: 0.0}
"""Quantities are whole millimetres or items; a stated one is right if it rounds to the same."""
MM_PER = {Per.METRE: 1000.0, Per.FOOT: 304.8, Per.EACH: 1.0}
FINISHED = (Surface.WALL_FINISHED, Surface.CEILING_FINISHED)


@dataclass(frozen=True, slots=True)
class _Stem:
    """How the keys of one service begin: pipe and elbows by size, crossings by trade."""

    sized: str
    trade: str
    run: str
    elbow: str | None
    access: str


def price_findings(survey: Survey, building: Building, design: Design) -> tuple[Finding, ...]:
    """Findings on the cost lines and the total of a design."""
    book, heater = survey.prices, design.heater
    wanted = quantities(survey, building, design)
    cite = f"price book {book.id}"
    exact = [_units(book, design, key, n) for key, n in wanted.items() if _known(book, design, key)]
    total = design.total_cents * MONEY_SCALE
    return (
        *all_of("price.lines", "cost", heater.id, _missing_and_extra(design, wanted), "none missing, none extra", cite),
        *all_of("price.quantity", "cost", heater.id, _wrong_quantities(survey, design, wanted), "as drawn", cite),
        *all_of("price.unit", "cost", heater.id, _wrong_prices(survey, design), "as in the price book", cite),
        *all_of("price.amount", "cost", heater.id, _wrong_amounts(design), "quantity x unit price", cite),
        stated(
            "price.total", "cost", heater.id, 2 * abs(total - sum(exact)) <= MONEY_SCALE,
            f"{design.total_cents} cents stated, {sum(exact) / MONEY_SCALE:.4f} computed", cite,
        ),
        stated(
            "price.sum", "cost", heater.id, sum(line.amount_cents for line in design.lines) == design.total_cents,
            f"lines add up to {sum(line.amount_cents for line in design.lines)} cents", cite,
        ),
    )  # fmt: skip


def quantities(survey: Survey, building: Building, design: Design) -> dict[str, int]:
    """What a design uses, by price key: whole millimetres of run, items of everything else; no zeros."""
    count: Counter[str] = Counter()
    for route in design.routes:
        if route.pieces:
            count.update(_of_route(route))
    count.update(_of_heater(building, design))
    count.update(_of_intake(building, design))
    count.subtract(shared_holes(design))
    count.update(_of_works(survey.gas, design))
    count.update(item.price_key for item in set(design.water_items) if item.price_key in survey.prices.items)
    count[COLD_KEY] = int(design.cold_fitting and COLD_KEY in survey.prices.items)
    return {key: n for key, n in sorted(count.items()) if n}


def _of_heater(building: Building, design: Design) -> dict[str, int]:
    face = face_of(building, design)
    garage = face is not None and building.room(face.room_id).use is RoomUse.GARAGE
    return {
        f"heater.{design.heater.id}": 1,
        "mount.hang": 1,
        "mount.outdoors": int(design.outdoors),
        "mount.garage_guard": int(garage),
        **_of_air(design),
        "gas.meter_upgrade": int(design.meter_upgrade),
        "drain.neutraliser": int(design.heater.condensing and _has(design, Service.DRAIN)),
    }


def _of_intake(building: Building, design: Design) -> dict[str, int]:
    """The second pipe of a twin-pipe vent: as long as the first and on along the wall, through holes of its own."""
    vent = next((r for r in design.routes if r.service is Service.VENT and r.pieces), None)
    if design.heater.vent.intake is None or vent is None:
        return {}
    jog, passed = jog_mm(design), Counter(p.surface for p in vent.pieces)
    rooms = rooms_of(building, leaves_from(building, design, vent))
    return {
        f"vent.{vent.option}.intake_pipe": sum(_length(p) for p in vent.pieces) + jog,
        f"vent.{vent.option}.intake_elbow": elbows_of(vent) + 2,
        f"vent.{vent.option}.intake_terminal": 1,
        "vent.outer_wall": passed[Surface.OUTER_WALL],
        "vent.wall_crossing": passed[Surface.WALL_CROSSING],
        "vent.floor_crossing": passed[Surface.FLOOR_CROSSING],
        "access.vent.finished": jog if any(r.finished for r in rooms) else 0,
    }


def _of_air(design: Design) -> dict[str, int]:
    """What is bought for combustion air; a design that tells no more makes two openings or none."""
    if design.air is None:
        return {"air.openings": int(design.air_openings)}
    return dict(Counter(price_keys(design.air)))


def _of_works(gas: GasSupply, design: Design) -> Counter[str]:
    """Renewed gas pipe by the metre, and what is bought once. New pipe in a new place has nothing to take out."""
    works, segments = design.gas, {s.id: s for s in gas.segments}
    count: Counter[str] = Counter({
        "gas.line_regulator": works.line_regulators,
        "gas.pressure_change": int(works.pressure_option is not None),
        "gas.service_regulator": int(works.service_regulator),
    })  # fmt: skip
    for renewal in works.renewals:
        old = segments.get(renewal.segment_id)
        count[f"gas.{joined_option(renewal.material, renewal.size)}.pipe"] += renewal.length_mm
        count["access.pipe.finished"] += renewal.length_mm if old is not None and old.finished else 0
        count["gas.renew"] += int(old is None or old.size is not None)
    return count


def shared_holes(design: Design) -> Counter[str]:
    """Holes of a design's runs that it says several heaters pay for together, by price key; one that it has not, or
    that is a vent's, counts for nothing."""
    told = {(s.service, s.surface, frozenset((s.start, s.end))) for s in design.sleeves}
    trade = {Service.COLD: "water", Service.HOT: "water"}
    return Counter(
        f"{trade.get(r.service, r.service.value)}.{p.surface.value}"
        for r in design.routes
        for p in r.pieces
        if r.service is not Service.VENT
        and p.surface in (Surface.WALL_CROSSING, Surface.FLOOR_CROSSING)
        and (r.service, p.surface, frozenset((p.start, p.end))) in told
    )


def _has(design: Design, service: Service) -> bool:
    return any(r.service is service and r.pieces for r in design.routes)


def _of_route(route: Route) -> Counter[str]:
    stem, surfaces = _stem(route), Counter(p.surface for p in route.pieces)
    count: Counter[str] = Counter({f"{stem.sized}.{stem.run}": sum(_length(p) for p in route.pieces)})
    if stem.elbow:
        count[f"{stem.sized}.{stem.elbow}"] += elbows_of(route)
    count[f"{stem.trade}.floor_crossing"] += surfaces[Surface.FLOOR_CROSSING]
    outer = f"{stem.trade}.outer_wall" if route.service is Service.VENT else f"{stem.trade}.wall_crossing"
    count[outer] += surfaces[Surface.OUTER_WALL]
    count[f"{stem.trade}.wall_crossing"] += surfaces[Surface.WALL_CROSSING]
    count["vent.roof_penetration"] += surfaces[Surface.ROOF]
    count[stem.access] += sum(_length(p) for p in route.pieces if p.surface in FINISHED and stem.run != "cord")
    count.update(_fittings(route))
    return count


def _stem(route: Route) -> _Stem:
    if route.service is Service.VENT:
        return _Stem(f"vent.{route.option}", "vent", "pipe", "elbow", "access.vent.finished")
    if route.service is Service.POWER:
        return _Stem("power", "power", "cord" if route.option in CORDS else "cable", None, "access.cable.finished")
    if route.service is Service.DRAIN:
        return _Stem("drain", "drain", "pipe", "elbow", "access.pipe.finished")
    trade = "gas" if route.service is Service.GAS else "water"
    bends = route.service is Service.GAS and split_option(route.option)[0] == GasMaterial.CSST
    return _Stem(f"{trade}.{route.option}", trade, "pipe", None if bends else "elbow", "access.pipe.finished")


def _fittings(route: Route) -> dict[str, int]:
    """What each run has once."""
    return {
        Service.VENT: {f"vent.{route.option}.{_terminal(route)}": 1},
        Service.GAS: {"gas.tap": 1, "gas.connection": 1},
        Service.COLD: {"water.tap": 1, "water.connection": 1},
        Service.HOT: {"water.tap": 1, "water.connection": 1},
        Service.DRAIN: {"drain.connection": 1, "drain.pump": int(route.pumped)},
        Service.POWER: _of_power(route.option),
    }[route.service]


def _of_power(option: str) -> dict[str, int]:
    """What is bought at the heater or at the outlet; a run of no known option ends in a new outlet."""
    plugged, wired = option in CORDS, option.startswith("wired")
    return {
        "power.plug_in": int(plugged),
        "power.gfci_receptacle": int(option == PowerOption.CORD_GFCI),
        "power.hard_wire": int(wired),
        "power.disconnect": int(wired and "switch" in option),
        "power.gfci_breaker": int(wired and option.endswith("gfci")),
        "power.receptacle": int(not plugged and not wired),
    }


def _terminal(route: Route) -> str:
    """Word of the key of what the run ends in."""
    return "roof_terminal" if any(p.surface is Surface.ROOF for p in route.pieces) else "terminal"


def _length(piece: Piece) -> int:
    """Length of a piece, measured here once more [mm]."""
    return round(hypot(*(b - a for a, b in zip(piece.start, piece.end, strict=True))))


def _known(book: PriceBook, design: Design, key: str) -> bool:
    return key in book.items or key == f"heater.{design.heater.id}"


def _cents(book: PriceBook, design: Design, key: str) -> int:
    return design.heater.price_cents if key == f"heater.{design.heater.id}" else book[key].cents


def _per(book: PriceBook, design: Design, key: str) -> Per:
    return Per.EACH if key == f"heater.{design.heater.id}" else book[key].per


def _units(book: PriceBook, design: Design, key: str, n: int) -> int:
    """Exact money of a quantity [1 / MONEY_SCALE cent]."""
    if _per(book, design, key) is Per.EACH:
        return n * _cents(book, design, key) * MONEY_SCALE
    return n * book[key].units_per_mm


def _missing_and_extra(design: Design, wanted: dict[str, int]) -> list[str]:
    given = Counter(line.key for line in design.lines)
    faults = [f"no line for {key}" for key in wanted if key not in given]
    faults += [f"line {x.key} has nothing in the drawing" for x in design.lines if x.key not in wanted and x.quantity]
    return faults + [f"line {key} stands {n} times" for key, n in sorted(given.items()) if n > 1]


def _priced(survey: Survey, design: Design) -> list[CostLine]:
    return [line for line in design.lines if _known(survey.prices, design, line.key)]


def _wrong_quantities(survey: Survey, design: Design, wanted: dict[str, int]) -> list[str]:
    faults = []
    for line in _priced(survey, design):
        per = _per(survey.prices, design, line.key)
        expected = wanted.get(line.key, 0) / MM_PER[per]
        if line.key in wanted and abs(line.quantity - expected) > HALF_MM_PER[per]:
            faults.append(f"{line.key}: {line.quantity} {line.per} stated, {expected} drawn")
    return faults


def _wrong_prices(survey: Survey, design: Design) -> list[str]:
    book = survey.prices
    faults = [f"{x.key} is not in the price book" for x in design.lines if not _known(book, design, x.key)]
    for line in _priced(survey, design):
        cents, per = _cents(book, design, line.key), _per(book, design, line.key)
        if (line.unit_price_cents, line.per) != (cents, per):
            faults.append(f"{line.key}: {line.unit_price_cents} a {line.per} stated, {cents} a {per} in the book")
    return faults


def _wrong_amounts(design: Design) -> list[str]:
    """Lines are rounded so that they add up to the rounded total: each may be off by a cent.

    A stated length is taken as the whole millimetres it was rounded from.
    """
    return [
        f"{x.key}: {x.quantity} x {x.unit_price_cents} is not {x.amount_cents}"
        for x in design.lines
        if x.per in MM_PER and abs(x.amount_cents - _exact_quantity(x) * x.unit_price_cents) > 1
    ]


def _exact_quantity(line: CostLine) -> float:
    per = MM_PER[Per(line.per)]
    return round(line.quantity * per) / per
