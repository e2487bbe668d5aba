"""Fronts of cost against waiting and margin: every other lawful design is no cheaper than theirs, up to the step."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from functools import cache, partial

import pytest

from service.building.build import build
from service.building.model import Building
from service.check.check import findings
from service.check.pressure import pressure_findings
from service.design import Design, Finding, Mount, Verdict
from service.rules.rule import RELATIONS
from service.rules.rulesets import rule_set, rule_set_ids
from service.settings import Settings
from service.survey.equipment import MONEY_SCALE, Heater
from service.survey.explain import Explain, TradeOff
from service.survey.model import Amendment, Figure, Survey, UnitSystem
from service.usecases.checked import BROKEN
from service.usecases.explain_results import Compared, Front
from service.usecases.fronts import FAR
from service.usecases.margin import FARTHEST_MM, margin_mm, with_spare
from service.usecases.place import place
from service.usecases.waiting_report import waiting_report
from tests.once import placed
from tests.property import brute_pressure
from tests.property.brute_force import cheapest, lines_of
from tests.property.brute_pressure import pressed_house
from tests.property.brute_waiting import priced_house
from tests.property.depth import deep
from tests.property.houses import house
from tests.property.solving import cost_of, solved

SETTINGS = Settings(solver_seconds=60)
SEEDS = (2, 4, 5, 7, 6, 8, 9)[: deep(2, 1)]
PRESSED = (1018, 1028, 1016, 1015, 1031, 1054)[: deep(2, 1)]
"""Seeds of houses, a thousand more, in which water pressure limits the hot run besides."""
STEP_S, STEP_MM = 3.0, 200
PRICES_CENTS = (1, 100, 300, 1000, 4000, 20000)


@cache
def survey_of(seed: int) -> Survey:
    """A house with fixtures that asks for its fronts; no price on waiting, water pressure told in some."""
    is_pressed = seed in PRESSED
    survey = pressed_house(house(seed - 1000), seed - 1000) if is_pressed else priced_house(house(seed), seed)
    kinds = (TradeOff.WAITING,) if is_pressed else tuple(TradeOff)
    asked = Explain(trade_offs=kinds, waiting_step_s=STEP_S, margin_step_mm=STEP_MM)
    wishes = replace(survey.preferences, waiting_cents_per_s=None)
    return replace(survey, explain=asked, preferences=wishes)


@cache
def fronts_of(seed: int) -> dict[TradeOff, Front]:
    """What is told of it."""
    told = placed(survey_of(seed), SETTINGS).explained
    assert told is not None
    return {front.kind: front for front in told.trade_offs}


def wait_s(survey: Survey, design: Design) -> float:
    """Mean wait of a design [s]."""
    report = waiting_report(survey, build(survey), design)
    assert report is not None and report.mean_s is not None
    return report.mean_s


def others(seed: int) -> Iterator[tuple[int, Design]]:
    """Lawful designs that no front was made of, with cost [money units]: the optimum at many prices of waiting, and
    what brute force finds on walls taken at random, on its own grid and on one with the lines of the fronts."""
    survey = survey_of(seed)
    for cents in PRICES_CENTS:
        outcome = solved(replace(survey, preferences=replace(survey.preferences, waiting_cents_per_s=cents)))
        for design in outcome.designs:
            yield design.total_cents * MONEY_SCALE, design
    lines = [line for front in fronts_of(seed).values() for c in front.designs for line in lines_of(c.checked.design)]
    faces = sorted({f.id for f in build(survey).faces})
    for face in random.Random(seed).sample(faces, min(3, len(faces))):
        for also in ((), lines[:60]):
            if (brute := cheapest(survey, also, partial(_hangs, face))) is not None:
                yield brute


def _hangs(face_id: str, _heater: Heater, mount: Mount) -> bool:
    return mount.face_id == face_id


@pytest.mark.slow
@pytest.mark.parametrize("seed", (*SEEDS, *PRESSED))
def test_no_other_design_is_beyond_a_front(seed: int) -> None:
    """Of each other lawful design there is one of the front that costs no more and is worse by less than a step."""
    survey, fronts = survey_of(seed), fronts_of(seed)
    building = build(survey)
    waits = [(c.checked.design.total_cents, c.mean_wait_s or 0) for c in fronts[TradeOff.WAITING].designs]
    both = TradeOff.MARGIN in fronts
    margins = [(c.checked.design.total_cents, c.margin_mm) for c in fronts[TradeOff.MARGIN].designs] if both else []
    known = {kind: front.complete or front.why == FAR for kind, front in fronts.items()}
    for units, design in others(seed):
        wait, margin = wait_s(survey, design), margin_mm(survey, building, design)
        cents = units / MONEY_SCALE + 1
        if known[TradeOff.WAITING] or wait > waits[-1][1]:
            assert any(c <= cents and w < wait + STEP_S for c, w in waits), (design.mount, cents, wait)
        if both and (known[TradeOff.MARGIN] or margin < margins[-1][1]):
            assert any(c <= cents and m > margin - STEP_MM for c, m in margins), (design.mount, cents, margin)


@pytest.mark.slow
@pytest.mark.parametrize("seed", (*SEEDS, *PRESSED))
def test_fronts_rise_and_begin_with_the_cheapest(seed: int) -> None:
    """Each design costs more and is better by a step at least; the first costs what the cheapest does; all lawful."""
    survey = survey_of(seed)
    building, best = build(survey), solved(survey)
    for kind, front in fronts_of(seed).items():
        costs = [c.checked.design.total_cents for c in front.designs]
        values = [-(c.mean_wait_s or 0) if kind is TradeOff.WAITING else c.margin_mm for c in front.designs]
        assert [c.checked.design.total_cents * MONEY_SCALE for c in front.designs][:1] == [
            pytest.approx(cost_of(best), abs=MONEY_SCALE) for _ in best.designs
        ]
        assert all(a < b for a, b in zip(costs, costs[1:], strict=False))
        assert all(b - a >= front.step - 1e-6 for a, b in zip(values, values[1:], strict=False))
        for told in front.designs:
            found = findings(survey, building, told.checked.design)
            assert [f for f in found if f.verdict in BROKEN] == []


@pytest.mark.slow
@pytest.mark.parametrize("seed", PRESSED)
def test_brute_force_with_both_limits_finds_nothing_cheaper(monkeypatch: pytest.MonkeyPatch, seed: int) -> None:
    """Pairs of water runs at every place of a grid with the front's lines, judged by the checker's pressure and wait:
    none that waits no longer than a design of the front costs less than the next one told."""
    survey, front = survey_of(seed), fronts_of(seed)[TradeOff.WAITING]
    for told, limit_s in _limits(front)[:3]:
        monkeypatch.setattr(brute_pressure, "pressure_findings", partial(_with_wait, limit_s))
        brute = cheapest(survey, lines_of(told.checked.design))
        assert brute is not None  # the design told is one
        assert wait_s(survey, brute[1]) <= limit_s + 1e-6
        assert told.checked.design.total_cents <= brute[0] / MONEY_SCALE + 1


def _limits(front: Front) -> list[tuple[Compared, float]]:
    """Designs after the first, each with the longest wait that it was looked for under [s]."""
    pairs = zip(front.designs, front.designs[1:], strict=False)
    return [(after, (before.mean_wait_s or 0) - front.step) for before, after in pairs]


def _with_wait(limit_s: float, survey: Survey, building: Building, design: Design) -> tuple[Finding, ...]:
    found = pressure_findings(survey, building, design)
    report = waiting_report(survey, building, design)
    assert report is not None and report.mean_s is not None
    if report.mean_s <= limit_s:
        return found
    return (*found, Finding("wait", Verdict.FAIL, "hot", "mean", f"{report.mean_s:.2f} s"))


def test_fronts_say_where_limits_decide() -> None:
    """Of a front of waiting all designs but the first are at a limit on the hot run, so it is of the network alone."""
    for seed in SEEDS:
        front = fronts_of(seed)[TradeOff.WAITING]
        assert front.network_only or len(front.designs) < 2


def test_houses_have_fronts() -> None:
    """Most fronts of houses with a lawful place have several designs, or the tests here would say little."""
    lengths = [len(front.designs) for seed in SEEDS for front in fronts_of(seed).values() if front.designs]
    assert sum(n > 1 for n in lengths) >= len(lengths) / 2


@pytest.mark.parametrize("name", rule_set_ids())
@pytest.mark.parametrize("units", list(UnitSystem))
def test_room_to_spare_is_an_amendment_of_every_figure(name: str, units: UnitSystem) -> None:
    """The same distances come of amending each figure of each rule by hand."""
    rules = rule_set(name)
    plain = {s.rule.id: s for s in rules.sized(units)}
    changes = []
    for rule in rules.rules:
        told = [f for f in Figure if RELATIONS[rule.relation] and getattr(rule, f) is not None]
        told += [f for f in Figure if f in RELATIONS[rule.relation] and f not in told]
        changes += [Amendment(rule.id, getattr(plain[rule.id], f"{f}_mm") + 70, "", figure=f) for f in told]
    spared, amended = rules.sized(units, spare_mm=70), rules.sized(units, changes)
    figures = [f"{f}_mm" for f in Figure]
    assert [[getattr(s, f) for f in figures] for s in spared] == [[getattr(s, f) for f in figures] for s in amended]


@pytest.mark.parametrize("seed", SEEDS)
def test_a_margin_is_the_most_that_the_checker_passes(seed: int) -> None:
    """With just so much to spare the terminal passes, with a millimetre more it does not."""
    survey = survey_of(seed)
    building = build(survey)
    for told in fronts_of(seed)[TradeOff.MARGIN].designs:
        design, margin = told.checked.design, told.margin_mm
        assert not _broken(with_spare(survey, margin), design)
        assert margin == FARTHEST_MM or _broken(with_spare(survey, margin + 1), design)
        assert margin == margin_mm(survey, building, design)


def _broken(survey: Survey, design: Design) -> list[str]:
    found = findings(survey, build(survey), design)
    return [f.rule_id for f in found if f.verdict in BROKEN and f.subject in ("terminal", "intake")]


def test_an_asked_step_is_held() -> None:
    """Twice the step gives no more designs."""
    survey = survey_of(SEEDS[0])
    wide = place(replace(survey, explain=replace(survey.explain, waiting_step_s=2 * STEP_S)), SETTINGS).explained
    assert wide is not None
    assert len(wide.trade_offs[0].designs) <= len(fronts_of(SEEDS[0])[TradeOff.WAITING].designs)
