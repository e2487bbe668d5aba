"""Forbidden zones on a wall, decided in whole numbers so that an arc is an arc."""

from __future__ import annotations

from dataclasses import dataclass, replace

from service.survey.equipment import Heater

FAR_MM = 10_000_000
"""Stands for 'without end' in a zone's bounds [mm]."""

Box = tuple[int, int, int, int]


@dataclass(frozen=True, slots=True)
class Zone:
    """Open set of (s, z) where the reference point may not lie.

    All points whose gaps (ds, dz) to the core box [s0, s1] x [z0, z1] satisfy
    ds^2 + dz^2 < radius2. A plain rectangle has ``radius2 == 0``: then the open box itself is
    forbidden. ``within`` cuts the set to an open box (s0, s1, z0, z1). ``rule_id`` and ``object_id``
    say why; ``interpretation`` marks a reading that the code leaves open.
    """

    surface_id: str
    s0: int
    s1: int
    z0: int
    z1: int
    radius2: int
    rule_id: str
    object_id: str
    interpretation: str = ""
    within: Box | None = None

    def covers(self, s: int, z: int) -> bool:
        """Whether (s, z) is strictly inside, exactly."""
        if self.within is not None:
            s0, s1, z0, z1 = self.within
            if not (s0 < s < s1 and z0 < z < z1):
                return False
        if not self.radius2:
            return self.s0 < s < self.s1 and self.z0 < z < self.z1
        ds = max(self.s0 - s, s - self.s1, 0)
        dz = max(self.z0 - z, z - self.z1, 0)
        return ds * ds + dz * dz < self.radius2


@dataclass(frozen=True, slots=True)
class TerminalSpec:
    """All that the place of a terminal depends on. Two heaters with equal specs share zones.

    ``off_wall_mm``: how far before the wall a flue outlet of a case outdoors may be; ``openings_mm``: what its
    listing keeps from openings. ``intake``: it is that of a twin-pipe vent's intake.
    """

    direct: bool
    category: str
    input_w: float
    radius_mm: int
    off_wall_mm: int = 0
    openings_mm: int = 0
    intake: bool = False


def spec_of(heater: Heater, outdoors: bool = False) -> TerminalSpec:
    """All that the place of a heater's terminal depends on, or of its flue outlet outdoors."""
    o = heater.outlet(outdoors)
    return TerminalSpec(
        o.direct, heater.category.value, heater.input_max_w, o.radius_mm, o.off_wall_mm, o.openings_mm
    )  # fmt: skip


def intake_spec_of(heater: Heater) -> TerminalSpec:
    """What the place of its intake's terminal depends on. ValueError if it has none to place."""
    if heater.vent.intake is None:
        raise ValueError(f"{heater.label} has no intake to place")
    return replace(spec_of(heater), radius_mm=heater.vent.intake.terminal_radius_mm, intake=True)
