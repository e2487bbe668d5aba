"""Whether a piece lies on a wall, under a ceiling or in a shaft, clear of openings and keep-outs."""

from __future__ import annotations

from math import ceil, floor

from shapely import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from service.building.model import Building, BuiltRoom, Face, Prism
from service.check.measure import SKEW_TOLERANCE_MM, along_mm, apart, edges
from service.check.place import FINISHED, Places, Step, face_holds, plan, room_place, room_spans, rooms_of, shown
from service.design import KEEP_OUT_REACH_MM, Piece
from service.survey.model import Point2, Point3

AREA_SLACK_MM2 = 1.0
ROUNDING_MM = 2
"""A piece on a wall may lie nearer to a thing, or farther, than its rounded points say by less than this."""


def _sifted(piece: Piece, found: list[BuiltRoom], places: Places) -> Step:
    """The rooms a piece may be in, or what is wrong with where it lies or how it is labelled."""
    finished = piece.surface in FINISHED
    if not found:
        return Step(places, "route.surface", f"{shown(piece)} does not lie on a {piece.surface} of the room it is in")
    if all(room.finished != finished for room in found):
        return Step(_places_of(found), "route.label", f"{shown(piece)} is not {piece.surface}: the finish differs")
    return Step(_places_of(found))


def _places_of(rooms: list[BuiltRoom]) -> Places:
    return frozenset(room_place(r.id) for r in rooms)


def on_wall(building: Building, places: Places, piece: Piece, margin: int) -> Step:
    """A piece on a wall face, ``margin`` [mm] clear of its openings and not behind a keep-out."""
    ids = {r.id: r for r in rooms_of(building, places)}
    ends = piece.start, piece.end
    faces = [f for f in building.faces if f.room_id in ids and all(face_holds(f, p) for p in ends)]
    step = _sifted(piece, [ids[f.room_id] for f in faces], places)
    if step.rule_id:
        return step
    clear = [f for f in faces if not opening_hit(f, piece, margin)]
    if not clear:
        hit = opening_hit(faces[0], piece, margin)
        return Step(step.places, "route.opening", f"{shown(piece)} passes opening {hit}")
    free = [f for f in clear if not _keep_out_before(building, f, piece)]
    if not free:
        hit = _keep_out_before(building, clear[0], piece)
        return Step(step.places, "route.keep_out", f"{shown(piece)} passes behind {hit}")
    return Step(frozenset(room_place(f.room_id) for f in free))


def opening_hit(face: Face, piece: Piece, margin: int) -> str:
    """Id of an opening of the face that a piece on it passes, openings grown by ``margin`` [mm]; '' if none."""
    a, b = _on_face(face, piece.start), _on_face(face, piece.end)
    for h in face.holes:
        if _passes_box(a, b, (h.s0 - margin, h.s1 + margin), (h.z0 - margin, h.z1 + margin)):
            return h.opening_id
    return ""


def _keep_out_before(building: Building, face: Face, piece: Piece) -> str:
    """Id of a keep-out that stands within reach of the wall, on its room's side, where the piece runs; '' if none."""
    a, b = _on_face(face, piece.start), _on_face(face, piece.end)
    level = (k for k in building.keep_outs if k.z0 <= max(a[1], b[1]) and min(a[1], b[1]) <= k.z1)
    ends = plan(piece.start), plan(piece.end)
    near = [k for k in level if not apart(ends, k.outline, KEEP_OUT_REACH_MM + ROUNDING_MM)]
    if not near:
        return ""
    strip = LineString([face.start, face.end]).buffer(KEEP_OUT_REACH_MM, cap_style="flat", single_sided=True)
    for k in near:
        part = strip.intersection(Polygon(k.outline))
        if part.area > AREA_SLACK_MM2 and _passes_box(a, b, _reach(face, part), (k.z0, k.z1)):
            return k.id
    return ""


def _reach(face: Face, part: BaseGeometry) -> tuple[int, int]:
    """Distances along the face between which a shape lies, rounded outward by less than a millimetre."""
    (ax, ay), (bx, by) = face.start, face.end
    ux, uy = (bx - ax) / face.length_mm, (by - ay) / face.length_mm
    s = [round((x - ax) * ux + (y - ay) * uy, 3) for p in getattr(part, "geoms", [part]) for x, y in p.exterior.coords]
    return floor(min(s)), ceil(max(s))


def _on_face(face: Face, p: Point3) -> tuple[int, int]:
    return along_mm(face, plan(p)), p[2]


def _passes_box(a: tuple[int, int], b: tuple[int, int], *ranges: tuple[int, int]) -> bool:
    """Whether the segment meets the open box; decided without division, on common multiples."""
    entered, left = (-1, 1), (2, 1)
    for p, q, (lo, hi) in zip(a, b, ranges, strict=True):
        d = q - p
        if not d:
            if not lo < p < hi:
                return False
            continue
        near, far = ((lo - p, d), (hi - p, d)) if d > 0 else ((p - hi, -d), (p - lo, -d))
        entered = near if near[0] * entered[1] > entered[0] * near[1] else entered
        left = far if far[0] * left[1] < left[0] * far[1] else left
    return entered[0] * left[1] < left[0] * entered[1] and entered[0] < entered[1] and left[0] > 0


def on_ceiling(building: Building, places: Places, piece: Piece) -> Step:
    """A piece under a ceiling, clear of keep-outs that reach it."""
    found = [r for r in rooms_of(building, places) if _ceiling_holds(r, piece)]
    step = _sifted(piece, found, places)
    if step.rule_id:
        return step
    blocking = [k.id for k in building.keep_outs for r in found if k.z0 < r.ceiling_z <= k.z1 and _crosses(k, piece)]
    return Step(step.places, "route.keep_out", f"{shown(piece)} passes {blocking[0]}") if blocking else step


def _ceiling_holds(room: BuiltRoom, piece: Piece) -> bool:
    if not piece.start[2] == piece.end[2] == room.ceiling_z:
        return False
    skew = any(a[0] != b[0] and a[1] != b[1] for a, b in edges(room.outline))
    return covered_by(room.outline, piece, SKEW_TOLERANCE_MM if skew else 0)


def covered_by(outline: tuple[Point2, ...], piece: Piece, slack_mm: int = 0) -> bool:
    """Whether a piece lies within a closed outline in plan."""
    area = Polygon(outline)
    a, b = plan(piece.start), plan(piece.end)
    return bool((area.buffer(slack_mm) if slack_mm else area).covers(Point(a) if a == b else LineString([a, b])))


def _crosses(prism: Prism, piece: Piece) -> bool:
    """Whether a piece enters the inside of an outline in plan."""
    a, b = plan(piece.start), plan(piece.end)
    shape, area = Point(a) if a == b else LineString([a, b]), Polygon(prism.outline)
    return bool(shape.within(area) or shape.crosses(area))


def enters(outline: tuple[Point2, ...], z0: int, z1: int, piece: Piece) -> bool:
    """Whether a piece enters the open prism; heights and plan are judged apart unless it is oblique."""
    low, high = sorted((piece.start[2], piece.end[2]))
    if not (low < z1 and high > z0):
        return False
    shape: Prism = Prism("", None, None, outline, z0, z1)
    if low == high or plan(piece.start) == plan(piece.end):
        return _crosses(shape, piece)
    return _crosses(shape, _cut(piece, z0, z1))


def _cut(piece: Piece, z0: int, z1: int) -> Piece:
    """The part of an oblique piece between two heights."""
    (xa, ya, za), (xb, yb, zb) = piece.start, piece.end
    at = [min(max((z - za) / (zb - za), 0.0), 1.0) for z in (z0, z1)]
    ends = [(round(xa + t * (xb - xa)), round(ya + t * (yb - ya)), round(za + t * (zb - za))) for t in at]
    return Piece(ends[0], ends[1], piece.surface)


def in_chase(building: Building, places: Places, piece: Piece) -> Step:
    """A piece within a shaft that the run has reached."""
    low, high = sorted((piece.start[2], piece.end[2]))
    inside = [c for c in building.chases if c.z0 <= low and high <= c.z1 and covered_by(c.outline, piece)]
    at_hand = any(room_spans(r, piece.start) for r in rooms_of(building, places))
    reached = [c for c in inside if at_hand or f"chase {c.id}" in places]
    if not reached:
        return Step(places, "route.surface", f"{shown(piece)} does not lie in a chase that the run has reached")
    rooms = {room_place(r.id) for r in building.rooms if room_spans(r, piece.end)}
    return Step(frozenset(rooms | {f"chase {c.id}" for c in reached}))
