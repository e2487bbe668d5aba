"""Certificates of generated houses: confirmed as they are, refused with any figure changed or for any dearer design.

The re-check is the other method here: it shares neither network nor prices nor shortest paths nor gas sizes with the
search. What it must not do is pass a certificate that is false, so false ones are made: the proof of the second
cheapest design, every figure changed and the digests written anew.
"""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterator
from copy import deepcopy
from dataclasses import replace
from functools import cache
from random import Random
from typing import Any

import pytest

from service.app import real_operations
from service.building.build import build
from service.http import exchange
from service.http.certificate_json import digests_of
from service.rules.rulesets import rule_set
from service.settings import Settings
from service.siting import regions
from service.siting.certify import certificate_of
from service.siting.ground import ground_of
from service.siting.outcome import Outcome
from service.siting.search import search
from service.siting.zones import Zones
from service.survey.intake_listing import LengthBasis
from service.survey.model import Survey
from service.verify.certificate import Recheck
from service.verify.results import Outcome as Came
from service.verify.results import Step
from tests.once import once
from tests.property.brute_force import cheapest, lines_of
from tests.property.brute_pressure import pressed_house
from tests.property.brute_waiting import priced_house
from tests.property.depth import deep
from tests.property.houses import house
from tests.property.outdoor_houses import outdoor_house
from tests.property.roofs import roofed
from tests.property.solving import SECONDS
from tests.property.twins import with_twins
from tests.scenarios.scenarios import document

Json = dict[str, Any]
Path = tuple[str | int, ...]
SEEDS = (*range(deep(3, 1)), 10)
"""The last one's gas pipe is sized by pressure."""
KINDS: dict[str, Callable[[int], Survey]] = {
    "roofed": roofed,
    "outdoors": outdoor_house,
    "twin": lambda seed: with_twins(house(7000 + seed), tuple(LengthBasis)[seed % len(LengthBasis)]),
    "waiting": lambda seed: priced_house(house(seed), seed),
    "pressed": lambda seed: pressed_house(house(seed), seed),
}
CHANGED = deep(10, 5)


@pytest.fixture(autouse=True)
def _parts(monkeypatch: pytest.MonkeyPatch) -> None:
    """Small lattices too are cut to their parts, as those of real houses are."""
    monkeypatch.setattr(regions, "SMALL_STATES", 0)


def searched(survey: Survey, count: int = 1) -> Outcome:
    """Cheapest designs, searched for in such parts once a run."""
    return once(("searched in parts", survey, count), lambda: _searched(survey, count))


def _searched(survey: Survey, count: int) -> Outcome:
    building = build(survey)
    ground = ground_of(survey, building)
    return search(ground, Zones(building, survey), count, time.monotonic() + SECONDS)


def rechecked(survey: Survey, outcome: Outcome) -> list[Step]:
    """Steps of the re-check of the first design's certificate."""
    building = build(survey)
    ground = ground_of(survey, building)
    certificate = certificate_of(ground, Zones(building, survey), outcome, SECONDS)
    assert certificate is not None
    return list(Recheck(Zones(building, survey), outcome.designs[0], certificate).steps())


def open_steps(survey: Survey) -> list[Step] | None:
    """Steps that are not confirmed, of a generated house; None where nothing is lawful."""
    outcome = searched(survey)
    return [s for s in rechecked(survey, outcome) if s.outcome is not Came.CONFIRMED] if outcome.designs else None


@pytest.mark.parametrize("seed", SEEDS)
def test_proofs_of_houses_are_confirmed(seed: int) -> None:
    """Two codes come to the same figures in every house, by every method of sizing gas pipe."""
    assert not open_steps(house(seed))


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
def test_proofs_of_other_houses_are_confirmed(kind: str) -> None:
    """With roofs, outdoors, twin pipe, priced waiting; where water pressure binds a bound may not suffice."""
    proven = 0
    for seed in (1, 2, 0, *range(3, deep(3)))[: deep(3, 2)]:
        survey = KINDS[kind](seed)
        found = open_steps(survey)
        if found is None:
            continue
        assert [s for s in found if s.outcome is Came.REFUSED] == [], (kind, seed)
        assert not found or kind == "pressed", (kind, seed)
        proven += not found
    assert proven


@pytest.mark.slow
@pytest.mark.parametrize("seed", SEEDS)
def test_brute_force_is_nowhere_below_a_bound(seed: int) -> None:
    """The cheapest that brute force finds by the checker alone, on a grid that holds the answer's own lines, costs no
    less than is told of its heater on its wall, and none of its runs less than is told of them."""
    survey, outcome = house(seed), searched(house(seed))
    if not outcome.designs:
        pytest.skip("nothing lawful")
    building = build(survey)
    ground = ground_of(survey, building)
    certificate = certificate_of(ground, Zones(building, survey), outcome, SECONDS)
    brute = cheapest(survey, lines_of(outcome.designs[0]))
    assert certificate is not None and brute is not None
    units, design = brute
    told = next(c for c in certificate.cases if (c.label, c.outdoors) == (design.heater.label, design.outdoors))
    wall = next(i for i, f in enumerate(building.faces) if f.id == design.mount.face_id)
    bound = next(b.units for b in told.surfaces if b.surface == wall)
    assert bound is not None and bound <= units and certificate.cost_units <= units
    if design.heater.label == outcome.designs[0].heater.label:
        prices = Recheck(Zones(building, survey), design, certificate).prices
        for cost in (c for c in certificate.services if c.service != "gas"):
            assert cost.least_units <= prices.of_route(design, cost.service)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(1, 1 + deep(1)))
def test_on_no_wall_does_brute_force_find_less_than_is_told_of_it(seed: int) -> None:
    """Heater by heater, wall by wall: the cheapest that brute force finds there is no cheaper than the bound."""
    survey, outcome = house(seed), searched(house(seed))
    if not outcome.designs:
        pytest.skip("nothing is lawful in this house")
    building = build(survey)
    ground = ground_of(survey, building)
    certificate = certificate_of(ground, Zones(building, survey), outcome, SECONDS)
    assert certificate is not None
    lines, found = lines_of(outcome.designs[0]), 0
    for told in certificate.cases:
        for bound in told.surfaces:
            on = building.faces[bound.surface].id
            brute = cheapest(survey, lines, lambda h, m, on=on, told=told: (h.label, m.face_id) == (told.label, on))
            assert brute is None or (bound.units is not None and bound.units <= brute[0]), (told.label, on)
            found += brute is not None
    assert found


def second_best(survey: Survey) -> Outcome | None:
    """A search that claims the second design to be the cheapest; None if there is none that is dearer."""
    both = searched(survey, 2)
    if len(both.designs) < 2 or both.cost_units is None:
        return None
    cheapest, dearer = both.designs
    more = (dearer.total_cents - cheapest.total_cents) + ((dearer.weighed_cents or 0) - (cheapest.weighed_cents or 0))
    if more <= 1:
        return None
    building = build(survey)
    ground = ground_of(survey, building)
    recheck = Recheck(Zones(building, survey), dearer, None)  # type: ignore[arg-type]  # its prices alone are asked
    weighed = 0 if ground.waiting is None else ground.waiting.of(next(r for r in dearer.routes if r.service == "hot"))
    units = float(recheck.prices.of_design(dearer) + weighed)
    return replace(both, designs=[dearer], cost_units=units, bound_units=units)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_dearer_design_is_never_confirmed(seed: int) -> None:
    """The certificate of the second cheapest design, drawn up as if it were the cheapest, is refused: a place is found
    that is cheaper."""
    survey = house(seed)
    false = second_best(survey)
    if false is None:
        pytest.skip("the house has one design only")
    steps = rechecked(survey, false)
    wrong = [s for s in steps if s.outcome is not Came.CONFIRMED]
    assert any(s.outcome is Came.REFUSED and s.name.startswith("nothing cheaper") for s in wrong)


@cache
def certified(name: str) -> str:
    """A sample plan that asks for a certificate, with its answer, as JSON."""
    return once(("certified", name), lambda: _certified(name))


def _certified(name: str) -> str:
    survey = document(name) | {"explain": {"certificate": True}}
    answer = exchange.placement(json.dumps(survey).encode(), Settings(), real_operations())
    return json.dumps({"survey": survey, "answer": answer})


def verdict_on(request: Json) -> Json:
    """What a re-check comes to."""
    return exchange.verification(json.dumps(request).encode(), Settings(), real_operations())


def sealed_anew(request: Json) -> Json:
    """The request with digests that fit what it holds now."""
    answer = request["answer"]
    answer["explained"]["certificate"]["digests"] = digests_of(answer, request["survey"])
    return request


def figures(value: object, path: Path = ()) -> Iterator[Path]:
    """Paths of all numbers and flags."""
    if isinstance(value, dict):
        for key, member in value.items():
            yield from figures(member, (*path, key))
    elif isinstance(value, list):
        for i, member in enumerate(value):
            yield from figures(member, (*path, i))
    elif isinstance(value, bool | int | float):
        yield path


def at(value: Any, path: Path) -> Any:
    """Member at a path."""
    for key in path:
        value = value[key]
    return value


def changed(request: Json, path: Path, by: int) -> Json:
    """The request with one figure changed."""
    other = deepcopy(request)
    holder, value = at(other, path[:-1]), at(other, path)
    holder[path[-1]] = (not value) if isinstance(value, bool) else value + by
    return other


@pytest.mark.parametrize("part", ["answer", "survey"])
def test_any_changed_figure_is_refused_by_its_digest(part: str) -> None:
    """Wherever in the survey or the answer, whatever is reckoned from it."""
    request = json.loads(certified("coach_house"))
    paths = list(figures(request[part], (part,)))
    for path in Random(1).sample(paths, min(CHANGED, len(paths))):
        try:
            assert verdict_on(changed(request, path, 1))["verdict"] == "refused", path
        except exchange.InvalidRequest:
            assert part == "survey", path


def test_any_changed_figure_of_the_proof_is_refused_though_sealed_anew() -> None:
    """Costs, bounds, steps of gas, limits, boxes of zones and obstacles: each is found otherwise."""
    request = json.loads(certified("coach_house"))
    base = ("answer", "explained", "certificate")
    certificate = at(request, base)
    parts = ("money_units_per_cent", "cost_units", "fixed_units", "services", "limits", "heaters", "gas_steps")
    paths = [p for part in parts for p in figures(certificate[part], (*base, part))]
    paths += [
        p
        for i, network in enumerate(certificate["networks"])
        for part in ("obstacles", "zones")
        for p in figures(network[part], (*base, "networks", i, part))
    ]
    paths += [("answer", name) for name in ("cost", "objective", "bound")]
    for path in Random(2).sample(paths, min(2 * CHANGED, len(paths))):
        assert verdict_on(sealed_anew(changed(request, path, 1)))["verdict"] == "refused", path


def test_a_changed_design_is_refused_though_sealed_anew() -> None:
    """A point of a run, a place, a line of the bill."""
    request = json.loads(certified("coach_house"))
    base: Path = ("answer", "designs", 0)
    parts = ("mount", "terminal", "routes", "cost", "gas")
    paths = [p for part in parts for p in figures(at(request, base)[part], (*base, part))]
    for path in Random(3).sample(paths, min(CHANGED, len(paths))):
        assert verdict_on(sealed_anew(changed(request, path, 1)))["verdict"] == "refused", path


def test_a_plane_or_zone_left_out_is_refused_or_needless() -> None:
    """A plane that a sheet, an end or a named thing asks for is missed; without a zone a bound falls, or else the proof
    holds without it, and then every bound that is told was found again."""
    request = json.loads(certified("coach_house"))
    networks = request["answer"]["explained"]["certificate"]["networks"]
    every = [(i, part, k) for i, n in enumerate(networks) for part in ("planes", "zones") for k in range(len(n[part]))]
    refused = 0
    for i, part, k in Random(4).sample(every, min(2 * CHANGED, len(every))):
        other = deepcopy(request)
        gone = other["answer"]["explained"]["certificate"]["networks"][i][part].pop(k)
        found = verdict_on(sealed_anew(other))["verdict"]
        rules = {z["rule"] for z in networks[i]["zones"]}
        needless = part == "zones" or gone["why"].startswith("limit of") or gone["why"] in rules
        assert found == "refused" or needless, gone
        refused += found == "refused"
    assert refused > CHANGED


def test_a_foreign_zone_is_refused() -> None:
    """One of a rule that the survey drops, one that is larger, one of no rule at all."""
    request = json.loads(certified("coach_house"))
    networks = request["answer"]["explained"]["certificate"]["networks"]
    i, zone = next((i, z) for i, n in enumerate(networks) for z in n["zones"])
    for wrong in (zone | {"rule": "none"}, zone | {"object": "nothing"}, zone | {"radius_squared": 10**8}):
        other = deepcopy(request)
        other["answer"]["explained"]["certificate"]["networks"][i]["zones"].append(wrong)
        assert verdict_on(sealed_anew(other))["verdict"] == "refused"


def test_a_rule_switched_off_in_the_survey_is_refused_though_sealed_anew() -> None:
    """Every zone of a dropped rule is one that the survey does not yield any more."""
    request = json.loads(certified("coach_house"))
    networks = request["answer"]["explained"]["certificate"]["networks"]
    survey = request["survey"]
    rules = {r.id for r in rule_set(survey["site"]["rule_set"]).rules}
    named = sorted({z["rule"] for n in networks for z in n["zones"]} & rules)
    for rule in named:
        other = deepcopy(request)
        dropped = {"rule_id": rule, "distance": None, "note": "switched off"}
        kept = [a for a in survey["site"].get("amendments", ()) if a["rule_id"] != rule]
        other["survey"]["site"] = survey["site"] | {"amendments": [*kept, dropped]}
        assert verdict_on(sealed_anew(other))["verdict"] == "refused", rule
    assert named
