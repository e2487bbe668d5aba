"""The cheapest lawful sizes of a whole gas tree by one method, and what they rest on.

Contract (the lead's; fill in, split over modules of this package as needed).
"""

from __future__ import annotations

from dataclasses import dataclass

from service.piping.network import Network
from service.piping.options import Option
from service.survey.equipment import PriceBook
from service.survey.model import GasMethod


@dataclass(frozen=True, slots=True)
class Sized:
    """One pipe in a sized tree.

    ``choice``: None where nothing that may be had carries the load. ``length_mm``: the length that the method sizes
    it by (fittings included), 0 for the pressure method. ``needed``: the smallest size of the present material (steel if that is
    unknown) that carries the load at that length, None if none does. ``capacity_w``: of what was chosen, ``present_capacity_w``
    of what is there, None where it is not known. ``source``: table or equation that the capacity is from, and
    ``known_from`` its mark (read | memory | computed).
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


def size(network: Network, prices: PriceBook, method: GasMethod) -> Sizing:
    """Cheapest sizes by a method."""
    raise NotImplementedError
