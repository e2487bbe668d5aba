"""Low-pressure gas sizing written down anew from the published equation, without the service's code.

Sources: IFGC 402.4 in its diameter form, D = Q^0.381 / (19.17 (dH / (Cr L))^0.206), D in, Q cfh, dH in w.c.,
L ft, with Cr = 0.00354 S T (Z/S)^0.152, T = 520 R, Z = 0.012 natural gas, 0.008 propane (read: Cr and Y as printed
for S = 0.60 and 1.50 come out); inside diameters of Schedule 40 pipe (memory, ASME B36.10); the screwed elbow is
taken as 30 diameters (common practice), which the table of equivalent lengths follows.
"""

from __future__ import annotations

from math import dist

from service.design import Design, Piece, Service
from service.survey.model import GasSegment, Point3, Survey

INSIDE_IN = {"1/2": 0.622, "3/4": 0.824, "1": 1.049, "1-1/4": 1.380, "1-1/2": 1.610}
VISCOSITY = {"natural_gas": 0.012, "propane": 0.008}
PRINTED_ROUNDING = 1.005
"""The two printed forms of the equation differ by up to this factor in diameter."""
FEET, PA_PER_INCH, CUBIC_FEET_AN_HOUR = 304.8, 249.08891, 3600 / 0.028316847


def inside_needed_in(survey: Survey, load_w: float, length_mm: float) -> float:
    """Least inside diameter [in] for a load over a length at the allowable drop."""
    site = survey.site
    cr = 0.00354 * site.specific_gravity * 520 * (VISCOSITY[site.fuel] / site.specific_gravity) ** 0.152
    flow = load_w / site.heating_value_j_m3 * CUBIC_FEET_AN_HOUR
    gradient = survey.gas.allowable_drop_pa / PA_PER_INCH / (cr * length_mm / FEET)
    return float(flow**0.381 / (19.17 * gradient**0.206))


def undersized(survey: Survey, design: Design, to_survey: list[Piece]) -> list[str]:
    """The branch and every old segment before it that is too small; empty when the gas reaches the heater.

    ``to_survey`` are the pieces of the gas run with their ends in survey coordinates.
    """
    route = design.route(Service.GAS)
    assert route is not None
    upstream_mm, way = _tap(survey, route.end_id, to_survey[-1].end)
    elbows_mm = route.elbows * 30 * INSIDE_IN[route.option] * 25.4
    branch_mm = upstream_mm + sum(dist(p.start, p.end) for p in to_survey) + elbows_mm
    input_w = design.heater.input_max_w
    runs = [(f"branch {route.option}", route.option, input_w, branch_mm)]
    longest_mm = max(branch_mm, *(_length_to(survey, s.end) for s in survey.gas.segments))
    runs += [(s.id, s.size, _behind_w(survey, s) + input_w, longest_mm) for s in way]
    return [
        name for name, size, load, length in runs
        if inside_needed_in(survey, load, length) > INSIDE_IN[size] * PRINTED_ROUNDING
    ]  # fmt: skip


def _tap(survey: Survey, end_id: str, at: Point3) -> tuple[float, list[GasSegment]]:
    """Length from the delivery to the tap, and the segments on the way."""
    segment = next((s for s in survey.gas.segments if s.id == end_id), None)
    if segment is None:
        return _length_to(survey, end_id), _way(survey, end_id)
    end = next(n.at for n in survey.gas.nodes if n.id == segment.end)
    return _length_to(survey, segment.end) - dist(at, end), _way(survey, segment.end)


def _way(survey: Survey, node: str) -> list[GasSegment]:
    into = {s.end: s for s in survey.gas.segments}
    return [into[node], *_way(survey, into[node].start)] if node in into else []


def _length_to(survey: Survey, node: str) -> float:
    return sum(s.length_mm for s in _way(survey, node))


def _behind_w(survey: Survey, segment: GasSegment) -> float:
    return sum(a.input_w for a in survey.gas.appliances if segment in _way(survey, a.node))
