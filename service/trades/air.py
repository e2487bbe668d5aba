"""Combustion air of heaters that draw it from the room."""

from __future__ import annotations

from service.rules.tables import table


def required_volume_m3(input_total_w: float) -> float:
    """Room volume [m3] of the standard method: 50 ft3 for each 1,000 Btu/h of all inputs in the
    space but those of direct-vent appliances. Source: IFGC 304.5.1, NFPA 54 9.3.2.1 (read)."""
    return input_total_w * table("combustion_air").constant("standard_volume")


def room_air_ok(volume_m3: float, input_total_w: float) -> bool:
    """Whether the space [m3] holds air enough for the inputs [W] by the standard method."""
    return volume_m3 >= required_volume_m3(input_total_w)


def outdoor_opening_mm2(input_w: float) -> float:
    """Free area [mm2] of each of two openings to outdoors, direct or by vertical ducts: 1 in2 for
    4,000 Btu/h. Source: IRC M1703.2 / IFGC 304.6.1 (read)."""
    return input_w / table("combustion_air").constant("outdoor_opening") * 1e6
