"""What sizing a gas system returns; the HTTP layer and the command line only render it."""

from __future__ import annotations

from dataclasses import dataclass

from service.design import Finding
from service.survey.model import GasMethod


@dataclass(frozen=True, slots=True)
class SegmentReport:
    """One pipe, by the method that governs. ``action``: keep | renew | new | impossible. Powers [W], pressures
    gauge [Pa], speed [m/s], money in cents (None: cannot be had). ``already_short``: too small for what it carries
    today, without the heater."""

    id: str
    start: str
    end: str
    zone: int
    material: str
    load_w: float
    flow_m3_s: float
    length_mm: int
    length_used_mm: int
    size_present: str | None
    size_needed: str | None
    action: str
    material_chosen: str | None
    size_chosen: str | None
    capacity_w: float | None
    present_capacity_w: float | None
    source: str
    known_from: str
    pressure_in_pa: float | None
    pressure_out_pa: float | None
    speed_m_s: float | None
    speed_note: str
    already_short: bool
    cost_cents: int | None


@dataclass(frozen=True, slots=True)
class InletReport:
    """One appliance: what its inlet sees without flow and with everything firing, against its range [Pa].

    ``limits_from``: nameplate, listing, or common practice. ``derated_w``: input at the site's altitude, a note."""

    id: str
    kind: str
    node: str
    input_w: float
    derated_w: float | None
    static_pa: float | None
    full_fire_pa: float | None
    min_pa: float
    max_pa: float
    limits_from: str
    lawful: bool | None


@dataclass(frozen=True, slots=True)
class ZoneReport:
    """One pressure zone: supply, permitted drop, longest run, and the line regulator that feeds it."""

    root: str
    supply_pa: float
    drop_pa: float
    longest_mm: int
    load_w: float
    regulator: bool
    hybrid: bool


@dataclass(frozen=True, slots=True)
class MethodReport:
    """What one method makes of the same tree: sizes by segment id, and the cost of what is renewed or new."""

    method: GasMethod
    governs: bool
    sizes: tuple[tuple[str, str | None, str], ...]  # (segment id, size needed, action)
    cost_cents: int | None
    cross_check: str


@dataclass(frozen=True, slots=True)
class MeterReport:
    """Meter and service regulator against what is drawn at once [W]; ``class_needed`` None beyond the table."""

    connected_w: float
    drawn_w: float
    capacity_w: float
    enough: bool
    class_needed: str | None
    service_regulator_w: float | None
    service_regulator_enough: bool | None


@dataclass(frozen=True, slots=True)
class PartLine:
    """Item that a rule of the code asks for along new pipe, with its count, and the rule."""

    item: str
    quantity: float
    per: str
    where: str
    citation: str
    known_from: str


@dataclass(frozen=True, slots=True)
class GasReport:
    """A gas system sized: by the governing method, the others beside it. ``lawful``: nothing fails, nothing is
    unknown. ``cost_cents``: pipe that is renewed or new, None if some pipe cannot be had."""

    lawful: bool
    method: GasMethod
    fittings: str
    diversity: float | None
    zones: tuple[ZoneReport, ...]
    segments: tuple[SegmentReport, ...]
    inlets: tuple[InletReport, ...]
    meter: MeterReport
    methods: tuple[MethodReport, ...]
    parts: tuple[PartLine, ...]
    findings: tuple[Finding, ...]
    request_to_supplier: tuple[str, ...]
    cost_cents: int | None
    assumptions: tuple[str, ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
