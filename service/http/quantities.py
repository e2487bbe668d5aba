"""Figures of the inside world (whole millimetres, cents, watts) written in the survey's units and read back."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import cos, isinf, isqrt, sin

from service.building.model import Frame
from service.phrases import Detail, text
from service.survey.model import Point2, Point3, UnitSystem
from service.units import Quantity, from_si, rounded_from_si, to_si, unit_name

LENGTH_DECIMALS = 4
AREA_DECIMALS = 3
POWER_DECIMALS = 3
AIR_DECIMALS = 5
SHARE_DECIMALS = 6
QUANTITY_DECIMALS = 5
TOLD = (
    Quantity.LENGTH, Quantity.AREA, Quantity.POWER, Quantity.OPENING_AREA, Quantity.VOLUME, Quantity.AIR_FLOW,
)  # fmt: skip
"""What an answer may hold unless it says otherwise."""


def _length_per_mm(system: UnitSystem) -> float:
    unit = unit_name(Quantity.LENGTH, system)
    return to_si(Quantity.LENGTH, 1.0, "mm") / to_si(Quantity.LENGTH, 1.0, unit)


class Quantities:
    """Writes one answer in one system of units, each quantity with its own rounding.

    Lengths carry four decimals (0.03 mm in feet, 0.1 mm in metres), so every whole millimetre,
    turned by any angle, is recovered exactly, points by ``to_frame``.
    """

    def __init__(self, system: UnitSystem, frame: Frame, currency: str) -> None:
        self.system = system
        self._frame = frame
        self._currency = currency
        self._length_per_mm = _length_per_mm(system)
        self._turn = cos(frame.angle_rad), sin(frame.angle_rad)

    def units(self, told: Iterable[Quantity] = TOLD) -> dict[str, str]:
        """Unit of each quantity that an answer, or a part of it, may hold."""
        return {**{q.value: unit_name(q, self.system) for q in told}, "money": self._currency}

    def length(self, mm: float) -> float:
        """Millimetres -> feet or metres."""
        return round(mm * self._length_per_mm, LENGTH_DECIMALS) + 0.0

    def told(self, detail: Detail) -> str:
        """What a finding says, in the answer's units."""
        return text(detail, self.system)

    def length_or_none(self, mm: float | None) -> float | None:
        """As ``length``; None stays None."""
        return None if mm is None else self.length(mm)

    def bound(self, mm: float) -> float | None:
        """As ``length``, but None for infinity."""
        return None if isinf(mm) else self.length(mm)

    def radius(self, radius2: int) -> float:
        """Square of a radius [mm2] -> feet or metres; exact for the whole radii of the rules."""
        root = isqrt(radius2)
        return self.length(root if root * root == radius2 else radius2**0.5)

    def area(self, mm2: float) -> float:
        """Square millimetres -> square feet or square metres."""
        return round(mm2 * self._length_per_mm**2, AREA_DECIMALS) + 0.0

    def power(self, watts: float) -> float:
        """Watts -> Btu/h or kilowatts."""
        return round(from_si(Quantity.POWER, watts, self.system), POWER_DECIMALS)

    def load_or_none(self, watts: float | None) -> float | None:
        """As ``power``, rounded as it is told to people; None stays None."""
        return None if watts is None else rounded_from_si(Quantity.POWER, watts, self.system)

    def gas_pressure_or_none(self, pa: float | None) -> float | None:
        """Pascals -> inches of water or kilopascals; None stays None."""
        return None if pa is None else rounded_from_si(Quantity.GAS_PRESSURE, pa, self.system)

    def gas_flow(self, m3_s: float) -> float:
        """Standard cubic metres a second -> cubic feet or metres an hour."""
        return rounded_from_si(Quantity.GAS_FLOW, m3_s, self.system)

    def speed_or_none(self, m_s: float | None) -> float | None:
        """Metres a second -> feet or metres a second; None stays None."""
        return None if m_s is None else rounded_from_si(Quantity.SPEED, m_s, self.system)

    def temperature(self, celsius: float) -> float:
        """Degrees Celsius -> degrees Fahrenheit or Celsius."""
        return rounded_from_si(Quantity.TEMPERATURE, celsius, self.system)

    def opening_area(self, mm2: float) -> float:
        """Square millimetres -> square inches or square millimetres."""
        return round(from_si(Quantity.OPENING_AREA, mm2 * 1e-6, self.system), AIR_DECIMALS) + 0.0

    def volume_or_none(self, m3: float | None) -> float | None:
        """Cubic metres -> cubic feet or cubic metres; None stays None."""
        return None if m3 is None else round(from_si(Quantity.VOLUME, m3, self.system), AIR_DECIMALS) + 0.0

    def air_flow(self, m3_s: float) -> float:
        """Cubic metres a second -> cubic feet a minute or litres a second."""
        return round(from_si(Quantity.AIR_FLOW, m3_s, self.system), AIR_DECIMALS) + 0.0

    def money(self, cents: int) -> float:
        """Cents -> units of the price book's currency, two decimals."""
        return round(cents / 100, 2)

    def money_or_none(self, cents: int | None) -> float | None:
        """As ``money``; None stays None."""
        return None if cents is None else self.money(cents)

    def plan_point(self, p: Point2) -> list[float]:
        """Plan point of the frame [mm] -> plan point of the survey, not rounded to whole millimetres."""
        c, s = self._turn
        return [self.length(c * p[0] - s * p[1]), self.length(s * p[0] + c * p[1])]

    def point(self, p: Point3) -> list[float]:
        """As ``plan_point``, with the height."""
        return [*self.plan_point((p[0], p[1])), self.length(p[2])]

    def read_money(self, value: float) -> int:
        """Units of currency -> cents."""
        return round(value * 100)

    def to_frame(self, p: Sequence[float]) -> Point3:
        """Point of the survey [mm], not rounded -> point of the frame [mm]."""
        c, s = self._turn
        return round(c * p[0] + s * p[1]), round(-s * p[0] + c * p[1]), round(p[2])
