"""A supply as it would be: at another delivery pressure, and with a heater's branch on it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from service.survey.model import Appliance, GasSegment, GasSupply, LineRegulator, PressureOption

HEATER_KIND = "tankless heater"


@dataclass(frozen=True, slots=True)
class Branch:
    """A heater and the pipe to it: ``tap`` is the node or segment that it leaves, ``cut_mm`` how far along the
    segment (measured in pipe from its start). ``regulator`` is the heater's own, for a branch ahead of the one at
    its tap."""

    heater_id: str
    input_w: float
    inlet_min_pa: float
    inlet_max_pa: float
    tap: str
    cut_mm: int
    material: str
    size: str | None
    length_mm: int
    elbows: int
    tees: int
    room: str | None = None
    direct_vent: bool | None = None
    regulator: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Extended:
    """A supply with a heater on it, at ``node``. ``before``: id of the part of the tapped segment ahead of the tap,
    ``after`` of the part beyond it (both None at a node)."""

    supply: GasSupply
    node: str
    branch: str
    before: str | None
    after: str | None


def at_pressure(supply: GasSupply, option: PressureOption | None) -> GasSupply:
    """The supply at another delivery pressure; the old piping stays behind a new line regulator, if there is one."""
    if option is None:
        return supply
    changed = replace(supply, pressure_pa=option.pressure_pa, allowable_drop_pa=option.allowable_drop_pa)
    if option.regulated_pa is None:
        return changed
    drop = supply.allowable_drop_pa if option.regulated_drop_pa is None else option.regulated_drop_pa
    at_delivery = LineRegulator(supply.delivery_node, option.regulated_pa, drop)
    return replace(changed, regulators=(at_delivery, *supply.regulators))


def with_heater(supply: GasSupply, branch: Branch) -> Extended:
    """The supply with a branch from a node or from within a segment; KeyError for an unknown tap."""
    segment = next((s for s in supply.segments if s.id == branch.tap), None)
    if segment is None:
        nodes = {supply.delivery_node} | {s.end for s in supply.segments}
        if branch.tap not in nodes:
            raise KeyError(branch.tap)
        return _hung(supply, branch, branch.tap, None, None)
    if branch.cut_mm <= 0:
        return _hung(supply, branch, segment.start, None, None)
    if branch.cut_mm >= segment.length_mm:
        return _hung(supply, branch, segment.end, None, None)
    tap = _unused(supply, f"tap on {segment.id}")
    before, after = _cut(segment, tap, branch.cut_mm)
    segments = tuple(part for s in supply.segments for part in ((before, after) if s.id == segment.id else (s,)))
    return _hung(replace(supply, segments=segments), branch, tap, before.id, after.id)


def _cut(segment: GasSegment, tap: str, cut_mm: int) -> tuple[GasSegment, GasSegment]:
    """Both parts of a segment; its fittings count ahead of the tap, the safe side."""
    before = replace(segment, id=f"{segment.id} before tap", end=tap, length_mm=cut_mm)
    after = replace(
        segment, id=f"{segment.id} after tap", start=tap, length_mm=segment.length_mm - cut_mm,
        elbows=None, tees=None, before_regulator=False,
    )  # fmt: skip
    return before, after


def _hung(supply: GasSupply, branch: Branch, tap: str, before: str | None, after: str | None) -> Extended:
    node = _unused(supply, f"heater {branch.heater_id}")
    pipe = GasSegment(
        f"branch to {node}", tap, node, branch.material, branch.size, branch.length_mm, branch.elbows, branch.tees,
        fixed=branch.size is not None, before_regulator=branch.regulator is not None,
    )  # fmt: skip
    heater = Appliance(
        branch.heater_id, HEATER_KIND, branch.input_w, branch.direct_vent, branch.room, node,
        branch.inlet_min_pa, branch.inlet_max_pa,
    )  # fmt: skip
    own = () if branch.regulator is None else (LineRegulator(node, *branch.regulator),)
    extended = replace(
        supply,
        segments=(*supply.segments, pipe),
        appliances=(*supply.appliances, heater),
        regulators=(*supply.regulators, *own),
    )
    return Extended(extended, node, pipe.id, before, after)


def _unused(supply: GasSupply, name: str) -> str:
    """A node name that the survey does not use."""
    nodes = {supply.delivery_node} | {node for s in supply.segments for node in (s.start, s.end)}
    while name in nodes:
        name += "'"
    return name
