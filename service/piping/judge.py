"""CP-SAT as a second, independent judge of the sizes of a gas tree.

Contract (the lead's; fill in).
"""

from __future__ import annotations

from dataclasses import dataclass

from service.piping.network import Network
from service.survey.equipment import PriceBook
from service.survey.model import GasMethod


@dataclass(frozen=True, slots=True)
class Judgement:
    """Status name of the solver, and the least cost it proved [money units], None where there is none."""

    status: str
    units: int | None

    def agrees(self, units: int | None) -> bool:
        """Whether the solver proved the same cost, or that there is none."""
        proven = "INFEASIBLE" if units is None else "OPTIMAL"
        return self.status == proven and self.units == units


def judge(network: Network, prices: PriceBook, method: GasMethod) -> Judgement:
    """Least cost of a lawful set of sizes, found by CP-SAT from the rules of the method alone."""
    raise NotImplementedError
