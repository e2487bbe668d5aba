"""What each of several heaters adds to one gas system at least, so that the sum is no more than all of it costs.

Nobody knows yet where the others tap. Of each it is known which pipes carry its load wherever it taps (those that all
its taps have on their way), and which it may load. A pipe that some heaters may load is one heater's to pay for, the
first's; all others see it as pipe that never needs renewing. What is left is paid once. Every pipe is so paid for once
at most, under a load that it has at least, in a run that is as long at least: a bound.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from service.piping.extended import HEATER_KIND
from service.piping.lengths import TABLES, reach_mm
from service.piping.network import Network
from service.piping.sizing import Sizing, size
from service.siting.shared_gas import drawn_w
from service.survey.equipment import Price, PriceBook
from service.survey.model import Appliance, GasMaterial, GasMethod, GasSegment, GasSupply, Survey
from service.trades.gas_capacity import Terms
from service.trades.gas_equation import ROUNDING
from service.trades.gas_pipe import sizes

LONGEST = (GasMethod.LONGEST_TABLES, GasMethod.LONGEST_EQUATION)
METER, REGULATOR = "gas.meter_upgrade", "gas.service_regulator"


@dataclass(frozen=True, slots=True)
class Shares:
    """The gas system as each heater sees it, and what is paid besides at least [money units], None if no sizes do.
    ``reaches``: lengths of the longest run at which some pipe paid for besides would have to be larger [mm]."""

    supplies: tuple[GasSupply, ...]
    units: int | None
    reaches: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Tapping:
    """What one heater may tap (None: everything) and the least that it burns [W]; ``room``: where it surely hangs and
    takes its air, None where that is not known."""

    taps: frozenset[str] | None
    input_w: float
    room: str | None = None


def shares_of(survey: Survey, tappings: Sequence[Tapping], over_mm: int = 0) -> Shares:
    """Split the gas system among heaters, in which some run is longer than ``over_mm`` [mm]."""
    survey = replace(survey, gas=_with_run(survey.gas, over_mm))
    network = Network(survey.gas, survey.site.gas)
    certain = [_certain(network, t.taps) for t in tappings]
    owner: dict[int, int] = {}
    for i, tapping in enumerate(tappings):
        for pipe in sorted(_possible(network, tapping.taps) - set(certain[i])):
            owner.setdefault(pipe, i)
    nodes = [network.pipes[max(way)].segment.end if way else survey.gas.delivery_node for way in certain]
    loads = [_burner(i, t, node) for i, (t, node) in enumerate(zip(tappings, nodes, strict=True))]
    ids = {p.segment.id: owner.get(k) for k, p in enumerate(network.pipes)}
    supplies = tuple(
        _seen(survey.gas, ids, i, [b for k, b in enumerate(loads) if k != i]) for i in range(len(tappings))
    )
    rest = Network(_seen(survey.gas, ids, None, loads), survey.site.gas)
    sizing = size(rest, survey.prices, survey.gas.method)
    return Shares(supplies, _once(survey, sizing, tappings), _reaches(survey, rest, sizing))


def without_shared_works(prices: PriceBook) -> PriceBook:
    """The book with what is bought once for all heaters free."""
    free = {key: _free(prices.items[key]) for key in (METER, REGULATOR) if key in prices.items}
    return replace(prices, items={**prices.items, **free})


def shared_keys(survey: Survey, inputs: Iterable[float]) -> tuple[str, ...]:
    """Price keys of what the supplier changes once for some heaters."""
    drawn, gas = drawn_w(survey.gas, inputs), survey.gas
    meter = (METER,) if drawn > gas.meter_capacity_w * ROUNDING else ()
    passes = gas.service_regulator_w
    return meter + ((REGULATOR,) if passes is not None and drawn > passes * ROUNDING else ())


def _with_run(gas: GasSupply, over_mm: int) -> GasSupply:
    """The system with a dead end as long as some run is at least: where the longest run sizes all pipes, it counts."""
    if not over_mm:
        return gas
    name = "a run at least so long"
    pipe = _never_renewed(GasSegment(name, gas.delivery_node, name, "", None, over_mm + 1))
    return replace(gas, segments=(*gas.segments, pipe))


def _free(price: Price) -> Price:
    return replace(price, cents=0)


def _once(survey: Survey, sizing: Sizing, tappings: Sequence[Tapping]) -> int | None:
    keys = shared_keys(survey, (t.input_w for t in tappings))
    return None if sizing.units is None else sizing.units + sum(survey.prices[key].units_each for key in keys)


def _reaches(survey: Survey, network: Network, sizing: Sizing) -> tuple[int, ...]:
    """Where the longest run sizes all pipes, how long it may be for each pipe as it was chosen."""
    if survey.gas.method not in LONGEST:
        return ()
    found = set()
    for pipe, sized in zip(network.pipes, sizing.pipes, strict=True):
        zone, drawn = network.zones[pipe.zone], pipe.load.drawn_w(survey.gas.diversity)
        if sized.choice is not None and drawn > 0:
            terms = Terms(network.gas, zone.supply_pa, zone.drop_pa)
            by_table = survey.gas.method in TABLES
            found.add(reach_mm(sized.choice.material, sized.choice.size, drawn, terms, by_table))
    return tuple(sorted(found))


def _ways(network: Network, taps: frozenset[str] | None) -> list[tuple[list[int], int | None]]:
    """Of each tap, the pipes on the way to it, and the pipe that is cut, if one is."""
    nodes = {network.supply.delivery_node: -1, **network.into}
    found: list[tuple[list[int], int | None]] = [
        (network.way(i), None) for node, i in nodes.items() if taps is None or node in taps
    ]
    cut = [i for i, p in enumerate(network.pipes) if taps is None or p.segment.id in taps]
    return found + [(network.way(network.pipes[i].parent), i) for i in cut]


def _certain(network: Network, taps: frozenset[str] | None) -> list[int]:
    """Pipes that every tap has on its way: a run from the delivery on, for it is a tree."""
    ways = [set(way) for way, _ in _ways(network, taps)]
    return sorted(set.intersection(*ways)) if ways else []


def _possible(network: Network, taps: frozenset[str] | None) -> set[int]:
    return {pipe for way, cut in _ways(network, taps) for pipe in (*way, *(() if cut is None else (cut,)))}


def _burner(index: int, tapping: Tapping, node: str) -> Appliance:
    apart = tapping.room is None
    return Appliance(f"heater {index + 1} at least", HEATER_KIND, tapping.input_w, apart, tapping.room, node)


def _seen(gas: GasSupply, owner: dict[str, int | None], who: int | None, loads: Sequence[Appliance]) -> GasSupply:
    """The system with only those pipes as they are that one heater, or nobody, pays for. Pipes that hang on nothing
    stay as they are."""
    segments = tuple(s if owner.get(s.id, who) == who else _never_renewed(s) for s in gas.segments)
    return replace(gas, segments=segments, appliances=(*gas.appliances, *loads))


def _never_renewed(segment: GasSegment) -> GasSegment:
    steel = GasMaterial.STEEL.value
    return replace(segment, material=steel, size=sizes(steel)[-1], elbows=None, tees=None, fixed=True)
