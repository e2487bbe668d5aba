"""What a survey's price on waiting for hot water makes of the hot run: a dearer metre and a charge at each tap.

The objective of the search holds the mean of all fixtures' waits, each weighing as many as it stands for, times the
price of a second. The water in branch and old pipe between heater and fixture runs off at the fixture's own flow, so
the wait is affine in the branch's length and, between the fixtures' own supplies, along the old pipe.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np

from service.building.model import Building
from service.building.water import framed_water
from service.design import MANIFOLD_DROP_MM, Route
from service.routing.ends import Anchor
from service.routing.sources import Charges
from service.survey.equipment import MONEY_SCALE
from service.survey.model import Point3, Survey
from service.trades.hot_side import Hanging, HotSide, hot_side
from service.trades.waiting import ignition_s, purge_units_per_mm
from service.trades.water_lines import Spot
from service.trades.water_pipe import Bore, branch_bore_m

CENTS_A_SECOND = 100
"""Price at which a limit on waiting is reckoned; it only has to be fine enough."""


@dataclass(frozen=True, slots=True)
class WaitingPrice:
    """Price of the waiting; money units throughout. ``seconds`` is what a second is worth at each fixture."""

    hot: HotSide
    seconds: tuple[float, ...]
    _taps: dict[tuple[str, Point3], int] = field(default_factory=dict)

    @property
    def tees(self) -> tuple[Point3, ...]:
        """Places of the old pipe where what a metre of it costs may change."""
        return tuple(h.foot for h in self.hot.hanging)

    def per_mm(self, option: str) -> int:
        """Price of one millimetre of branch. Raises KeyError for a size that there is not."""
        bore = branch_bore_m(option)
        if bore is None:
            raise KeyError(option)
        return sum(self._rate(i, Bore(bore, bore)) for i in range(len(self.seconds)))

    def once(self, option: str) -> int:
        """Price of what is the same wherever the heater hangs: ignition, the fixtures' own supplies, the connection."""
        stubs = sum(self._rate(i, _known(h.stub)) * h.stub_mm for i, h in enumerate(self.hot.hanging))
        return stubs + self.per_mm(option) * MANIFOLD_DROP_MM + sum(round(s * ignition_s()) for s in self.seconds)

    def charges(self, anchors: Sequence[Anchor]) -> Charges:
        """Price of the old pipe between each anchor and all fixtures."""
        units = [self.at(a.end_id, a.real) for a in anchors]
        return Charges(np.arange(len(anchors)), np.array(units, dtype=float))

    def at(self, line_id: str, tap: Point3) -> int:
        """Price of the old pipe between a tap and all fixtures."""
        if (line_id, tap) not in self._taps:
            spot = self.hot.spot(line_id, tap)
            self._taps[line_id, tap] = sum(self._old_pipe(i, h, spot) for i, h in enumerate(self.hot.hanging))
        return self._taps[line_id, tap]

    def of(self, route: Route) -> int:
        """Price of the waiting with a hot run."""
        branch = self.per_mm(route.option) * route.length_mm
        return branch + self.at(route.end_id, route.pieces[-1].end) + self.once(route.option)

    def _old_pipe(self, i: int, hanging: Hanging, tap: Spot) -> int:
        way = self.hot.pipework.way(tap, hanging.tee)
        return sum(self._rate(i, _known(self.hot.bores[s.line])) * s.length_mm for s in way)

    def _rate(self, i: int, bore: Bore) -> int:
        """Price that a millimetre of pipe has by the wait of one fixture."""
        return purge_units_per_mm(self.seconds[i], bore.area_m2, self.hot.hanging[i].fixture.flow_m3_s)


def waiting_price(survey: Survey, building: Building) -> WaitingPrice | None:
    """The price a survey puts on waiting, None where it puts none."""
    cents = survey.preferences.waiting_cents_per_s
    if not cents:
        return None
    return price_of_seconds(survey, building, cents)


def price_of_seconds(survey: Survey, building: Building, cents: int) -> WaitingPrice:
    """What waiting costs if a second of the mean wait is worth so much [cents]. KeyError once a pipe's bore is asked
    for that is not known."""
    hot = hot_side(framed_water(survey.water, building.frame))
    return WaitingPrice(hot, _shares(cents * MONEY_SCALE, [h.fixture.count for h in hot.hanging]))


@dataclass(frozen=True, slots=True)
class LongestWait:
    """A limit on the mean wait of all fixtures: ``most_units`` at some price of a second [money units]."""

    price: WaitingPrice
    most_units: int

    def length_mm(self, option: str) -> float:
        """Longest hot run in a pipe, from a tap at the heater's own fixtures [mm]; negative where none will do."""
        return (self.most_units - self.price.once(option)) / self.price.per_mm(option)

    def extra_mm(self, option: str, anchors: Sequence[Anchor]) -> list[float]:
        """What the old pipe behind each anchor counts for, as length of the hot run [mm]."""
        return [self.price.at(a.end_id, a.real) / self.price.per_mm(option) for a in anchors]


def longest_wait(survey: Survey, building: Building, seconds: float) -> LongestWait:
    """The limit of so many seconds [s]."""
    return LongestWait(price_of_seconds(survey, building, CENTS_A_SECOND), int(seconds * CENTS_A_SECOND * MONEY_SCALE))


def _shares(units: int, counts: Iterable[int]) -> tuple[float, ...]:
    each = list(counts)
    return tuple(units * n / sum(each) for n in each)


def _known(bore: Bore | None) -> Bore:
    """Intake lets no price through where a bore is not known."""
    if bore is None:
        raise KeyError("bore of a hot-water pipe")
    return bore
