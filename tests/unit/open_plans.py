"""The three open plans as surveys: geometry from the files, services and site invented here."""

from __future__ import annotations

import json
import os
from dataclasses import dataclass
from math import hypot
from pathlib import Path
from typing import Any

import pytest

from service.survey.equipment import Heater, PriceBook
from service.survey.model import (
    Drain,
    Fixture,
    GasNode,
    GasSupply,
    Opening,
    OpeningKind,
    Point2,
    Receptacle,
    Room,
    RoomUse,
    Site,
    Storey,
    Survey,
    UnitSystem,
    Wall,
    WallKind,
    WaterLine,
    WaterSupply,
)

NAMES = ("duplex", "zneth", "lb_single_family")
NO_PRICES = PriceBook("none", "USD", {})


@dataclass(frozen=True)
class OutsideWall:
    """Exterior wall as the file gives it: an outside fact to compare with [mm]."""

    id: str
    start: Point2
    end: Point2
    base_z: int
    top_z: int
    normal: tuple[float, float]
    opening_ids: tuple[str, ...]

    @property
    def length(self) -> float:
        """Length in plan [mm]."""
        return hypot(self.end[0] - self.start[0], self.end[1] - self.start[1])


def folder() -> Path:
    """Where the open plans are: OPEN_PLANS, or beside the checkout; skips when absent."""
    beside = Path(__file__).resolve().parents[3] / "shared" / "open_plans"
    path = Path(os.environ.get("OPEN_PLANS", beside))
    if not path.is_dir():
        pytest.skip("the open plans are not beside this checkout (shared/open_plans, or OPEN_PLANS)")
    return path


def load(name: str) -> dict[str, Any]:
    """One file as it is."""
    data: dict[str, Any] = json.loads((folder() / f"{name}.json").read_text(encoding="utf-8"))
    return data


def outside_walls(name: str) -> list[OutsideWall]:
    """Exterior walls of all storeys as the file gives them."""
    return [_outside_wall(w) for storey in load(name)["storeys"] for w in storey["exterior_walls"]]


def survey(name: str, heaters: tuple[Heater, ...] = (), prices: PriceBook = NO_PRICES) -> Survey:
    """A plan as a survey, with an invented meter, water, drain and outlet in its first rooms."""
    storeys = tuple(_storey(number, s) for number, s in enumerate(load(name)["storeys"], start=1))
    return with_services(name, storeys, heaters, prices)


def with_services(
    name: str, storeys: tuple[Storey, ...], heaters: tuple[Heater, ...] = (), prices: PriceBook = NO_PRICES
) -> Survey:
    """Storeys with invented services: all enter at the first wall of the first room."""
    room = storeys[0].rooms[0]
    (x, y), z = room.outline[0], room.floor_z_mm
    return Survey(
        name=name,
        units=UnitSystem.SI,
        site=plain_site(),
        storeys=storeys,
        gas=GasSupply("meter", 1750.0, 73_000.0, 125.0, (GasNode("meter", (x, y, z + 600)),)),
        water=WaterSupply(
            (WaterLine("cold", ((x, y, z + 300), (x, y, z + 1200)), "3/4", "copper"),),
            (WaterLine("hot", ((x, y, z + 400), (x, y, z + 1200)), "3/4", "copper"),),
            fixtures=(Fixture("shower", "shower", 1.2e-4, at=(x, y, z + 2000)),),
        ),
        heaters=heaters,
        prices=prices,
        drains=(Drain("floor drain", (x, y, z)),),
        receptacles=(Receptacle("outlet", (x, y, z + 400)),),
    )


def plain_site(grade_z_mm: int = -150) -> Site:
    """An invented level plot at sea level."""
    return Site(
        rule_set="us-2021",
        fuel="natural_gas",
        heating_value_j_m3=38.0e6,
        specific_gravity=0.6,
        altitude_m=0.0,
        snow_depth_mm=0,
        winter_design_temperature_c=-5.0,
        grade_z_mm=grade_z_mm,
    )


def _mm(metres: float) -> int:
    return round(metres * 1000)


def _point(p: list[float]) -> Point2:
    return _mm(p[0]), _mm(p[1])


def _storey(number: int, data: dict[str, Any]) -> Storey:
    floor = _mm(data["floor_z_m"])
    sides = ((data["exterior_walls"], WallKind.EXTERIOR), (data["interior_walls"], WallKind.INTERIOR))
    return Storey(
        id=f"L{number}",
        floor_z_mm=floor,
        ceiling_z_mm=_mm(data["ceiling_z_m"]),
        rooms=tuple(_room(number, r) for r in data["rooms"]),
        openings=tuple(_opening(w, o, floor) for walls, _ in sides for w in walls for o in w["openings"]),
        walls=tuple(_wall(w, kind) for walls, kind in sides for w in walls),
    )


def _room(number: int, data: dict[str, Any]) -> Room:
    return Room(
        id=f"L{number} {data['name']}",
        use=RoomUse(data["use_guess"] or "unknown"),
        outline=tuple(_point(p) for p in data["polygon"]),
        finished=data["use_guess"] != "basement",
        floor_z_mm=_mm(data["floor_z_m"]),
        ceiling_z_mm=_mm(data["ceiling_z_m"]),
    )


def _wall(data: dict[str, Any], kind: WallKind) -> Wall:
    thickness = data.get("thickness_m")
    return Wall(data["id"], _point(data["start"]), _point(data["end"]), kind, _mm(thickness) if thickness else None)


def _opening(wall: dict[str, Any], data: dict[str, Any], floor: int) -> Opening:
    (x0, y0), (x1, y1) = wall["start"], wall["end"]
    length = hypot(x1 - x0, y1 - y0)
    ends = [data["offset_m"], data["offset_m"] + data["width_m"]]
    start, end = (_point([x0 + (x1 - x0) * s / length, y0 + (y1 - y0) * s / length]) for s in ends)
    sill, head = floor + _mm(data["sill_m"]), floor + _mm(data["head_m"])
    return Opening(data["id"], OpeningKind(data["kind"]), start, end, sill, head, data["operable"])


def _outside_wall(data: dict[str, Any]) -> OutsideWall:
    return OutsideWall(
        data["id"],
        _point(data["start"]),
        _point(data["end"]),
        _mm(data["base_z_m"]),
        _mm(data["top_z_m"]),
        (data["outward_normal"][0], data["outward_normal"][1]),
        tuple(o["id"] for o in data["openings"]),
    )
