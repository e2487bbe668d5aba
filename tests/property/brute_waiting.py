"""A price on waiting for hot water in generated houses, by walking their one hot pipe millimetre by millimetre."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from random import Random

from service.design import Design, Service
from service.rules.tables import table
from service.survey.equipment import MONEY_SCALE
from service.survey.model import Fixture, Point3, Survey
from tests.property.brute_routes import Rates

BORES_MM = {"1/2": 0.545 * 25.4, "3/4": 0.785 * 25.4, "1": 1.025 * 25.4}
"""New branches are of type L copper (ASTM B88)."""
WIDEST_MM = {"1/2": 0.569 * 25.4, "3/4": 0.811 * 25.4, "1": 1.055 * 25.4}
"""Old copper of a type not told may be type M (ASTM B88)."""
CONNECTION_MM = 300
GPM = 3.785411784e-3 / 60


def priced_house(survey: Survey, seed: int) -> Survey:
    """A house with two to four fixtures and a price of 0.20 to 50.00 a second; the same for the same seed."""
    r = Random(seed)
    rooms = [(room, s) for s in survey.storeys for room in s.rooms]
    fixtures = []
    for i in range(r.randint(2, 4)):
        room, storey = r.choice(rooms)
        xs, ys = zip(*room.outline, strict=True)
        at = (r.randint(min(xs), max(xs)), r.randint(min(ys), max(ys)), storey.floor_z_mm + r.randint(500, 2000))
        fixtures.append(Fixture(f"tap-{i}", "shower", r.uniform(0.5, 3) * GPM, r.choice((1, 1, 2)), at=at))
    wishes = replace(survey.preferences, waiting_cents_per_s=r.choice((20, 200, 1000, 5000)))
    return replace(survey, water=replace(survey.water, fixtures=tuple(fixtures)), preferences=wishes)


def _purge_units(survey: Survey, fixture: Fixture, bore_mm: float) -> int:
    """Whole money units that a millimetre of pipe adds by one fixture, at its share of the price."""
    whole = sum(f.count for f in survey.water.fixtures)
    price = (survey.preferences.waiting_cents_per_s or 0) * MONEY_SCALE * fixture.count / whole
    volume_m3 = 3.141592653589793 / 4 * (bore_mm / 1000) ** 2 / 1000
    return round(price * (volume_m3 * table("waiting").constant("mixing") / fixture.flow_m3_s))


def branch_rate(survey: Survey, size: str) -> int:
    """Money units a millimetre of new branch."""
    return sum(_purge_units(survey, f, BORES_MM[size]) for f in survey.water.fixtures)


def dearer(survey: Survey, price: Rates, size: str) -> Rates:
    """What a hot run pays with its waiting."""
    return replace(price, per_mm=price.per_mm + branch_rate(survey, size)) if _is_priced(survey) else price


def _is_priced(survey: Survey) -> bool:
    return bool(survey.preferences.waiting_cents_per_s)


@cache
def _walk(points: tuple[Point3, ...]) -> list[Point3]:
    """Every whole millimetre of a pipe along the axes."""
    out = [points[0]]
    for a, b in zip(points, points[1:], strict=False):
        while out[-1] != b:
            x, y, z = (p + (q > p) - (q < p) for p, q in zip(out[-1], b, strict=True))
            out.append((x, y, z))
        assert sum(p != q for p, q in zip(a, b, strict=True)) == 1
    return out


def _apart(a: Point3, b: Point3) -> int:
    return sum(abs(p - q) for p, q in zip(a, b, strict=True))


def tap_units(survey: Survey, tap: Point3) -> int:
    """Money units of the old pipe between a tap and all fixtures."""
    (line,) = survey.water.hot
    places = _walk(line.points)
    at = places.index(tap)
    tees = [(f, min(range(len(places)), key=lambda i: (_apart(places[i], f.at), i))) for f in survey.water.fixtures]
    return sum(_purge_units(survey, f, WIDEST_MM[line.size]) * abs(tee - at) for f, tee in tees)


def standing_units(survey: Survey, size: str) -> int:
    """Money units of what no place of the heater changes."""
    (line,) = survey.water.hot
    places, price = _walk(line.points), survey.preferences.waiting_cents_per_s or 0
    whole = sum(f.count for f in survey.water.fixtures)
    total = CONNECTION_MM * branch_rate(survey, size)
    for f in survey.water.fixtures:
        total += _purge_units(survey, f, WIDEST_MM["1/2"]) * min(_apart(p, f.at) for p in places)
        total += round(price * MONEY_SCALE * f.count / whole * table("waiting").constant("ignition"))
    return total


def weighed_units(survey: Survey, design: Design) -> int:
    """Money units that a design's waiting weighs; nought without a price."""
    route = design.route(Service.HOT)
    if not _is_priced(survey) or route is None:
        return 0
    run = branch_rate(survey, route.option) * sum(_apart(p.start, p.end) for p in route.pieces)
    return run + tap_units(survey, route.pieces[-1].end) + standing_units(survey, route.option)
