"""Combustion air of heaters that draw it from the room: volumes, openings and supply by the US codes.

What follows for a heater of Category III or IV is the default; its instructions govern (NFPA 54 9.3.1.2, read).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache
from math import ceil, inf

from service.design import AirMethod, AirOpening, AirProvision
from service.rules.tables import Row, table

MM2 = 1e6
"""Square millimetres in a square metre."""
DEFAULT = "default, the heater's instructions govern"
_SAME = 1 - 1e-9
"""Two sums of the same figures in another order are the same."""


@dataclass(frozen=True, slots=True)
class AirLoad:
    """Inputs that burn air of one space [W]: of fan-assisted appliances, and of all others."""

    fan_w: float = 0.0
    other_w: float = 0.0

    @property
    def total_w(self) -> float:
        """All of them [W]."""
        return self.fan_w + self.other_w


def enough(has: float, asked: float) -> bool:
    """Whether a figure reaches what is asked of it; equality passes."""
    return has >= asked * _SAME


def required_volume_m3(input_total_w: float) -> float:
    """Room volume [m3] of the standard method: 50 ft3 for each 1,000 Btu/h of all inputs in the
    space but those of direct-vent appliances. Source: IFGC 304.5.1, NFPA 54 9.3.2.1 (read)."""
    return input_total_w * _value("standard_volume")


def room_air_ok(volume_m3: float, input_total_w: float) -> bool:
    """Whether the space [m3] holds air enough for the inputs [W] by the standard method."""
    return enough(volume_m3, required_volume_m3(input_total_w))


def infiltration_volume_m3(load: AirLoad, air_changes: float) -> float:
    """Room volume [m3] by the known air changes an hour [1/h], of which no more than 0.60 are used: 21 ft3 for each
    1,000 Btu/h over them, 15 for fan-assisted appliances; infinite without any. Source: NFPA 54 9.3.2.2 (read)."""
    used = min(air_changes, _value("air_changes_most"))
    if used <= 0:
        return inf
    return (load.other_w * _value("infiltration_other") + load.fan_w * _value("infiltration_fan")) / used


def standard_is_lawful(air_changes: float | None, tight: bool | None) -> bool:
    """Whether the standard method may be used: not below 0.40 known air changes an hour [1/h] (NFPA 54 9.3.2, read);
    where they are not known, not in a house that is known to be tight (the stricter reading)."""
    if air_changes is None:
        return tight is not True
    return enough(air_changes, _value("air_changes_compulsory"))


def indoor_volumes_m3(load: AirLoad, air_changes: float | None, tight: bool | None) -> dict[AirMethod, float]:
    """Volume [m3] that each method which may be used asks for; empty if none may."""
    found: dict[AirMethod, float] = {}
    if standard_is_lawful(air_changes, tight):
        found[AirMethod.STANDARD] = required_volume_m3(load.total_w)
    if air_changes is not None:
        found[AirMethod.INFILTRATION] = infiltration_volume_m3(load, air_changes)
    return found


def outdoor_opening_mm2(input_w: float) -> float:
    """Free area [mm2] of each of two openings to outdoors, direct or by vertical ducts: 1 in2 for
    4,000 Btu/h. Source: IRC M1703.2 / IFGC 304.6.1 (read)."""
    return by_rate_mm2(input_w, "outdoor_opening")


def horizontal_duct_mm2(input_w: float) -> float:
    """Free area [mm2] of each of two horizontal ducts to outdoors: 1 in2 for 2,000 Btu/h. Source: IRC M1703.2
    (read)."""
    return by_rate_mm2(input_w, "horizontal_duct")


def one_opening_mm2(input_w: float, connectors_mm2: float = 0.0) -> float:
    """Free area [mm2] of a single opening to outdoors: 1 in2 for 3,000 Btu/h, and no less than all vent connectors of
    the space together [mm2]. Source: IFGC 304.6.2 (memory)."""
    return max(by_rate_mm2(input_w, "one_opening"), connectors_mm2)


def indoor_opening_mm2(input_w: float) -> float:
    """Free area [mm2] of each of two openings, high and low, that join rooms of a storey: 1 in2 for 1,000 Btu/h and
    no less than 100 in2. Source: IFGC 304.5.3.1 (read)."""
    return max(by_rate_mm2(input_w, "indoor_opening"), _value("indoor_opening_least") * MM2)


def storeys_opening_mm2(input_w: float) -> float:
    """Free area [mm2] of all openings together that join rooms of different storeys: 2 in2 for 1,000 Btu/h.
    Source: IFGC 304.5.3.2 (memory)."""
    return by_rate_mm2(input_w, "storeys_opening")


def one_opening_space_mm(part: str) -> float:
    """Space that an appliance served by a single opening keeps free [mm]: 1 in at its ``side``s and back, 6 in at its
    ``front``. Source: IFGC 304.6.2 (memory)."""
    return _value(f"one_opening_{part}") * 1000


def combined_mm2(full_mm2: float, counted_m3: float, asked_m3: float) -> float:
    """Free area [mm2] of an opening to outdoors that makes up what the volume [m3] lacks of that asked for: the whole
    opening's, less the share that is there. Source: IFGC 304.7, NFPA 54 annex example (read)."""
    return full_mm2 * (1 - min(counted_m3 / asked_m3, 1.0))


def supply_m3_s(input_w: float, exhaust_m3_s: float = 0.0) -> float:
    """Outdoor air [m3/s] that a fan must bring: 0.35 cfm for 1,000 Btu/h of all appliances in the space, and what other
    fans take out of it. Source: IFGC 304.9, NFPA 54 9.3.6 (read)."""
    return input_w * _value("mechanical_supply") + exhaust_m3_s


@lru_cache(maxsize=1024)
def opening(free_mm2: float, where: str = "") -> AirOpening:
    """An opening of a free area [mm2] with the gross size of its louvre: 75 % of metal ones is free, 25 % of wooden
    ones. Source: IFGC 304.10 (read)."""
    free = ceil(round(free_mm2, 3))
    metal, wood = (ceil(round(free / _value(f"louvre_{m}"), 3)) for m in ("metal", "wood"))
    return AirOpening(free, metal, wood, where)


def by_rate_mm2(input_w: float, symbol: str) -> float:
    """Free area [mm2] by a rate of input to area of the table."""
    return input_w / _value(symbol) * MM2


@cache
def method_row(method: AirMethod) -> Row:
    """What the table of methods says of one."""
    return table("combustion_air_methods").where(method=method.value)


@cache
def method_citation(method: AirMethod) -> str:
    """Standard and section of a method."""
    row = method_row(method)
    return f"{row.text('standard')} {row.text('section')} ({row.text('known_from')}); {DEFAULT}"


def price_keys(provision: AirProvision) -> tuple[str, ...]:
    """Price keys of a provision, each bought once: grilles for each adjoining room; combined air with two openings at
    the price of two."""
    method = provision.method
    if method is AirMethod.COMBINED and len(provision.openings) > 1:
        method = AirMethod.TWO_OPENINGS
    key = method_row(method).cells["key"]
    if key is None:
        return ()
    return (str(key),) * (len(provision.through) if method is AirMethod.GRILLES else 1)


def opens_outdoors(method: AirMethod) -> bool:
    """Whether openings to the outdoors are made."""
    return method_row(method).flag("outdoor")


def joins(use: str) -> bool:
    """Whether the air of a room used so may be counted with another room's."""
    return _of_room(use, "counts")


def may_pass(use: str) -> bool:
    """Whether a duct for combustion air may pass a room used so."""
    return _of_room(use, "passes")


@cache
def _of_room(use: str, column: str) -> bool:
    rows = [r for r in table("combustion_air_rooms").rows if r.text("use") == use]
    return any(r.flag(column) for r in rows)


@cache
def _value(symbol: str) -> float:
    return table("combustion_air").constant(symbol)
