"""What each pipe of the tree may be: as it is, or renewed in one of the sizes that the price book holds."""

from __future__ import annotations

from dataclasses import dataclass

from service.survey.equipment import PriceBook
from service.survey.model import GasMaterial, GasSegment
from service.trades.gas_pipe import sizes

RENEW_KEY = "gas.renew"
ACCESS_KEY = "access.pipe.finished"


@dataclass(frozen=True, slots=True)
class Option:
    """One way of having a pipe. ``units_per_mm`` and ``units_once`` are money units (0 for what is there);
    ``lossless``: as if it lost no pressure, where that limit is lifted."""

    material: str
    size: str
    units_per_mm: int = 0
    units_once: int = 0
    kept: bool = False
    lossless: bool = False

    def units(self, length_mm: int) -> int:
        """Money units of the option over a length."""
        return self.units_per_mm * length_mm + (self.units_once if length_mm else 0)

    @property
    def name(self) -> str:
        """As a route's option and a price key's stem say it."""
        return option_name(self.material, self.size)


def option_name(material: str, size: str) -> str:
    """Size of Schedule 40 steel, ``material.size`` of everything else."""
    return size if material == GasMaterial.STEEL else f"{material}.{size}"


def split_name(option: str) -> tuple[str, str]:
    """Material and size behind an option's name."""
    material, _, size = option.rpartition(".")
    return material or GasMaterial.STEEL.value, size


def priced_sizes(prices: PriceBook, material: str) -> tuple[str, ...]:
    """Sizes of a material that the book holds, smallest first, without any that a larger one undercuts."""
    found = [s for s in sizes(material) if f"gas.{option_name(material, s)}.pipe" in prices.items]
    cost = {s: prices[f"gas.{option_name(material, s)}.pipe"].units_per_mm for s in found}
    return tuple(s for i, s in enumerate(found) if all(cost[s] < cost[larger] for larger in found[i + 1 :]))


def materials_for(segment: GasSegment) -> tuple[str, ...]:
    """Materials in which a segment may be renewed: polyethylene only in its own, the others in their own or steel."""
    own = segment.material
    if own == GasMaterial.PE:
        return (own,)
    known = own in [m.value for m in GasMaterial]
    return tuple(dict.fromkeys([own, GasMaterial.STEEL.value] if known else [GasMaterial.STEEL.value]))


def options_for(segment: GasSegment, prices: PriceBook) -> tuple[Option, ...]:
    """What a segment may be, by rising cost: first what is there (if anything is), then what may replace it.

    A fixed segment, and one whose renewal the book does not price, has what is there alone. A new segment pays for
    its pipe, not for taking out.
    """
    present = [] if segment.size is None else [Option(segment.material, segment.size, kept=True)]
    if segment.fixed or (present and RENEW_KEY not in prices.items):
        return tuple(present)
    once = prices[RENEW_KEY].units_each if present else 0
    access = prices[ACCESS_KEY].units_per_mm if segment.finished else 0
    larger = [
        Option(m, s, prices[f"gas.{option_name(m, s)}.pipe"].units_per_mm + access, once)
        for m in ((segment.material,) if not present else materials_for(segment))
        for s in priced_sizes(prices, m)
    ]
    return (*present, *sorted(larger, key=lambda o: (o.units_per_mm, o.material, o.size)))


class Offered:
    """Options of segments, worked out once for segments that are alike."""

    def __init__(self, prices: PriceBook) -> None:
        """From a price book."""
        self._prices = prices
        self._known: dict[tuple[str, str | None, bool, bool], tuple[Option, ...]] = {}

    def every(self, segment: GasSegment) -> tuple[Option, ...]:
        """``options_for`` a segment."""
        key = (segment.material, segment.size, segment.fixed, segment.finished)
        if key not in self._known:
            self._known[key] = options_for(segment, self._prices)
        return self._known[key]

    def of(self, segment: GasSegment, load_w: float) -> tuple[Option, ...]:
        """What a segment may be when it carries a load: with none, the first."""
        return self.every(segment)[: None if load_w > 0 else 1]


def branch_options(prices: PriceBook, material: str) -> tuple[Option, ...]:
    """What a heater's branch of a material may be, smallest first: all that the book prices, elbows too (corrugated
    tubing has none). A larger size may be cheaper by the metre and dearer by the elbow, so none is left out."""
    stems = [(s, f"gas.{option_name(material, s)}") for s in sizes(material)]
    return tuple(
        Option(material, s, prices[f"{stem}.pipe"].units_per_mm)
        for s, stem in stems
        if f"{stem}.pipe" in prices.items and (material == GasMaterial.CSST or f"{stem}.elbow" in prices.items)
    )
