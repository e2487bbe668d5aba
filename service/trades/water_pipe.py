"""Water tube by material and nominal size, and what a surveyor's words for it may mean."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import pi

from service.rules.tables import table
from service.survey.model import STANDARD_BRANCH as STANDARD_BRANCH

_MEANT = {"copper": ("copper_k", "copper_l", "copper_m")}
"""Words that leave the type open: any of these may be there."""


@dataclass(frozen=True, slots=True)
class Bore:
    """Inside diameter [m], the narrowest and the widest that the words for a pipe allow; equal where they leave
    nothing open. Friction takes the narrowest, the water held in it the widest."""

    narrowest_m: float
    widest_m: float

    @property
    def area_m2(self) -> float:
        """Cross-section of the widest [m2]: the most water a metre can hold [m3/m]."""
        return pi / 4 * self.widest_m**2


@cache
def bore_of(material: str, nominal: str) -> Bore | None:
    """Bore of a pipe as surveyed, None where the table has none of that name. Source: table ``water_pipe``."""
    rows = table("water_pipe").rows
    meant = _MEANT.get(material, (material,))
    found = [r.si("inside") for r in rows if r.text("material") in meant and r.text("nominal") == nominal]
    return Bore(min(found), max(found)) if found else None


@cache
def branch_sizes(material: str) -> dict[str, float]:
    """Sizes that a branch of a material may have -> inside diameter [m], smallest first; empty for no material of
    the table. Source: table ``water_pipe``."""
    rows = (r for r in table("water_pipe").rows if r.text("material") == material and r.flag("offered"))
    return {r.text("nominal"): r.si("inside") for r in rows}


def branch_materials() -> tuple[str, ...]:
    """Materials that branches may be of, as the table orders them."""
    return tuple(dict.fromkeys(r.text("material") for r in table("water_pipe").rows if r.flag("offered")))


def option_name(material: str, nominal: str) -> str:
    """How a run and its prices name the pipe: type L copper by its size alone, other material before it."""
    return nominal if material == STANDARD_BRANCH else f"{material}.{nominal}"


def branch_bore_m(option: str) -> float | None:
    """Inside diameter [m] of a branch by its option name, None where no branch is called so."""
    material, _, nominal = option.rpartition(".")
    return branch_sizes(material or STANDARD_BRANCH).get(nominal)
