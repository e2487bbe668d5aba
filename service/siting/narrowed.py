"""What of a house keeps a proof to the stated network of positions and routes, in words."""

from __future__ import annotations

from service.siting.ground import Ground
from service.survey.model import GasMethod


def narrowed(ground: Ground) -> list[str]:
    """Why a proof covers the network only, limits that decide aside; nothing where it covers all positions."""
    notes = []
    skew = any(w.is_skew for w in ground.sheets.walls)
    if skew:
        notes.append("skew walls are reached at their corners only")
    if ground.oblique:
        notes.append("existing pipes whose ends differ in more than one direction are tapped at their ends only")
    if ground.survey.gas.method is GasMethod.PRESSURE:
        notes.append("sized by pressure, old gas pipe is tapped at the places of the network")
    if any(ground.pressures.values()):
        notes.append("water pressure binds: the cold run by its cheapest route, sizes and hot run as that asks")
    if not all(need.gas.is_rigid for need in ground.needs):
        notes.append("old gas pipes whose fittings are counted are renewed in the smallest sizes that carry the load")
    return notes + _of_roof(ground)


def _of_roof(ground: Ground) -> list[str]:
    """Where a roof is not taken to the millimetre."""
    planes, notes = ground.building.roof, []
    if any(not p.is_level for p in planes):
        notes.append("on pitched roofs the room that rules take round a thing is taken at its largest")
    if any(not p.is_square or (p.axis is None and not p.is_level) for p in planes):
        notes.append("along skew edges of a roof, and where it rises askew, places are the network's")
    return notes
