"""Several designs to choose from: a cheapest set that differs in what a customer sees, side by side."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Iterable

from service.design import Design
from service.siting.differing import LEAST_DIFFERENCES, DesignSet, Differing
from service.siting.features import Featured, Features
from service.siting.ground import Ground
from service.siting.outcome import Outcome
from service.siting.zones import Zones
from service.usecases.checked import CheckedDesign, Status
from service.usecases.differences import differences
from service.usecases.explain_results import Compared, DifferentSet
from service.usecases.inspector import Inspector
from service.usecases.money import by_trade, cents_below

NO_SUCH_SET = (
    "There are no {count} lawful designs each two of which differ in {least} of room, facade or roof, heater and gas "
    "pipe."
)
CUT_OFF = "Ended by the time limit before such a set was proven cheapest."


def different(
    ground: Ground, zones: Zones, outcome: Outcome, count: int, seconds: float, inspector: Inspector
) -> DifferentSet:
    """A proven cheapest set of ``count`` designs, each two different in LEAST_DIFFERENCES features, within ``seconds``
    [s]. Its sum is that of the objectives: with weighed waiting, where that has a price."""
    featured = Featured(ground, zones)
    search = Differing(featured, time.monotonic() + seconds, time.monotonic)
    search.learn(outcome)
    found = search.run(count)
    checked = [(inspector.checked(ground.survey, zones.whole, d), features) for d, features in found.designs]
    return DifferentSet(
        asked=count,
        status=_status(found),
        designs=compared(featured, checked, inspector),
        total_cents=sum(c.design.total_cents for c, _ in checked) if checked else None,
        bound_cents=cents_below(found.bound_units),
        regions=found.regions,
        why=_why(found, count),
        network_only=found.limited,
    )


def _why(found: DesignSet, count: int) -> str:
    if found.cut_off:
        return CUT_OFF
    return "" if found.designs else NO_SUCH_SET.format(count=count, least=LEAST_DIFFERENCES)


def _status(found: DesignSet) -> Status:
    if found.designs:
        return Status.FEASIBLE if found.cut_off else Status.OPTIMAL
    return Status.UNKNOWN if found.cut_off else Status.INFEASIBLE


def compared(
    featured: Featured, designs: Iterable[tuple[CheckedDesign, Features]], inspector: Inspector
) -> tuple[Compared, ...]:
    """Designs side by side, the cheapest first."""
    survey, whole = featured.ground.survey, featured.zones.whole
    rows = sorted(designs, key=lambda row: (row[0].design.total_cents, row[1]))
    bought = [_pieces(checked.design) for checked, _ in rows]
    units = survey.units
    common = set.intersection(*(set(b.items()) for b in bought)) if bought else set()
    return tuple(
        Compared(
            checked=checked,
            features=features,
            by_trade=tuple(by_trade(checked.design.lines).items()),
            mean_wait_s=None if checked.waiting is None else checked.waiting.mean_s,
            margin_mm=inspector.margin_mm(survey, whole, checked.design),
            needs=tuple(sorted((what, n) for what, n in pieces.items() if (what, n) not in common)),
            differs=differences(rows[0][0].design, checked.design, units),
        )
        for (checked, features), pieces in zip(rows, bought, strict=True)
    )  # fmt: skip


def _pieces(design: Design) -> Counter[str]:
    """What is bought by the piece, by its description."""
    pieces: Counter[str] = Counter()
    for line in design.lines:
        if line.per == "each":
            pieces[line.description] += round(line.quantity)
    return pieces
