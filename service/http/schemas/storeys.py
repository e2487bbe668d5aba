"""Schemas of the house: storeys with their rooms, openings, walls and keep-outs; chases."""

from __future__ import annotations

from marshmallow import Schema

from service.http.fields import Choice, Flag, Length, Measure, Text
from service.http.schemas.air import JoinedSchema
from service.http.schemas.base import Strict, extent, identifier, many, one, point2, ring, some
from service.http.schemas.rooms import AccessSchema, EnclosureSchema
from service.survey.model import GarageKind, KeepOutKind, OpeningKind, RoomUse, WallKind
from service.units import Quantity


class RoomSchema(Strict):
    """Room outline and facts."""

    id = identifier()
    use = Choice(RoomUse)
    outline = ring(required=True)
    finished = Flag()
    floor = Length()
    ceiling = Length()
    opens_only_into = Text()
    enclosure = one(EnclosureSchema)
    garage = Choice(GarageKind)
    access = one(AccessSchema)
    serviced_through_door = Flag()
    joined = many(JoinedSchema)
    under_roof = Flag()
    exhaust_flow = Measure(Quantity.AIR_FLOW, 0, 100)


# ``from`` is a keyword, so the class is made from a dict.
OpeningSchema: type[Schema] = Strict.from_dict(
    {
        "id": identifier(),
        "kind": Choice(OpeningKind, required=True),
        "from": point2(required=True),
        "to": point2(required=True),
        "sill": Length(),
        "head": Length(),
        "operable": Flag(),
        "swings_out": Flag(),
    },
    name="OpeningSchema",
)


class WallSchema(Strict):
    """Facts about a stretch of wall."""

    id = identifier()
    start = point2(required=True)
    end = point2(required=True)
    kind = Choice(WallKind)
    thickness = extent()


class KeepOutSchema(Strict):
    """Prism that blocks; base and top count from the storey's floor."""

    id = identifier()
    kind = Choice(KeepOutKind)
    outline = ring(required=True)
    base = Length()
    top = Length()


class StoreySchema(Strict):
    """One level."""

    id = identifier()
    floor = Length()
    ceiling = Length()
    rooms = some(RoomSchema, required=True)
    openings = many(OpeningSchema, required=True)
    walls = many(WallSchema)
    keep_outs = many(KeepOutSchema)


class ChaseSchema(Strict):
    """Shaft through floors; base and top in the survey's datum."""

    id = identifier()
    outline = ring(required=True)
    base = Length(required=True)
    top = Length(required=True)
