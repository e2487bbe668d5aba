"""Whether designs of several dwellings can stand beside one another: in the rooms, at the walls, on the gas, as paid.

What one design must keep from the things of another is judged with the design itself, in the house as the others leave
it (``neighbours``); here stands what concerns them together.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import combinations, permutations
from math import dist, isqrt

from service.building.model import Building
from service.check.gas_tree import at_once_w
from service.check.gas_works import joined_option, split_option
from service.check.joint_pressure import pressure_findings
from service.check.measure import floor_root, interval_gap
from service.check.neighbours import case_outside
from service.check.outdoor_space import gap2
from service.check.place import rooms_touched
from service.check.prices import shared_holes
from service.check.routes import elbows_of
from service.check.verdicts import all_of, at_least, in_order, stated
from service.design import (
    Design,
    Finding,
    JointDesign,
    RoofTerminal,
    Route,
    Service,
    Sleeve,
    Terminal,
    Verdict,
)
from service.phrases import Detail, mm, phrase, watts
from service.rules.rulesets import rule_set
from service.survey.divided import passable_rooms
from service.survey.equipment import MONEY_SCALE, Per
from service.survey.model import GasMaterial, GasSegment, Point2, Survey
from service.trades.gas_equation import ROUNDING
from service.trades.gas_pipe import is_known

LOAD, EXISTING, PLASTIC = "IFGC 402.2", "IFGC 401.4", "IFGC 404.17"
TAP_SLACK_MM = 2
LEAST_SHARING = 2
"""One run alone shares its hole with nobody."""
End = Terminal | RoofTerminal
Place = tuple[str, End, int]
"""What a terminal is, where it is, its radius [mm]."""


def joint_findings(survey: Survey, building: Building, joint: JointDesign) -> tuple[Finding, ...]:
    """Findings that concern several dwellings' designs together. Distances in whole millimetres; equality passes."""
    designs = dict(joint.designs)
    missing = [d.id for d in survey.dwellings if d.id not in designs]
    lacking = (f"{name} has no heater" for name in missing)
    tree, renewed = _tree_faults(survey, building, joint), _renewal_faults(survey, joint)
    found = (
        *all_of("joint.dwellings", "dwellings", "", lacking, "each has a heater"),
        *_rooms(survey, building, designs),
        *(f for a, b in combinations(joint.designs, 2) for f in _terminals(survey, building, a, b)),
        *(f for a, b in permutations(joint.designs, 2) for f in _before_ends(survey, building, a, b)),
        *all_of("joint.gas_system", "gas", "", tree, "as surveyed, and the branches as drawn"),
        *all_of("joint.renewals", "gas", "", renewed, "every renewal is of pipe that may be renewed", EXISTING),
        *_sleeves(joint),
        *pressure_findings(survey, building, joint),
        *_supplier(survey, joint),
        *_bill(survey, joint),
    )
    return in_order(found)


def pair_findings(survey: Survey, building: Building, joint: JointDesign, dwelling_id: str) -> tuple[Finding, ...]:
    """Those of them that concern where one dwelling's heater, vent and runs are beside the others'."""
    own = dict(joint.designs)[dwelling_id]
    pairs = [((dwelling_id, own), other) for other in joint.designs if other[0] != dwelling_id]
    found = (
        *_rooms(survey, building, {dwelling_id: own}),
        *(f for a, b in pairs for f in _terminals(survey, building, a, b)),
        *(f for pair in pairs for a, b in permutations(pair) for f in _before_ends(survey, building, a, b)),
    )
    return in_order(found)


def _rooms(survey: Survey, building: Building, designs: dict[str, Design]) -> Iterator[Finding]:
    """Runs stay in the dwelling's rooms and those that no dwelling names; the heater hangs in a room of its own."""
    for dwelling in survey.dwellings:
        design, rooms = designs.get(dwelling.id), passable_rooms(survey, dwelling)
        if design is None:
            continue
        places = {f"room {r}" for r in rooms}
        points = [p for r in design.routes for piece in r.pieces for p in (piece.start, piece.end)]
        faults = [f"{p} is in rooms of others" for p in points if (t := rooms_touched(building, p)) and not t & places]
        yield from all_of("joint.rooms", "routes", dwelling.id, dict.fromkeys(faults), "all in its own or common rooms")
        hangs = next((f.room_id for f in building.faces if f.id == design.mount.face_id), "")
        own = dwelling.rooms is None or hangs in dwelling.rooms or design.outdoors
        where = "outdoors" if design.outdoors else f"in {hangs or 'no room'}"
        yield stated("joint.room", "mount", dwelling.id, own, f"hangs {where}", "the survey")


def _terminals(survey: Survey, building: Building, a: tuple[str, Design], b: tuple[str, Design]) -> Iterator[Finding]:
    """Two terminals are not in one place; how far exhausts must be from one another no code says."""
    for (what, at, r), (other, there, q) in ((x, y) for x in _ends(a[1]) for y in _ends(b[1])):
        apart = _apart_mm(building, at, there)
        told = f"{what} of {a[0]} to {other} of {b[0]}, edge to edge"
        yield at_least("joint.terminals", "terminal", b[0], r + q, apart, f"{what} of {a[0]} to {other}, centres")
        if what == other == "exhaust":
            cite = f"{rule_set(survey.site.rule_set).id}: silent; the instructions of both heaters decide"
            yield Finding("joint.exhausts", Verdict.ADVICE, "terminal", b[0], told, None, apart - r - q, cite)


def _before_ends(survey: Survey, building: Building, a: tuple[str, Design], b: tuple[str, Design]) -> Iterator[Finding]:
    """A case outdoors, with its pipes, is before no end of another's vent."""
    case = case_outside(survey, building, a[1])
    if case is None or b[1].outdoors:
        return
    for what, at, radius in _ends(b[1]):
        place, low, _ = _upright(building, at)
        gap = floor_root(gap2(case, place, low))
        yield at_least("joint.cases", "mount", b[0], radius, gap, f"case of {a[0]} to {what} of {b[0]}, its centre")


def _ends(design: Design) -> Iterator[Place]:
    listing = design.heater.vent.intake
    yield "exhaust", design.terminal, design.heater.outlet(design.outdoors).radius_mm
    if design.intake is not None and listing is not None:
        yield "intake", design.intake, listing.terminal_radius_mm


def _apart_mm(building: Building, a: End, b: End) -> int:
    """Distance of two centres, rounded down [mm]: straight, over a roof from the vent anywhere between the roof and its
    opening; of two over roofs in plan."""
    (p, low, high), (q, bottom, top) = (_upright(building, end) for end in (a, b))
    both = isinstance(a, RoofTerminal) and isinstance(b, RoofTerminal)
    return isqrt((p[0] - q[0]) ** 2 + (p[1] - q[1]) ** 2 + (0 if both else interval_gap(low, high, bottom, top) ** 2))


def _upright(building: Building, end: End) -> tuple[Point2, int, int]:
    """Plan point of a terminal's axis, and the heights between which it stands free [mm]."""
    if isinstance(end, Terminal):
        return building.facade(end.facade_id).point(end.s_mm), end.z_mm, end.z_mm
    levels = [p.height_mm(end.x_mm, end.y_mm) for p in building.roof if p.id == end.roof_id]
    return (end.x_mm, end.y_mm), min([end.z_mm, *levels]), end.z_mm


def _tree_faults(survey: Survey, building: Building, joint: JointDesign) -> Iterator[str]:
    """The shared system is the surveyed one, cut where branches leave, and each design's branch as it is drawn."""
    left, nodes = list(joint.supply.segments), dict(joint.heaters)
    for segment in survey.gas.segments:
        parts = _chain(segment, left)
        if sum(p.length_mm for p in parts) != segment.length_mm or parts[-1].end != segment.end:
            yield f"segment {segment.id} is not there from {segment.start} to {segment.end} in its length"
        left = [s for s in left if s not in parts]
    for name, design in joint.designs:
        own = [s for s in left if s.end == nodes.get(name)]
        left = [s for s in left if s not in own]
        route = design.route(Service.GAS)
        if len(own) != 1 or route is None or _drawn(own[0]) != _as_run(route):
            yield f"the branch of {name} is not the gas run of its design"
        elif not _meets(joint, building, own[0].start, route):
            yield f"the branch of {name} does not leave where its run ends"
    yield from (f"segment {s.id} is in no survey and no design" for s in left)
    if sorted(_burners(survey, joint)) != sorted((a.node, a.input_w) for a in joint.supply.appliances):
        yield "the appliances are not the surveyed ones and the heaters"


def _chain(segment: GasSegment, told: list[GasSegment]) -> list[GasSegment]:
    """A segment as it is told: itself, or its parts one behind another."""
    own = [s for s in told if s.id == segment.id or s.id.startswith(f"{segment.id} part ")]
    same = [s for s in own if (s.material, s.size, s.finished, s.fixed) == _kind(segment)]
    found = [s for s in same if s.start == segment.start][:1]
    while found and (onward := [s for s in same if s.start == found[-1].end and s not in found]):
        found.append(onward[0])
    return found or [segment]


def _kind(s: GasSegment) -> tuple[str, str | None, bool, bool]:
    return s.material, s.size, s.finished, s.fixed


def _drawn(s: GasSegment) -> tuple[str, str | None, int, int | None]:
    return s.material, s.size, s.length_mm, s.elbows


def _as_run(route: Route) -> tuple[str, str | None, int, int | None]:
    """What a run is as pipe of the tree, where nothing is shorter than a millimetre."""
    return (*split_option(route.option), max(sum(p.length_mm for p in route.pieces), 1), elbows_of(route))


def _meets(joint: JointDesign, building: Building, node: str, route: Route) -> bool:
    at = next((building.frame.to_frame3(n.at) for n in joint.supply.nodes if n.id == node), None)
    return at is not None and dist(at, route.pieces[-1].end) <= TAP_SLACK_MM


def _burners(survey: Survey, joint: JointDesign) -> list[tuple[str, float]]:
    nodes = dict(joint.heaters)
    return [
        *((a.node, a.input_w) for a in survey.gas.appliances),
        *((nodes.get(name, ""), d.heater.input_max_w) for name, d in joint.designs),
    ]


def _renewal_faults(survey: Survey, joint: JointDesign) -> Iterator[Detail]:
    told = {s.id: s for s in joint.supply.segments}
    for renewal in joint.renewals:
        segment = told.get(renewal.segment_id)
        if segment is None or segment.length_mm != renewal.length_mm:
            yield phrase(f"there is no segment {renewal.segment_id} of ", mm(renewal.length_mm))
            continue
        if segment.fixed:
            yield f"segment {segment.id} cannot be renewed"
        if not is_known(renewal.material, renewal.size):
            yield f"there is no {renewal.material} of size {renewal.size}"
        if (renewal.material == GasMaterial.PE) != (segment.material == GasMaterial.PE):
            yield f"{renewal.material} does not take the place of {segment.material} ({PLASTIC})"
    for name, n in Counter(r.segment_id for r in joint.renewals).items():
        if n > 1:
            yield f"segment {name} is renewed {n} times"


def _sleeves(joint: JointDesign) -> Iterator[Finding]:
    """Every hole that is paid for together is passed by two at least, of which each says so, and told once."""
    if joint.sleeves or any(d.sleeves for _, d in joint.designs):
        yield from all_of("joint.sleeves", "routes", "", _sleeve_faults(joint), "each passed by two or more, paid once")


def _sleeve_faults(joint: JointDesign) -> Iterator[str]:
    for sleeve, n in Counter(joint.sleeves).items():
        passing = [name for name, design in joint.designs if sleeve in design.sleeves]
        if len(passing) < LEAST_SHARING or n > 1:
            yield f"{_told(sleeve)} is told {n} times and passed by {len(passing)}"
    for name, design in joint.designs:
        passed = sum(shared_holes(design).values())
        if passed < len(design.sleeves):
            yield f"{name} shares {len(design.sleeves)} holes and passes {passed} of them"
        yield from (f"{_told(s)} of {name} is paid by nobody" for s in design.sleeves if s not in joint.sleeves)


def _told(sleeve: Sleeve) -> str:
    return f"{sleeve.service} {sleeve.surface} at {sleeve.start}"


def _supplier(survey: Survey, joint: JointDesign) -> Iterator[Finding]:
    """Meter and service regulator pass what all burn at once, or are changed."""
    gas = survey.gas
    drawn = at_once_w([a.input_w for a in joint.supply.appliances], gas.diversity)
    passes = {"gas.meter_upgrade": gas.meter_capacity_w, "gas.service_regulator": gas.service_regulator_w}
    for key, most in passes.items():
        enough = most is None or drawn <= most * ROUNDING or key in joint.keys
        planned = "a change planned" if key in joint.keys else "no change planned"
        passed = "unknown" if most is None else watts(most)
        detail = phrase(watts(drawn), " drawn at once, ", passed, f" passed, {planned}")
        yield stated(f"joint.{key}", "gas", key, enough, detail, LOAD)


def _hole_key(sleeve: Sleeve) -> str:
    trade = "water" if sleeve.service in (Service.COLD, Service.HOT) else sleeve.service.value
    return f"{trade}.{sleeve.surface.value}"


def _bill(survey: Survey, joint: JointDesign) -> Iterator[Finding]:
    """What is shared is paid for once, counted here again."""
    told, book = {s.id: s for s in joint.supply.segments}, survey.prices
    count = Counter(joint.keys)
    for r in joint.renewals:
        old = told.get(r.segment_id)
        count[f"gas.{joined_option(r.material, r.size)}.pipe"] += r.length_mm
        count["gas.renew"] += int(old is None or old.size is not None)
        count["access.pipe.finished"] += r.length_mm if old is not None and old.finished else 0
    count.update(_hole_key(s) for s in joint.sleeves)
    wanted = {key: n for key, n in count.items() if n}
    extra = {line.key for line in joint.lines} ^ set(wanted)
    odd = [f"{key} stands in the bill or the works alone" for key in sorted(extra)]
    odd += [f"{key} is not in the price book" for key in sorted(wanted) if key not in book.items]
    wanted = {key: n for key, n in wanted.items() if key in book.items}
    yield from all_of("joint.lines", "cost", "", odd, "none missing, none extra")
    rates = {key: book[key].units_each if book[key].per is Per.EACH else book[key].units_per_mm for key in wanted}
    exact = sum(n * rates[key] for key, n in wanted.items())
    detail = f"{joint.total_cents} cents stated, {exact / MONEY_SCALE:.4f} computed"
    yield stated("joint.total", "cost", "", 2 * abs(joint.total_cents * MONEY_SCALE - exact) <= MONEY_SCALE, detail)
    added = sum(line.amount_cents for line in joint.lines)
    yield stated("joint.sum", "cost", "", added == joint.total_cents, f"lines add up to {added} cents")
