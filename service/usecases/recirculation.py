"""What a recirculation loop to the farthest fixture would take. Information beside a design, never part of its cost:
a loop changes nothing about where the heater hangs but for its length of pipe, and its pump's running is not priced."""

from __future__ import annotations

from collections.abc import Callable

from service.rules.tables import table
from service.survey.equipment import MONEY_SCALE, PriceBook
from service.survey.model import Survey
from service.trades.hot_side import Hanging, HotSide
from service.trades.waiting import purge_s
from service.trades.water_lines import Stretch
from service.usecases.gas_results import PartLine
from service.usecases.waiting_results import LoopReport

PUMP_KEY, RETURN_KEY = "water.recirculation_pump", "water.1/2.pipe"


def loop_report(
    survey: Survey, hot: HotSide, hot_run_mm: int, way: Callable[[Hanging], tuple[Stretch, ...]]
) -> LoopReport | None:
    """The loop to the fixture whose supply leaves the hot pipe farthest from the heater; None without fixtures."""
    if not hot.hanging:
        return None
    lengths = [sum(s.length_mm for s in way(h)) for h in hot.hanging]
    far = max(range(len(lengths)), key=lambda i: lengths[i])
    return_mm = lengths[far] + hot_run_mm
    parts = tuple(_part(row.text("item"), row.text("standard"), row.text("section"), row.text("known_from"))
                  for row in table("recirculation").rows)  # fmt: skip
    return LoopReport(hot.hanging[far].fixture.id, return_mm, _price(survey.prices, return_mm), _mean_s(hot), parts)


def _part(item: str, standard: str, section: str, known_from: str) -> PartLine:
    cite = standard if section == "-" else f"{standard} {section}"
    return PartLine(item, 1, "each", "recirculation loop", cite, known_from)


def _price(book: PriceBook, return_mm: int) -> int | None:
    """Pump and return pipe [cents]; None where the book has no price for the pump."""
    if PUMP_KEY not in book.items:
        return None
    return round((book[PUMP_KEY].units_each + book[RETURN_KEY].units_per_mm * return_mm) / MONEY_SCALE)


def _mean_s(hot: HotSide) -> float | None:
    """Mean wait once the loop is warm: what stands in the fixtures' own supplies runs off [s]."""
    waits = [
        (h.fixture.count, purge_s(h.stub.area_m2 * h.stub_mm / 1000, h.fixture.flow_m3_s))
        for h in hot.hanging
        if h.stub is not None and h.fixture.flow_m3_s > 0
    ]
    if len(waits) < len(hot.hanging):
        return None
    return sum(n * wait for n, wait in waits) / sum(n for n, _ in waits)
