"""The cheapest lawful sizes of a whole gas tree by one method, and what they rest on."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass

from service.piping.growth import by_length
from service.piping.labels import by_pressure
from service.piping.lengths import TABLES, carries
from service.piping.network import Network
from service.piping.options import Option
from service.piping.trees import Tree, trees
from service.survey.equipment import PriceBook
from service.survey.model import GasMaterial, GasMethod
from service.trades.gas_capacity import Capacity, Terms, by_equation, by_tables
from service.trades.gas_pipe import sizes


@dataclass(frozen=True, slots=True)
class Sized:
    """One pipe in a sized tree.

    ``choice``: None where nothing that may be had carries the load. ``length_mm``: the length that the method sizes
    it by (fittings included), 0 for the pressure method. ``needed``: the smallest size of the present material (steel
    if that is unknown) that carries the load at that length, None if none does; by the pressure method the size of
    the choice. ``capacity_w``: of what was chosen, ``present_capacity_w`` of what is there, None where it is not known
    and by the pressure method, where no pipe has a capacity of its own. ``source``: table or equation that the choice
    rests on, and ``known_from`` its mark (read | memory | computed); empty without a choice, and where its capacity
    is not known (a pipe that carries nothing).
    """

    choice: Option | None
    length_mm: int
    needed: str | None
    capacity_w: float | None
    present_capacity_w: float | None
    source: str
    known_from: str


@dataclass(frozen=True, slots=True)
class Sizing:
    """All pipes of a network, in its order. ``units``: money units of all that is renewed or new, None if some
    pipe has no choice."""

    method: GasMethod
    pipes: tuple[Sized, ...]
    units: int | None


def size(network: Network, prices: PriceBook, method: GasMethod, lifted: Collection[str] = ()) -> Sizing:
    """Cheapest sizes by a method, each zone by itself; by the pressure method segments ``lifted`` lose nothing in the
    option that loses least.

    If some pipe of a zone cannot be had, the length methods still say what the others would be; by the pressure
    method then no pipe of the zone has a choice, for it is the run that fails. Raises ValueError for a zone whose drop
    is not positive or above its supply, and for a specific gravity outside 0.35 to 2.1.
    """
    return size_trees(network, trees(network, prices, lifted), method)


def size_trees(network: Network, by_zone: Iterable[Tree], method: GasMethod) -> Sizing:
    """``size``, from the trees of a network's zones."""
    pipes: list[Sized | None] = [None] * len(network.pipes)
    for tree in by_zone:
        found = _pressed(tree, network) if method is GasMethod.PRESSURE else _measured(tree, method)
        for index, sized in zip(tree.indices, found, strict=True):
            pipes[index] = sized
    sized_pipes = tuple(sized for sized in pipes if sized is not None)
    return Sizing(method, sized_pipes, _units(network, sized_pipes))


def _units(network: Network, pipes: tuple[Sized, ...]) -> int | None:
    """Money units of all choices; None if one is missing."""
    units = 0
    for pipe, sized in zip(network.pipes, pipes, strict=True):
        if sized.choice is None:
            return None
        units += sized.choice.units(pipe.segment.length_mm)
    return units


def _measured(tree: Tree, method: GasMethod) -> Iterator[Sized]:
    """Pipes of a zone by a length method."""
    found, capacity = by_length(tree, method), by_tables if method in TABLES else by_equation
    for i, (choice, length) in enumerate(zip(found.options, found.lengths_mm, strict=True)):
        segment = tree.segments[i]
        chosen = None if choice is None else capacity(choice.material, choice.size, length, tree.terms)
        present = None if segment.size is None else capacity(segment.material, segment.size, length, tree.terms)
        needed = smallest(segment.material, tree.loads_w[i], length, tree.terms, method)
        yield Sized(choice, length, needed, _load_w(chosen), _load_w(present), *_whence(chosen))


def smallest(material: str, load_w: float, length_mm: int, terms: Terms, method: GasMethod) -> str | None:
    """Smallest size of a material (steel if its capacity is not known) that carries a load over a length."""
    of = material if sizes(material) else GasMaterial.STEEL.value
    return next((s for s in sizes(of) if carries(Option(of, s), load_w, length_mm, terms, method)), None)


def _pressed(tree: Tree, network: Network) -> Iterator[Sized]:
    """Pipes of a zone by the pressure method."""
    found: Sequence[Option | None] = by_pressure(tree, network) or [None] * len(tree.indices)
    for i, choice in enumerate(found):
        length = tree.segments[i].length_mm
        law = None if choice is None else by_equation(choice.material, choice.size, length, tree.terms)
        yield Sized(choice, 0, None if choice is None else choice.size, None, None, *_whence(law))


def _load_w(capacity: Capacity | None) -> float | None:
    return None if capacity is None else capacity.load_w


def _whence(capacity: Capacity | None) -> tuple[str, str]:
    """Source and mark of a capacity; empty where there is none."""
    return ("", "") if capacity is None else (capacity.source, capacity.known_from)
