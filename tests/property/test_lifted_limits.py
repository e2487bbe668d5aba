"""Houses where a limit of gas, air, water or power leaves nothing: what is told of it, against the house as it would be
without that limit and against brute force."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

import pytest

from service.building.build import build
from service.check.check import findings
from service.check.gas_sizes import lost
from service.check.gas_tree import Pipe
from service.check.gas_works import remade
from service.design import AirMethod, AirProvision, Finding, Service
from service.piping.options import options_for
from service.settings import Settings
from service.siting.ground import ground_of
from service.siting.lifts import AIR, NEAR_WALL, as_one, whole
from service.siting.zones import Zones
from service.survey.equipment import Heater
from service.survey.model import Circuit, DemandTerms, Fixture, GasMaterial, GasMethod, Survey
from service.survey.roof import Roof, RoofObstruction
from service.usecases import deadlock
from service.usecases.changes import ROOF
from service.usecases.checked import BROKEN
from service.usecases.place import INSPECTOR, place
from service.usecases.results import Deadlock, Status
from tests.once import once
from tests.property import brute_force
from tests.property.brute_force import cheapest, lines_of
from tests.property.brute_pressure import largest_is_cheapest
from tests.property.depth import deep
from tests.property.houses import house
from tests.property.solving import CENT, cost_of, solved

SETTINGS = Settings(solver_seconds=60)
SEEDS = (1, 0, 4, 7)[: deep(3, 2)]
STEEL = GasMaterial.STEEL.value
SMALLER = tuple(f"gas.{size}." for size in ("1/2", "3/4", "1", "1-1/4", "1-1/2"))
Change = Callable[[Survey], Survey]


def _heaters(survey: Survey, change: Callable[[Heater], Heater]) -> Survey:
    return replace(survey, heaters=tuple(map(change, survey.heaters)))


def _draws(survey: Survey, flow_m3_s: float) -> Survey:
    """One shower far from everything, of such a flow."""
    shower = Fixture("all", "shower", flow_m3_s, at=(0, 0, 1000))
    water = replace(survey.water, fixtures=(shower,), demand=DemandTerms(at_once=(("all",),)), inlet_temperature_c=10.0)
    return replace(survey, water=water)


def _too_much(survey: Survey) -> Survey:
    """A flow that no heater warms."""
    return _draws(survey, 0.01)


def _little(survey: Survey) -> Survey:
    """One that any heater warms."""
    return _draws(survey, 0.0001)


def _circuits(survey: Survey, circuit: Circuit) -> Survey:
    return replace(survey, receptacles=tuple(replace(r, circuit=circuit) for r in survey.receptacles))


def _other_voltage(survey: Survey) -> Survey:
    return _circuits(survey, Circuit(voltage_v=240.0, breaker_a=20.0, load_w=0.0, fixed_load_w=0.0, dedicated=True))


def _wide_drain(survey: Survey) -> Survey:
    return _heaters(survey, lambda h: replace(h, condensing=True, drain_size="1"))


def _no_drain_size(survey: Survey) -> Survey:
    return _heaters(survey, lambda h: replace(h, drain_size=None))


def _any_inlet(survey: Survey) -> Survey:
    return _heaters(survey, lambda h: replace(h, gas_inlet_min_pa=0.0, gas_inlet_max_pa=1e6))


def _no_inlet(survey: Survey) -> Survey:
    """Heaters that ask for more pressure than there is."""
    plain = replace(survey.gas, pressure_options=(), method=GasMethod.LONGEST_TABLES)
    low, most = survey.gas.pressure_pa + 10_000, survey.gas.pressure_pa + 20_000
    return _heaters(replace(survey, gas=plain), lambda h: replace(h, gas_inlet_min_pa=low, gas_inlet_max_pa=most))


def _book(survey: Survey, kept: Callable[[str], bool]) -> Survey:
    items = {key: price for key, price in survey.prices.items.items() if kept(key)}
    return replace(survey, prices=replace(survey.prices, items=items))


def _one_gas_size(survey: Survey, drop_pa: float) -> Survey:
    """Only steel of 1/2 in is to be had, old pipe is wide enough for anything, and little pressure may be lost."""
    wide = tuple(replace(s, material=STEEL, size="4", elbows=0, tees=0) for s in survey.gas.segments)
    gas = replace(
        survey.gas, segments=wide, method=GasMethod.LONGEST_EQUATION, pressure_options=(), regulators=(),
        branch_materials=(STEEL,), allowable_drop_pa=drop_pa, pressure_pa=1744.0,
    )  # fmt: skip
    sizes = [f"gas.{size}." for size in ("3/4", "1", "1-1/4", "1-1/2", "2")]
    plain = replace(survey, gas=gas)
    return _book(plain, lambda key: not any(key.startswith(size) for size in sizes))


def _by_pressure(survey: Survey) -> Survey:
    return replace(survey, gas=replace(survey.gas, method=GasMethod.PRESSURE))


def _little_drop(survey: Survey) -> Survey:
    return _one_gas_size(survey, 5.0)


def _large_drop(survey: Survey) -> Survey:
    low = replace(survey, gas=replace(survey.gas, allowable_drop_pa=1500.0))
    return _heaters(low, lambda h: replace(h, gas_inlet_min_pa=0.0))


def _no_pressure(survey: Survey) -> Survey:
    return largest_is_cheapest(survey, 20_000.0)


def _much_pressure(survey: Survey) -> Survey:
    return replace(survey, water=replace(survey.water, static_pressure_pa=500_000.0))


ONE_LIMIT: dict[str, tuple[Change, Change]] = {
    "demand.capacity": (_too_much, _little),
    "power.load": (_other_voltage, lambda s: _circuits(s, Circuit())),
    "CO2": (_wide_drain, _no_drain_size),
    "gas.inlet_low": (_no_inlet, _any_inlet),
    "gas.branch": (_little_drop, _large_drop),
    "gas.pressure_run": (lambda s: _by_pressure(_little_drop(s)), _large_drop),
    "water.pressure": (_no_pressure, _much_pressure),
}
"""What makes a house unlawful by one limit, and what takes the limit away."""


def deadlock_of(survey: Survey) -> Deadlock:
    """What is told of a house where nothing is lawful, but for other changes to it, which take as long to look for."""
    assert solved(survey).designs == []
    found = once(("no changes", survey), lambda: _untangled(survey))
    assert found.complete, found.why
    return found


def _untangled(survey: Survey) -> Deadlock:
    building = build(survey)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(deadlock, "changes", lambda *_: ((), ()))
        zones = Zones(building, survey)
        return deadlock.deadlock(ground_of(survey, building), zones, SETTINGS.solver_seconds, INSPECTOR)


def _cents(survey: Survey) -> float:
    return cost_of(solved(survey)) / CENT


@pytest.mark.slow
@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("limit", ONE_LIMIT)
def test_one_limit_alone(limit: str, seed: int) -> None:
    """It is the one way out and what blocks; the design told costs what the best does in the house without it, and
    brute force, given its lines, finds none there that is cheaper. The checker names just that limit."""
    close, free = ONE_LIMIT[limit]
    shut = close(house(seed))
    freed = free(shut)
    least = _cents(freed)
    found = deadlock_of(shut)
    if least == float("inf"):
        return
    (way,) = found.ways_out
    assert set(way.rules) <= whole({limit})
    assert found.blocking == (limit,)
    assert way.design.total_cents == pytest.approx(least, abs=1)
    brute = cheapest(freed, lines_of(way.design))
    assert brute is None or way.design.total_cents <= brute[0] / CENT + 1
    assert {f.rule_id for f in findings(shut, build(shut), way.design) if f.verdict in BROKEN} == set(way.rules)


def _narrow(survey: Survey, drop_pa: float) -> Survey:
    """Old pipe of 1/2 in that may be renewed up to 2 in, and steel branches, sized by pressure."""
    narrow = tuple(replace(s, material=STEEL, size="1/2", elbows=0, tees=0, fixed=False) for s in survey.gas.segments)
    gas = replace(
        survey.gas, segments=narrow, method=GasMethod.PRESSURE, pressure_options=(), regulators=(),
        branch_materials=(STEEL,), allowable_drop_pa=drop_pa, pressure_pa=1744.0,
    )  # fmt: skip
    return _heaters(replace(survey, gas=gas), lambda h: replace(h, gas_inlet_min_pa=0.0))


def _widest(survey: Survey) -> Survey:
    """No steel but that of 2 in is to be had."""
    return _book(survey, lambda key: not (key.startswith(SMALLER) and key.endswith(".pipe")))


@pytest.mark.parametrize("seed", (2, 7, 0)[: deep(3, 2)])
def test_only_the_widest_pipe_loses_too_much(seed: int) -> None:
    """Where 0.2 Pa may be lost: the checker finds runs that lose more, and none would if pipe of 2 in lost nothing.
    With pressure to spare all costs no more, and with a branch and all old pipe of 2 in no less."""
    survey = _narrow(house(seed), 0.2)
    (way,) = deadlock_of(survey).ways_out
    assert set(way.rules) == {"gas.pressure_run"} == {f.rule_id for f in way.broken}
    ample = _narrow(house(seed), 1500.0)
    renewed = sum(options_for(s, survey.prices)[-1].units(s.length_mm) for s in survey.gas.segments) / CENT
    assert _cents(ample) - 1 <= way.design.total_cents <= _cents(_widest(ample)) + renewed + 1
    route = way.design.route(Service.GAS)
    assert route is not None
    tree = remade(survey, build(survey), way.design, route).tree
    short = tuple(replace(p, pipe=_shrunk(p.pipe)) if p.pipe.size == "2" else p for p in tree.pipes)
    drawn, without = tree.drawn_by_pipe_w(), replace(tree, pipes=short)
    assert any(p.pipe.size == "2" for p in tree.pipes)
    assert all(lost(without, i, drawn, survey.site.gas) <= 0.2 for i in range(len(short)))


def _shrunk(pipe: Pipe) -> Pipe:
    return replace(pipe, length_mm=0, elbows=0, tees=0)


def test_some_of_those_houses_are_lawful_without_it() -> None:
    """Or the test above would say nothing."""
    for close, free in ONE_LIMIT.values():
        assert any(_cents(free(close(house(seed)))) < float("inf") for seed in SEEDS)


@pytest.mark.parametrize("seed", SEEDS)
def test_two_limits_together(seed: int) -> None:
    """Neither alone opens anything, both together do; either blocks alone: a smallest set that blocks has one rule."""
    shut = _too_much(_other_voltage(house(seed)))
    found = deadlock_of(shut)
    least = _cents(_little(_circuits(shut, Circuit())))
    for way in found.ways_out:
        assert {"demand.capacity"} < set(way.rules)
        assert len(found.blocking) == 1
    if least < float("inf"):
        (way,) = found.ways_out
        assert as_one(way.rules) == {"demand.capacity", "power.load"}
        assert way.design.total_cents == pytest.approx(least, abs=1)
    for half in (_little(shut), _circuits(shut, Circuit())):
        assert solved(half).designs == []


def _without_air(seed: int) -> Survey:
    """A tight house whose heaters burn its air, and no way to bring any in that the book prices."""
    survey = house(seed)
    burning = tuple(h for h in survey.heaters if h.draft == "room_air")
    items = {key: p for key, p in survey.prices.items.items() if not key.startswith("air.")}
    site = replace(survey.site, tight=True, air_changes_per_h=None)
    return replace(survey, heaters=burning, site=site, prices=replace(survey.prices, items=items))


AIRLESS = tuple(s for s in range(40) if any(h.draft == "room_air" for h in house(s).heaters))[: deep(3, 2)]


@pytest.mark.parametrize("seed", AIRLESS)
def test_air_that_lacks(monkeypatch: pytest.MonkeyPatch, seed: int) -> None:
    """Brute force that asks for no air finds none cheaper, and something wherever a way out is told."""
    shut = _without_air(seed)
    found = deadlock_of(shut)

    def not_of_air(told: Iterable[Finding]) -> list[Finding]:
        wrong = [f for f in told if f.verdict in BROKEN and not f.rule_id.startswith("price.")]
        return [f for f in wrong if f.rule_id not in AIR]

    nothing = (0, AirProvision(AirMethod.STANDARD, ()))
    monkeypatch.setattr(brute_force, "broken", not_of_air)
    monkeypatch.setattr(brute_force, "cheapest_air", lambda *_: nothing)
    alone = [w for w in found.ways_out if set(w.rules) <= AIR]
    brute = cheapest(shut, lines_of(alone[0].design) if alone else ())
    assert alone or brute is None
    for way in alone:
        assert brute is not None
        assert way.design.total_cents * CENT <= brute[0] + CENT


def test_air_lacks_in_some_house() -> None:
    """Or the test above would say nothing; the volume that lacks, or that none would do, is told."""
    every = [w for seed in AIRLESS for w in deadlock_of(_without_air(seed)).ways_out]
    assert any(set(w.rules) <= AIR for w in every)
    told = [str(f.detail) for w in every for f in w.broken if f.rule_id in AIR]
    assert all("m3" in detail or "lawful" in detail or "method" in detail for detail in told)


def _walled(survey: Survey) -> Survey:
    """A flat roof with posts all over it that stand high over it, so that each place is near one."""
    xs, ys = zip(*(p for s in survey.storeys for room in s.rooms for p in room.outline), strict=True)
    places = [(x, y) for x in range(min(xs), max(xs), 1500) for y in range(min(ys), max(ys), 1500)]
    posts = [((x, y), (x + 10, y), (x + 10, y + 10), (x, y + 10)) for x, y in places]
    return replace(survey, roof=Roof(obstructions=tuple(RoofObstruction(f"{p[0]}", p, 12_000) for p in posts)))


@pytest.mark.slow
@pytest.mark.parametrize("seed", (0,))
def test_a_wall_that_stands_over_the_roof(seed: int) -> None:
    """Deep snow closes all facades: a design over the roof is told, as it is without the posts, and by how much its end
    is too low beside them."""
    plain = house(seed)
    few = tuple(h for h in plain.heaters if h.id in ("co-direct-120", "nc-direct-120"))
    survey = replace(plain, heaters=few, site=replace(plain.site, snow_depth_mm=4000))
    flat, walled = replace(survey, roof=Roof()), _walled(survey)
    assert cost_of(solved(survey)) == cost_of(solved(walled)) == float("inf")
    (way,) = (w for w in deadlock_of(walled).ways_out if as_one(w.rules) == {NEAR_WALL})
    assert way.design.total_cents == pytest.approx(_cents(flat), abs=1)
    assert all((f.actual_mm or 0) < (f.required_mm or 0) for f in way.broken)
    told = place(survey, SETTINGS)
    assert told.status is Status.INFEASIBLE and told.deadlock is not None
    changes = {c.what: c.design.total_cents for c in told.deadlock.changes}
    assert changes[ROOF] == pytest.approx(_cents(flat), abs=1)
