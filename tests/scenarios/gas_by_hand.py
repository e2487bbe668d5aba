"""The gas system after a design's works, sized anew pipe for pipe, without the service's own sizing.

Longest-length method (IFGC 402.4.1, read): one length for all pipes of a pressure zone, from its root to the farthest
outlet, fittings counted; the next row that is not shorter; printed cells where a table fits, elsewhere the equation
in its diameter form. Loads are the inputs that hang behind a pipe; the branch leaves by a tee.

Sources: Table 402.4(2) (memory; the row of 100 ft read in Table A.3.4), 402.4(28) (read, its rows beyond 60 ft left
out: their labels are wrong), 402.4(33) (read); gravity multipliers A.2.4 (read); equivalent lengths of steel A.2.2
(read), of corrugated tubing 1.3 ft (memory); equation IFGC 402.4, D = Q^0.381 / (19.17 (dH / (Cr L))^0.206), D in,
Q cfh, dH in w.c., L ft (constants memory), Cr = 0.00354 S T (Z/S)^0.152, T = 520 R, Z = 0.012 natural gas, 0.008
propane (gives the printed Cr at S = 0.60 and 1.50); inside diameters of Schedule 40 (read).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import dist

from service.design import Design, Piece, RenewedPart, Service
from service.survey.model import GasSegment, PressureOption, Survey

INSIDE_IN = {"1/2": 0.622, "3/4": 0.824, "1": 1.049, "1-1/4": 1.380, "1-1/2": 1.610}
ELBOW_FT = {"1/2": 1.55, "3/4": 2.06, "1": 2.62, "1-1/4": 3.45, "1-1/2": 4.02}
TEE_FT = {"1/2": 3.10, "3/4": 4.12, "1": 5.24, "1-1/4": 6.90, "1-1/2": 8.04}
TUBING_FITTING_FT = 1.3
ROWS_FT = (10, 20, 30, 40, 50, 60, 70, 80, 90, 100, 125, 150, 175, 200)
NATURAL_GAS_CFH = {
    "1/2": (172, 118, 95, 81, 72, 65, 60, 56, 52, 50, 44, 40, 37, 34),
    "3/4": (360, 247, 199, 170, 151, 137, 126, 117, 110, 104, 92, 83, 77, 71),
    "1": (678, 466, 374, 320, 284, 257, 237, 220, 207, 195, 173, 157, 144, 134),
    "1-1/4": (1390, 957, 768, 657, 583, 528, 486, 452, 424, 400, 355, 322, 296, 275),
    "1-1/2": (2090, 1430, 1150, 985, 873, 791, 728, 677, 635, 600, 532, 482, 443, 412),
}
"""402.4(2): natural gas of gravity 0.60, below 2 psi, drop 0.5 in w.c., Schedule 40."""
PROPANE_KBTU_H = {
    "1/2": (291, 200, 160, 137, 122, 110),
    "3/4": (608, 418, 336, 287, 255, 231),
    "1": (1150, 787, 632, 541, 480, 434),
    "1-1/4": (2350, 1620, 1300, 1110, 985, 892),
}
"""402.4(28): propane of gravity 1.50, 11 in w.c., drop 0.5 in w.c., Schedule 40; rows of 10 to 60 ft."""
MISLABELLED_KBTU_H = {"3/4": {80: 212, 100: 197}}
"""402.4(28) as printed beyond 60 ft: what 70 and 80 ft pass stands in the rows called 80 and 100 (read)."""
TUBING_ROWS_FT = (10, 25, 30, 40, 50, 75, 80)
TUBING_2_PSI_KBTU_H = {
    "13": (426, 262, 238, 203, 181, 147, 140),
    "15": (558, 347, 316, 271, 243, 196, 189),
    "18": (927, 591, 540, 469, 420, 344, 333),
}
"""402.4(33): propane of gravity 1.50, 2 psi, drop 1 psi, corrugated tubing by EHD."""
MULTIPLIERS = ((0.60, 1.0), (0.65, 0.96), (0.70, 0.93))
VISCOSITY = {"natural_gas": 0.012, "propane": 0.008}
FEET, IN_WC, PSI = 304.8, 249.08891, 6894.757
BTU_H, CUBIC_FEET_AN_HOUR = 1055.05585262 / 3600, 3600 / 0.028316847


@dataclass(frozen=True, slots=True)
class Line:
    """One pipe as it will be: from node to node, its own length and its fittings."""

    name: str
    start: str
    end: str
    material: str
    size: str
    length_ft: float
    elbows: int
    tees: int
    ahead_of_regulator: bool = False

    @property
    def run_ft(self) -> float:
        """Length with the equivalent lengths of the fittings."""
        if self.material == "csst":
            return self.length_ft + TUBING_FITTING_FT * (self.elbows + self.tees)
        return self.length_ft + self.elbows * ELBOW_FT[self.size] + self.tees * TEE_FT[self.size]


@dataclass(frozen=True, slots=True)
class Judged:
    """What a pipe has to carry over which length, and what it can."""

    line: Line
    load_btu_h: float
    length_ft: float
    capacity_btu_h: float

    @property
    def is_too_small(self) -> bool:
        """Whether the load is more than the capacity, but for the last bits of a conversion."""
        return self.load_btu_h > self.capacity_btu_h * (1 + 1e-6)


def undersized(survey: Survey, design: Design, to_survey: list[Piece]) -> list[str]:
    """Names of pipes that do not carry their load; ``to_survey`` is the gas run in the survey's coordinates."""
    return [j.line.name for j in judged(survey, design, to_survey) if j.is_too_small]


def judged(survey: Survey, design: Design, to_survey: list[Piece]) -> list[Judged]:
    """Every pipe that carries gas: the branch first, then what there was, as renewed."""
    lines = list(_lines(survey, design, to_survey))
    inputs = [(a.node, a.input_w / BTU_H) for a in survey.gas.appliances]
    inputs.append(("heater", design.heater.input_max_w / BTU_H))
    found = []
    for line in lines:
        load = sum(w for node, w in inputs if line in _way(lines, node))
        zone = [other for other in lines if other.ahead_of_regulator == line.ahead_of_regulator]
        longest = max(sum(part.run_ft for part in _way(zone, other.end)) for other in zone)
        if load:
            found.append(Judged(line, load, longest, _capacity_btu_h(survey, design, line, longest)))
    return found


def row_ft(length_ft: float, rows: tuple[int, ...] = ROWS_FT) -> int:
    """The next row that is not shorter."""
    return next(row for row in rows if row >= length_ft - 0.01)


def steel_btu_h(survey: Survey, size: str, length_ft: float) -> float:
    """What Schedule 40 pipe passes at the survey's own low pressure and drop."""
    site, row = survey.site, row_ft(length_ft)
    heating_value = site.heating_value_j_m3 / CUBIC_FEET_AN_HOUR / BTU_H
    usual_drop = abs(survey.gas.allowable_drop_pa / IN_WC - 0.5) < 0.01
    if site.fuel == "natural_gas" and usual_drop:
        multiplier = next(m for gravity, m in MULTIPLIERS if gravity >= site.specific_gravity)
        return NATURAL_GAS_CFH[size][ROWS_FT.index(row)] * multiplier * heating_value
    if site.fuel == "propane" and usual_drop and site.specific_gravity == 1.5 and row <= 60:
        return PROPANE_KBTU_H[size][ROWS_FT.index(row)] * 1000.0
    return by_equation_btu_h(survey, size, row)


def by_equation_btu_h(survey: Survey, size: str, length_ft: float) -> float:
    """Low-pressure equation, solved for the flow of a pipe of this size."""
    site = survey.site
    cr = 0.00354 * site.specific_gravity * 520 * (VISCOSITY[site.fuel] / site.specific_gravity) ** 0.152
    gradient = survey.gas.allowable_drop_pa / IN_WC / (cr * length_ft)
    flow: float = (19.17 * gradient**0.206 * INSIDE_IN[size]) ** (1 / 0.381)
    return flow * site.heating_value_j_m3 / CUBIC_FEET_AN_HOUR / BTU_H


def _capacity_btu_h(survey: Survey, design: Design, line: Line, length_ft: float) -> float:
    if not line.ahead_of_regulator:
        assert line.material == "steel_sch40"
        return steel_btu_h(survey, line.size, length_ft)
    option = _option(survey, design)
    assert option is not None and line.material == "csst" and survey.site.fuel == "propane"
    assert abs(option.pressure_pa / PSI - 2) < 0.02 and option.allowable_drop_pa / PSI > 0.99
    row = row_ft(length_ft, TUBING_ROWS_FT)
    return TUBING_2_PSI_KBTU_H[line.size][TUBING_ROWS_FT.index(row)] * 1000.0


def _option(survey: Survey, design: Design) -> PressureOption | None:
    """The new delivery pressure; what lies behind its regulator must keep the pressure and drop it has had."""
    option = next((o for o in survey.gas.pressure_options if o.id == design.gas.pressure_option), None)
    if option is not None:
        assert (option.regulated_pa, option.regulated_drop_pa) == (survey.gas.pressure_pa, survey.gas.allowable_drop_pa)
    return option


def _lines(survey: Survey, design: Design, to_survey: list[Piece]) -> Iterator[Line]:
    route = design.route(Service.GAS)
    assert route is not None and not survey.gas.regulators
    material, _, size = route.option.rpartition(".")
    cut = next((s for s in survey.gas.segments if s.id == route.end_id), None)
    length = sum(dist(p.start, p.end) for p in to_survey) / FEET
    yield Line(
        "branch", "tap" if cut else route.end_id, "heater", material or "steel_sch40", size, length,
        route.elbows, 1, design.gas.ahead_of_regulator,
    )  # fmt: skip
    for segment in survey.gas.segments:
        yield from _old(survey, design, segment, to_survey[-1] if segment is cut else None)


def _old(survey: Survey, design: Design, segment: GasSegment, tapped: Piece | None) -> Iterator[Line]:
    """An old pipe as it will be, in two parts if the branch leaves it on the way."""
    elbows, tees, length = segment.elbows or 0, segment.tees or 0, segment.length_mm / FEET
    if tapped is None:
        material, size = _renewed(design, segment, RenewedPart.WHOLE)
        yield Line(segment.id, segment.start, segment.end, material, size, length, elbows, tees)
        return
    end = next(n.at for n in survey.gas.nodes if n.id == segment.end)
    beyond = dist(tapped.end, end) / FEET
    material, size = _renewed(design, segment, RenewedPart.BEFORE_TAP)
    yield Line(f"{segment.id} before", segment.start, "tap", material, size, length - beyond, elbows, tees)
    material, size = _renewed(design, segment, RenewedPart.AFTER_TAP)
    yield Line(f"{segment.id} after", "tap", segment.end, material, size, beyond, 0, 0)


def _renewed(design: Design, segment: GasSegment, part: RenewedPart) -> tuple[str, str]:
    assert segment.size is not None
    new = [r for r in design.gas.renewals if (r.segment_id, r.part) == (segment.id, part)]
    return (new[0].material, new[0].size) if new else (segment.material, segment.size)


def _way(lines: list[Line], node: str) -> list[Line]:
    """Lines from the delivery to a node, as far as they are among those given."""
    into = {line.end: line for line in lines}
    return [into[node], *_way(lines, into[node].start)] if node in into else []
