"""A survey as one of several dwellings has it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Protocol, TypeVar

from service.survey.dwellings import Dwelling, Ids
from service.survey.explain import Explain
from service.survey.fixtures import DemandTerms, Fixture
from service.survey.model import Preferences, Survey


class _Named(Protocol):
    @property
    def id(self) -> str:
        """Name."""


T = TypeVar("T", bound=_Named)


def of_dwelling(survey: Survey, dwelling: Dwelling) -> Survey:
    """The survey as one dwelling has it: what it may not use is left out; building, plot and gas system stay whole.

    No other delivery pressure is asked for: that is one for all of them.
    """
    fixtures = named(survey.water.fixtures, dwelling.fixtures)
    water = replace(
        survey.water,
        cold=named(survey.water.cold, dwelling.water_lines),
        hot=named(survey.water.hot, dwelling.water_lines),
        fixtures=fixtures,
        demand=_own_demand(survey.water.demand, fixtures, sharing(survey, dwelling)),
    )
    return replace(
        survey,
        name=f"{survey.name}: {dwelling.id}",
        water=water,
        heaters=named(survey.heaters, dwelling.heaters),
        drains=named(survey.drains, dwelling.drains),
        receptacles=named(survey.receptacles, dwelling.receptacles),
        preferences=_wishes(survey.preferences, dwelling.rooms),
        gas=replace(survey.gas, pressure_options=()),
        what_about=(),
        explain=Explain(),
        dwellings=(),
    )


def passable_rooms(survey: Survey, dwelling: Dwelling) -> frozenset[str]:
    """Rooms that a dwelling's pipes may pass: its own, and those that no dwelling names."""
    every = frozenset(r.id for s in survey.storeys for r in s.rooms)
    if dwelling.rooms is None:
        return every
    claimed = {room for d in survey.dwellings for room in d.rooms or ()}
    return every - (claimed - set(dwelling.rooms))


def named(things: Sequence[T], ids: Ids) -> tuple[T, ...]:
    """Those of some things that are named; all of them where no names are given."""
    return tuple(things) if ids is None else tuple(t for t in things if t.id in ids)


def _wishes(wishes: Preferences, rooms: Ids) -> Preferences:
    """The customer's wishes; where a dwelling has rooms of its own, its heater hangs in one of them."""
    wanted = wishes.rooms_wanted
    if rooms is not None:
        wanted = tuple(r for r in rooms if r in wanted) or rooms
    return replace(wishes, rooms_wanted=wanted, alternatives=1)


def sharing(survey: Survey, dwelling: Dwelling) -> int:
    """How many heaters carry the demand of a dwelling's fixtures together."""
    return 1 if dwelling.parallel is None else sum(d.parallel == dwelling.parallel for d in survey.dwellings)


def _own_demand(terms: DemandTerms, fixtures: Iterable[Fixture], heaters: int) -> DemandTerms:
    """Terms of demand for so many heaters; of sets that run together what the dwelling's own fixtures are in them."""
    own = {f.id for f in fixtures}
    kept = (tuple(name for name in together if name in own) for together in terms.at_once)
    return replace(terms, at_once=tuple(dict.fromkeys(together for together in kept if together)), sharing=heaters)
