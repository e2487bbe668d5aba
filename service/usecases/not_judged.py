"""What an answer does not say, and facts of the survey that nothing was made of."""

from __future__ import annotations

from service.survey.model import Survey

NOT_JUDGED = (
    "Not judged by this version: the heater's size against the demand for hot water, pressure of the water, the "
    "panel's load as a whole, altitude. Have these looked at."
)


def not_judged(survey: Survey) -> tuple[str, ...]:
    """The standing warning, and which facts were given in vain."""
    water = survey.water
    given = {
        "water.static_pressure": water.static_pressure_pa is not None,
        "water.fixtures": bool(water.fixtures),
    }
    names = ", ".join(name for name, is_given in given.items() if is_given)
    return (NOT_JUDGED, f"Given but not judged: {names}.") if names else (NOT_JUDGED,)
