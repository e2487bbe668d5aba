"""Whether a heater that burns room air finds enough of it where it hangs, and whether power carries it."""

from __future__ import annotations

from service.building.model import Behind, Building, BuiltRoom
from service.check.routes import face_of
from service.check.verdicts import stated
from service.design import Design, Finding
from service.rules.tables import table
from service.survey.equipment import Draft
from service.survey.model import Survey
from service.trades.air import required_volume_m3


def air_findings(survey: Survey, building: Building, design: Design) -> tuple[Finding, ...]:
    """Standard volume of the room, or openings to outdoors where it has an outer wall."""
    face = face_of(building, design)
    if design.heater.draft is Draft.DIRECT or face is None:
        return ()
    room = building.room(face.room_id)
    needed = required_volume_m3(design.heater.input_max_w + _others_w(survey, room))
    volume = room.volume_m3
    outer = _has_outer_wall(building, room)
    holds = volume >= needed or (design.air_openings and outer)
    detail = f"{volume:.1f} m3 in {room.id}, {needed:.1f} m3 asked"
    if design.air_openings:
        detail += ", two openings to outdoors" + ("" if outer else " but no outer wall")
    return (stated("air.volume", "air", room.id, holds, detail, _citation()),)


def _citation() -> str:
    return table("combustion_air").where(symbol="standard_volume").text("section")


def _others_w(survey: Survey, room: BuiltRoom) -> float:
    """Input of what else may burn air of the room: an unknown draft as room air, an unknown room as this one [W]."""
    taking = (a for a in survey.gas.appliances if a.direct_vent is not True)
    return sum(a.input_w for a in taking if a.room is None or a.room == room.id)


def _has_outer_wall(building: Building, room: BuiltRoom) -> bool:
    return any(t.behind is Behind.OUTDOORS for f in building.faces if f.room_id == room.id for t in f.stretches)
