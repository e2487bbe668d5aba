"""Scales and scale bars: round ones of each system of measure.

Metric scales after ISO 5455, those in feet and inches as architects' rules carry them (both from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

from service.survey.model import UnitSystem

SCALES: dict[UnitSystem, tuple[int, ...]] = {
    UnitSystem.SI: (5, 10, 20, 25, 50, 75, 100, 150, 200, 250, 500, 1000, 2000, 5000, 10000, 20000, 50000),
    UnitSystem.US: (6, 12, 16, 24, 32, 48, 64, 96, 128, 192, 240, 360, 480, 600, 1200, 2400, 6000, 12000, 24000, 48000),
}
_UNIT_MM = {UnitSystem.SI: 1000.0, UnitSystem.US: 304.8}
_UNIT = {UnitSystem.SI: "m", UnitSystem.US: "ft"}
_STEPS = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0)
_BAR_MM = 42.0
_NOISE_MM = 1e-6


@dataclass(frozen=True, slots=True)
class Bar:
    """Scale bar: length of one of its two parts on paper [mm], and what its three marks say."""

    part_mm: float
    words: tuple[str, str, str]


def scale_for(wide_mm: float, high_mm: float, room: tuple[float, float], system: UnitSystem) -> int:
    """The largest scale of the system at which a view fits into a room of paper (width, height) [mm].

    Raises ValueError if even the smallest is too large.
    """
    for scale in SCALES[system]:
        if wide_mm <= scale * room[0] + _NOISE_MM and high_mm <= scale * room[1] + _NOISE_MM:
            return scale
    raise ValueError(f"a view of {wide_mm} mm by {high_mm} mm is beyond every scale")


def bar_for(scale: int, system: UnitSystem) -> Bar:
    """The scale bar of a scale."""
    unit = _UNIT_MM[system]
    step = max((s for s in _STEPS if 2 * s * unit / scale <= _BAR_MM), default=_STEPS[0])
    return Bar(step * unit / scale, ("0", f"{step:g}", f"{2 * step:g} {_UNIT[system]}"))
