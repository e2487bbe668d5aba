"""What an answer does not say."""

from __future__ import annotations

from collections.abc import Iterator

from service.survey.model import Survey

NOT_JUDGED = "Not judged by this version: "


def not_judged(survey: Survey) -> tuple[str, ...]:
    """The standing warning, and which facts were given in vain."""
    water = survey.water
    is_sized = bool(water.fixtures)
    given = {
        "water.inlet_temperature": water.inlet_temperature_c is not None and not is_sized,
        "site.climate": survey.site.climate is not None and not is_sized,
    }
    standing = f"{NOT_JUDGED}{', '.join(_left(is_sized))}. Have these looked at."
    names = ", ".join(name for name, is_given in given.items() if is_given)
    return (standing, f"Given but not judged: {names}.") if names else (standing,)


def _left(is_sized: bool) -> Iterator[str]:
    """What nothing is said of; the altitude is judged in a heater's output, which is held against fixtures."""
    if not is_sized:
        yield "the heater's size against the demand for hot water"
    yield "the panel's load as a whole"
    if not is_sized:
        yield "altitude"
