"""What the intake took for granted, and what it set right, gathered while a survey is built."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TypeVar

from service.survey.model import Point2, UnitSystem
from service.survey.outlines import tidy

T = TypeVar("T")
ROUNDED = "Lengths and coordinates are rounded to whole millimetres"


class Notes:
    """Assumptions and warnings of one survey, in the order they came up."""

    def __init__(self, system: UnitSystem) -> None:
        """``system`` is the one in which sentences give their figures."""
        self.system = system
        self._assumed: dict[str, list[str]] = {}
        self._warnings: list[str] = []

    def assume(self, sentence: str, subject: str | None = None) -> None:
        """Note an assumption; those with the same sentence are told once, with all their subjects."""
        subjects = self._assumed.setdefault(sentence, [])
        if subject is not None:
            subjects.append(subject)

    def taken(self, given: Any, default: T, sentence: str, subject: str | None = None) -> T:
        """What was given, else the default - and then say so."""
        if given is None:
            self.assume(sentence, subject)
        value: T = default if given is None else given
        return value

    def unknown(self, given: T | None, sentence: str, subject: str) -> T | None:
        """What was given; if nothing, say how the unknown is treated."""
        if given is None:
            self.assume(sentence, subject)
        return given

    def warn(self, text: str) -> None:
        """Note a repair or an oddity."""
        self._warnings.append(text)

    def outline(self, points: list[Point2], subject: str) -> tuple[Point2, ...]:
        """A tidy outline, each repair told."""
        outline, repairs = tidy(tuple(points))
        for repair in repairs:
            self.warn(f"outline of {subject}: {repair}")
        return outline

    def assumptions(self) -> tuple[str, ...]:
        """All assumptions as sentences."""
        return tuple(
            f"{sentence}: {', '.join(subjects)}." if subjects else f"{sentence}."
            for sentence, subjects in self._assumed.items()
        )

    def warnings(self) -> tuple[str, ...]:
        """All warnings as sentences."""
        return tuple(self._warnings)


def named(entry: Mapping[str, Any], stem: str, index: int) -> str:
    """Id of a list entry: its own, else made from the stem and its place in the list."""
    given: str | None = entry.get("id")
    return given if given is not None else f"{stem}-{index + 1}"
