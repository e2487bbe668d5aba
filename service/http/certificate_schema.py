"""Reads a certificate back from the JSON that ``certificate_json`` writes."""

from __future__ import annotations

from collections.abc import Container, Iterator
from typing import Any

from marshmallow import ValidationError, validate

from service.clearance.model import Zone
from service.design import Service
from service.errors import Fault, InvalidRequest
from service.http.certificate_json import closed_by
from service.http.fields import Choice, Flag, Int, Text
from service.http.schemas.base import ListOf, Strict, faults_of, many, one, pointer
from service.routing.obstacles import Obstacle
from service.routing.planes import Planes
from service.siting.active import Active
from service.siting.certificate import (
    CaseBounds,
    Certificate,
    GasStep,
    LimitTold,
    ServiceCost,
    SurfaceBound,
    TapStep,
)
from service.siting.ground import Ground
from service.siting.needs import Need
from service.siting.roof import surfaces_of
from service.siting.terminals import sides_of, terminal_key

Json = dict[str, Any]
FAR = 10**9
UNITS = 10**15
_AXES = ("x", "y", "z", "manifold_z")


def _int(**kwargs: Any) -> Int:
    return Int(-FAR, FAR, required=True, **kwargs)


def _units(**kwargs: Any) -> Int:
    return Int(-UNITS, UNITS, required=True, **kwargs)


def _ints(count: int, **kwargs: Any) -> ListOf:
    exact = validate.Length(equal=count, error=f"wrong_count: {count} figures are expected")
    return ListOf(Int(-FAR, FAR), validate=exact, **kwargs)


def _word(*words: str) -> Text:
    known = validate.OneOf(words, error=f"not_a_choice: one of {', '.join(words)} is expected")
    return Text(required=True, validate=known)


class _Plane(Strict):
    axis = Text(required=True)
    at = _int()
    why = Text(required=True)


class _Obstacle(Strict):
    pipe_radius = _int()
    surface = Text(required=True)
    box = _ints(4, required=True)
    why = Text(required=True)


class _Zone(Strict):
    of = _word("case", "terminal")
    intake = Text(required=True, allow_none=True)
    surface = Text(required=True)
    rule = Text(required=True)
    object = Text(required=True)
    box = _ints(4, required=True)
    radius_squared = Int(0, UNITS, required=True)
    within = _ints(4, required=True, allow_none=True)


class _Closed(Strict):
    of = _word("case", "terminal")
    intake = Text(required=True, allow_none=True)
    surface = Text(required=True)
    at = _ints(2, required=True)


class _Network(Strict):
    planes = many(_Plane, required=True)
    obstacles = many(_Obstacle, required=True)
    zones = many(_Zone, required=True)
    closed_places = many(_Closed, required=True)


class _Surface(Strict):
    surface = Text(required=True)
    least_units = _units(allow_none=True)
    closed_by = _word("price", "limits on runs", "nothing fits")


class _Heater(Strict):
    heater = Text(required=True)
    outdoors = Flag(required=True)
    network = _int()
    loose = Flag(required=True)
    surfaces = many(_Surface, required=True)


class _ServiceCost(Strict):
    service = Choice(Service, required=True)
    least_units = _units()
    design_units = _units()


class _Limit(Strict):
    service = Choice(Service, required=True)
    what = Text(required=True)
    most = _int()


class _Tap(Strict):
    node = Text(required=True)
    works_units = _units()
    before_mm = _int()


class _GasStep(Strict):
    feed = Text(required=True)
    branch = Text(required=True)
    held_mm = _int()
    taps = many(_Tap, required=True)


class _Digests(Strict):
    survey = Text(required=True)
    design = Text(required=True)
    answer = Text(required=True)
    certificate = Text(required=True)


class CertificateSchema(Strict):
    """The proof of the first design, as a placement tells it."""

    covers = _word("network", "continuous")
    scope = Text(required=True)
    money_units_per_cent = _units()
    cost_units = _units()
    fixed_units = _units()
    services = many(_ServiceCost, required=True)
    limits = many(_Limit, required=True)
    heaters = many(_Heater, required=True)
    networks = many(_Network, required=True)
    gas_steps = many(_GasStep, required=True)
    digests = one(_Digests, required=True)



def read_certificate(document: object, ground: Ground) -> Certificate:
    """The certificate of a JSON document, for a house.

    Raises:
        InvalidRequest: every fault of its shape, or everything that the house does not have.
    """
    try:
        raw: Json = CertificateSchema().load(document)  # type: ignore[arg-type]  # it judges any value
    except ValidationError as error:
        raise InvalidRequest(faults_of(error.messages)) from None
    reader = _Reader(raw, ground)
    if faults := tuple(reader.faults()):
        raise InvalidRequest(faults)
    return reader.certificate()


class _Reader:
    """A well-shaped document and the house that its names are of."""

    def __init__(self, raw: Json, ground: Ground) -> None:
        """Know the names."""
        building = ground.building
        self.raw, self.ground = raw, ground
        ids = [*(f.id for f in building.faces), *(f.id for f in building.facades)]
        self.hung = {name: i for i, name in enumerate(ids)}
        self.ends = {x.id: i for i, x in enumerate(surfaces_of(building))}
        self.sheets = {f.id: i for i, f in enumerate(building.faces)}
        self.sheets |= {f"ceiling {r.id}": -1 - i for i, r in enumerate(building.rooms)}
        self.needs = {(n.heater.label, n.outdoors): n for n in ground.needs}

    def faults(self) -> Iterator[Fault]:
        """Names that the house does not have, and words that its own figures contradict."""
        for path, name, known in self._names():
            if name not in known:
                yield Fault(pointer(*path), "unknown_reference", f"the house has no {name}")
        for h, case in enumerate(self.raw["heaters"]):
            for i, s in enumerate(case["surfaces"]):
                word = closed_by(s["least_units"], self.raw["cost_units"])
                if s["closed_by"] != word:
                    at = pointer("heaters", h, "surfaces", i, "closed_by")
                    yield Fault(at, "contradiction", f"{word} is meant by its own figures")

    def _names(self) -> Iterator[tuple[tuple[str | int, ...], object, Container[Any]]]:
        faces = {w.face.id for w in self.ground.sheets.walls if w.is_skew}
        for h, case in enumerate(self.raw["heaters"]):
            yield ("heaters", h, "heater"), (case["heater"], case["outdoors"]), self.needs
            surfaces = enumerate(case["surfaces"])
            yield from ((("heaters", h, "surfaces", i), s["surface"], self.hung) for i, s in surfaces)
        for n, net in enumerate(self.raw["networks"]):
            base = ("networks", n)
            yield from (((*base, "planes", i), p["axis"], {*_AXES, *faces}) for i, p in enumerate(net["planes"]))
            yield from (((*base, "obstacles", i), o["surface"], self.sheets) for i, o in enumerate(net["obstacles"]))
            for member in ("zones", "closed_places"):
                for i, z in enumerate(net[member]):
                    yield (*base, member, i, "surface"), z["surface"], self.hung if z["of"] == "case" else self.ends
                    yield (*base, member, i, "intake"), z["intake"], self._keys(n) if z["of"] == "terminal" else {None}

    def certificate(self) -> Certificate:
        """The whole."""
        raw = self.raw
        return Certificate(
            cost_units=raw["cost_units"],
            network=raw["covers"] == "network",
            scope=raw["scope"],
            boards=tuple(self._board(i, net) for i, net in enumerate(raw["networks"])),
            cases=tuple(self._case(c) for c in raw["heaters"]),
            services=tuple(ServiceCost(s["service"], s["least_units"], s["design_units"]) for s in raw["services"]),
            limits=tuple(LimitTold(b["service"], b["what"], b["most"]) for b in raw["limits"]),
            fixed_units=raw["fixed_units"],
            gas=tuple(_gas_step(g) for g in raw["gas_steps"]),
        )

    def _case(self, raw: Json) -> CaseBounds:
        bounds = tuple(SurfaceBound(self.hung[s["surface"]], s["least_units"]) for s in raw["surfaces"])
        return CaseBounds(raw["heater"], raw["outdoors"], raw["network"], raw["loose"], bounds)

    def _owner(self, index: int) -> Need | None:
        """The heater whose zones a network may name."""
        own = [c for c in self.raw["heaters"] if c["network"] == index and not c["loose"]]
        return self.needs.get((own[0]["heater"], own[0]["outdoors"])) if len(own) == 1 else None

    def _keys(self, index: int) -> dict[str | None, tuple[object, ...]]:
        """Kinds of terminal by the side of the intake."""
        need = self._owner(index)
        if need is None or need.outdoors:
            return {}
        return {None if s is None else s.value: terminal_key(need.heater, s) for s in sides_of(need.heater.vent)}

    def _board(self, index: int, raw: Json) -> Active:
        active, need, keys = Active(_planes(raw["planes"])), self._owner(index), self._keys(index)
        for o in raw["obstacles"]:
            c0, c1, d0, d1 = o["box"]
            obstacle = Obstacle(self.sheets[o["surface"]], c0, c1, d0, d1, o["why"])
            active.obstacles.setdefault(o["pipe_radius"], []).append(obstacle)
        own = ("", False) if need is None else need.key
        for z in raw["zones"]:
            if z["of"] == "case":
                active.mount.setdefault(own, {}).setdefault(self.hung[z["surface"]], []).append(_zone(z))
            else:
                on = active.terminal.setdefault(keys[z["intake"]], {})
                on.setdefault(self.ends[z["surface"]], []).append(_zone(z))
        for c in raw["closed_places"]:
            s, at = c["at"]
            if c["of"] == "case":
                active.shut_hubs.add((own, self.hung[c["surface"]], s, at))
            else:
                active.shut.setdefault(keys[c["intake"]], set()).add((self.ends[c["surface"]], s, at))
        return active


def _planes(raw: list[Json]) -> Planes:
    planes = Planes()
    for p in raw:
        if p["axis"] in _AXES[:3]:
            planes.add(_AXES.index(p["axis"]), p["at"], p["why"])
        elif p["axis"] == _AXES[3]:
            planes.add_hub(p["at"], p["why"])
        else:
            planes.add_skew(p["axis"], p["at"], p["why"])
    return planes


def _zone(raw: Json) -> Zone:
    s0, s1, z0, z1 = raw["box"]
    rule, thing, cut = raw["rule"], raw["object"], raw["within"]
    within = None if cut is None else (cut[0], cut[1], cut[2], cut[3])
    return Zone(raw["surface"], s0, s1, z0, z1, raw["radius_squared"], rule, thing, within=within)


def _gas_step(raw: Json) -> GasStep:
    taps = tuple(TapStep(t["node"], t["works_units"], t["before_mm"]) for t in raw["taps"])
    return GasStep(raw["branch"], raw["held_mm"], raw["feed"], taps)
