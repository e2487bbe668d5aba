"""Outlets and panels as surveyed, with what is known of their circuits.

None means that a fact is not known; see ``model`` for the units.
"""

from __future__ import annotations

from dataclasses import dataclass

from service.survey.house import Point3


@dataclass(frozen=True, slots=True)
class Circuit:
    """Branch circuit of an outlet: voltage [V], breaker [A], what it feeds already [W] and how much of that is fastened
    in place, whether it is to feed this heater alone, size of its copper wire [AWG] and length to the panel [mm]."""

    voltage_v: float | None = None
    breaker_a: float | None = None
    load_w: float | None = None
    fixed_load_w: float | None = None
    dedicated: bool | None = None
    wire: str | None = None
    wire_length_mm: int | None = None


@dataclass(frozen=True, slots=True)
class Receptacle:
    """Existing outlet or panel from which a circuit can be led [mm].

    ``gfci``: the outlet has ground-fault protection. ``free_spaces``: places for another breaker in a panel.
    ``panel_voltage_v``: the most between a panel's conductors [V], as 240 of 120/240.
    """

    id: str
    at: Point3
    is_panel: bool = False
    circuit: Circuit = Circuit()
    gfci: bool | None = None
    free_spaces: int | None = None
    panel_voltage_v: float | None = None
