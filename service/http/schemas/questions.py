"""Schema and builder of the places that a survey asks about."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from marshmallow import ValidationError, validates_schema

from service.http.fields import Length, Text
from service.http.schemas.base import Strict, identifier, one, point2
from service.http.schemas.notes import named
from service.survey.questions import AskedMount, AskedTerminal, Question

Entry = Mapping[str, Any]


class AskedMountSchema(Strict):
    """Where the case might hang: its middle, and its underside over the floor."""

    room = Text(required=True)
    at = point2(required=True)
    height = Length()


class AskedTerminalSchema(Strict):
    """Where the vent might end: its terminal's centre, over the ground."""

    at = point2(required=True)
    height = Length()


class QuestionSchema(Strict):
    """A place to be told of: the cheapest design through it, or what forbids it."""

    id = identifier()
    mount = one(AskedMountSchema)
    terminal = one(AskedTerminalSchema)
    dwelling = Text()

    @validates_schema
    def names_a_place(self, data: Entry, **_: object) -> None:
        """A question is about something."""
        if "mount" not in data and "terminal" not in data:
            raise ValidationError("missing: a mount or a terminal is needed", "mount")


def build_questions(entries: list[Entry]) -> tuple[Question, ...]:
    """Questions in the order asked."""
    return tuple(_question(e, i) for i, e in enumerate(entries))


def _question(entry: Entry, index: int) -> Question:
    mount, terminal = entry.get("mount"), entry.get("terminal")
    return Question(
        named(entry, "place", index),
        None if mount is None else AskedMount(mount["room"], mount["at"], mount.get("height")),
        None if terminal is None else AskedTerminal(terminal["at"], terminal.get("height")),
        entry.get("dwelling"),
    )
