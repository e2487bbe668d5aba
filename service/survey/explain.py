"""What a caller wants to be told besides the cheapest designs."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

FEWEST_DIFFERENT, MOST_DIFFERENT = 2, 5
WAITING_STEP_S = 2.0
MARGIN_STEP_MM = 152


class TradeOff(StrEnum):
    """What cost is weighed against."""

    WAITING = "waiting"
    MARGIN = "margin"


@dataclass(frozen=True, slots=True)
class Explain:
    """Wishes to be told more. ``different``: how many designs that differ from each other, 0 for none. ``trade_offs``:
    fronts of cost; each design of a front waits less by ``waiting_step_s`` [s] at least, or keeps ``margin_step_mm``
    more [mm], than the one before. ``sureness``: how far prices may move, and which missing answers matter.
    ``certificate``: what a sceptical reader needs to re-check the proof."""

    different: int = 0
    trade_offs: tuple[TradeOff, ...] = ()
    waiting_step_s: float = WAITING_STEP_S
    margin_step_mm: int = MARGIN_STEP_MM
    sureness: bool = False
    certificate: bool = False
