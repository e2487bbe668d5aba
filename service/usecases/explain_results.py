"""What is told besides the cheapest designs. The HTTP layer and the command line only render it."""

from __future__ import annotations

from dataclasses import dataclass

from service.siting.certificate import Certificate
from service.siting.features import Features
from service.siting.ground import Ground
from service.survey.explain import TradeOff
from service.usecases.checked import CheckedDesign, Status
from service.usecases.differences import Difference


@dataclass(frozen=True, slots=True)
class Compared:
    """One design beside others. ``features``: room, facade or roof plane, heater and gas pipe tapped; ``by_trade``
    [cents]; ``mean_wait_s`` for hot water [s], None where not known; ``margin_mm``: by how much every distance that the
    rule set asks of the terminal may grow [mm]; ``needs``: what is bought by the piece that not all of them need alike,
    with how many; ``differs``: in what else it differs from the cheapest beside it."""

    checked: CheckedDesign
    features: Features
    by_trade: tuple[tuple[str, int], ...]
    mean_wait_s: float | None
    margin_mm: int
    needs: tuple[tuple[str, int], ...]
    differs: tuple[Difference, ...] = ()


@dataclass(frozen=True, slots=True)
class DifferentSet:
    """Designs that differ from each other in two features at least, their total least.

    ``total_cents`` of what is paid, ``bound_cents``: no such set has a lesser sum of objectives [cents], None where
    nothing is known; ``regions``: parts of the space of designs that were searched. ``why``: what there is to say of a
    set that is none or not proven. ``network_only``: a limit on a run may decide in some of them, so the proof is of
    the network of positions alone.
    """

    asked: int
    status: Status
    designs: tuple[Compared, ...]
    total_cents: int | None
    bound_cents: int | None
    regions: int
    why: str
    network_only: bool


@dataclass(frozen=True, slots=True)
class Front:
    """Cost against waiting or margin: designs by rising cost, each better than the one before by ``step`` [s] or [mm]
    at least. ``complete``: beyond the last there is none; else ``why`` no more is told. ``network_only`` as for a
    ``DifferentSet``."""

    kind: TradeOff
    step: float
    designs: tuple[Compared, ...]
    complete: bool
    why: str
    network_only: bool


@dataclass(frozen=True, slots=True)
class Rival:
    """Another design: its features, its heater with the vent, and what it costs at the prices of now, waiting weighed
    where that has a price [cents]. ``differs``: in what else it differs from the cheapest, nothing where there
    is none."""

    features: Features
    heater: str
    cents: int
    differs: tuple[Difference, ...] = ()


@dataclass(frozen=True, slots=True)
class RangeEnd:
    """The last price at which the winner is among the cheapest [cents], None if none was met as far as was looked;
    ``rival`` costs less beyond it. ``known`` False: time ran out before, so it may end sooner; ``network_only``: a
    limit on a run may decide there, so it is proven on the network of positions alone."""

    cents: int | None
    rival: Rival | None
    known: bool
    network_only: bool = False


@dataclass(frozen=True, slots=True)
class PriceRange:
    """How far one price of the winning design may move, all others as they are, with the winner still among the
    cheapest. ``everywhere``: every design buys just as many, so its price decides nothing."""

    key: str
    description: str
    per: str
    cents: int
    low: RangeEnd
    high: RangeEnd
    everywhere: bool


@dataclass(frozen=True, slots=True)
class Answered:
    """A missing answer that could change the design: where it would stand, what to ask, how it is taken now, how much
    less the design ``rival`` costs with the best answer [cents]; None where nothing is lawful without it."""

    pointer: str
    question: str
    taken_as: str
    saving_cents: int | None
    rival: Rival


@dataclass(frozen=True, slots=True)
class Sureness:
    """Prices by their share of the bill, missing answers that could change the design, pointers to those that cannot,
    ``together`` what several of them open though none alone does. ``complete``: all is known.
    ``answers_network_only``: a limit on a run may decide among the answers, as for a ``DifferentSet``."""

    prices: tuple[PriceRange, ...]
    answers: tuple[Answered, ...]
    idle: tuple[str, ...]
    together: Rival | None
    complete: bool
    why: str
    answers_network_only: bool = False


@dataclass(frozen=True, slots=True)
class Certified:
    """The proof of the first design and the house that its names are of; without one ``why`` there is none."""

    certificate: Certificate | None
    ground: Ground
    why: str


@dataclass(frozen=True, slots=True)
class Explained:
    """The parts that were asked for; None, or nothing, where not."""

    different: DifferentSet | None = None
    trade_offs: tuple[Front, ...] = ()
    sureness: Sureness | None = None
    certified: Certified | None = None


@dataclass(frozen=True, slots=True)
class ToldBeside:
    """What is told of one dwelling's heater while all others stay. ``as_in_set``: it is told of the set's own design;
    else the search found a cheaper one beside the others, so that the set is not the cheapest, or it was cut off."""

    dwelling: str
    explained: Explained
    as_in_set: bool
