"""The ways in which a heater has its power, and their price keys."""

from __future__ import annotations

from enum import StrEnum


class PowerOption(StrEnum):
    """How the heater has its power; the option of a power run.

    A cable from an outlet's circuit or a panel to a new outlet, or to the heater itself (``wired``, with a switch
    where the breaker may not be its disconnect, and ``gfci`` where that breaker is one with ground-fault protection);
    or its own cord to an outlet as it is, or made ground-fault protected.
    """

    CABLE = "cable"
    CORD = "cord"
    CORD_GFCI = "cord_gfci"
    WIRED = "wired"
    WIRED_SWITCH = "wired_switch"
    WIRED_GFCI = "wired_gfci"
    WIRED_SWITCH_GFCI = "wired_switch_gfci"


CORDS = frozenset({PowerOption.CORD, PowerOption.CORD_GFCI})
PROTECTED = frozenset({PowerOption.WIRED_GFCI, PowerOption.WIRED_SWITCH_GFCI})
SWITCHED = frozenset({PowerOption.WIRED_SWITCH, PowerOption.WIRED_SWITCH_GFCI})
WIRED = frozenset({PowerOption.WIRED, *SWITCHED, *PROTECTED})
RECEPTACLE, PLUG_IN, GFCI = "power.receptacle", "power.plug_in", "power.gfci_receptacle"
HARD_WIRE, DISCONNECT, GFCI_BREAKER = "power.hard_wire", "power.disconnect", "power.gfci_breaker"
CABLE, CORD = "power.cable", "power.cord"
_PIECES = {
    PowerOption.CABLE: (RECEPTACLE,),
    PowerOption.CORD: (PLUG_IN,),
    PowerOption.CORD_GFCI: (PLUG_IN, GFCI),
    PowerOption.WIRED: (HARD_WIRE,),
    PowerOption.WIRED_SWITCH: (HARD_WIRE, DISCONNECT),
    PowerOption.WIRED_GFCI: (HARD_WIRE, GFCI_BREAKER),
    PowerOption.WIRED_SWITCH_GFCI: (HARD_WIRE, DISCONNECT, GFCI_BREAKER),
}


def run_key(option: str) -> str:
    """Key of what lies along the run, by length."""
    return CORD if option in CORDS else CABLE


def piece_keys(option: str) -> tuple[str, ...]:
    """Keys of what is bought once; a run of an option that we do not know ends in a receptacle."""
    return _PIECES.get(PowerOption(option), ()) if option in set(PowerOption) else (RECEPTACLE,)


def power_pieces(option: PowerOption) -> tuple[str, ...]:
    """Every key that an option needs."""
    return (run_key(option), *piece_keys(option))
