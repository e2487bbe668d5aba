"""Invented roofs by seed over the generated houses: flat or pitched, with what opens in them and stands on them."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from service.survey.model import Point2, Survey
from service.survey.roof import Roof, RoofObstruction, RoofOpening, RoofOpeningKind, RoofPlane
from tests.property.houses import house

SHAKEN = {"roof": 1 / 20, "vent.outer_wall": 3.0}
"""Prices changed by key, or what all hold, so that the roof wins in many a house and a wall in others."""
Box = tuple[int, int, int, int]


def roofed(seed: int) -> Survey:
    """A generated house with a roof, of which passing it is cheap."""
    survey = house(seed)
    for key, factor in SHAKEN.items():
        survey = priced(survey, factor, key)
    return replace(survey, roof=roof_over(survey, Random(7000 + seed)))


def priced(survey: Survey, factor: float, held: str) -> Survey:
    """The survey with the prices multiplied whose keys hold something."""
    items = {
        k: replace(p, cents=max(1, round(p.cents * factor))) if held in k else p for k, p in survey.prices.items.items()
    }
    return replace(survey, prices=replace(survey.prices, items=items))


def roof_over(survey: Survey, r: Random) -> Roof:
    """A roof over all rooms: as a survey without planes has it, level, rising one way, or a gable."""
    rooms = [room for s in survey.storeys for room in s.rooms]
    xs, ys = zip(*(p for room in rooms for p in room.outline), strict=True)
    over = r.choice((0, 200, 450))
    box = min(xs) - over, min(ys) - over, max(xs) + over, max(ys) + over
    top = max(room.ceiling_z_mm for room in rooms) + r.randint(100, 500)
    planes = r.choice((lambda: (), _level, _lean_to, _gable, _gable))
    made = planes(r, box, top) if planes in (_level, _lean_to, _gable) else ()
    return Roof(made, tuple(_openings(r, box)), tuple(_obstructions(r, box, top)))


def _level(r: Random, box: Box, top: int) -> tuple[RoofPlane, ...]:
    return (RoofPlane("top", _rect(*box), top),)


def _lean_to(r: Random, box: Box, top: int) -> tuple[RoofPlane, ...]:
    x0, y0, x1, y1 = box
    eave = r.choice((((x0, y0), (x1, y0)), ((x1, y0), (x1, y1)), ((x0, y1), (x1, y1))))
    return (RoofPlane("lean-to", _rect(*box), top, _pitch(r), eave),)


def _gable(r: Random, box: Box, top: int) -> tuple[RoofPlane, ...]:
    x0, y0, x1, y1 = box
    middle, pitch = (y0 + y1) // 2, _pitch(r)
    return (
        RoofPlane("south", _rect(x0, y0, x1, middle), top, pitch, ((x0, y0), (x1, y0))),
        RoofPlane("north", _rect(x0, middle, x1, y1), top, pitch, ((x1, y1), (x0, y1))),
    )


def _pitch(r: Random) -> float:
    return r.choice((1.0, 3.0, 4.5, 6.0, 7.0, 9.0, 12.0))


def _openings(r: Random, box: Box) -> list[RoofOpening]:
    kinds = [k for k in RoofOpeningKind if r.random() < 0.25]
    return [
        RoofOpening(k.value, k, _within(r, box, 700), r.choice((0, 150)), r.choice((True, False, None))) for k in kinds
    ]


def _obstructions(r: Random, box: Box, top: int) -> list[RoofObstruction]:
    return [RoofObstruction("chimney", _within(r, box, 500), top + 2500)] if r.random() < 0.15 else []


def _within(r: Random, box: Box, most: int) -> tuple[Point2, ...]:
    x0, y0, x1, y1 = box
    w, d = r.randint(200, most), r.randint(200, most)
    x, y = r.randint(x0, x1 - w), r.randint(y0, y1 - d)
    return _rect(x, y, x + w, y + d)


def _rect(x0: int, y0: int, x1: int, y1: int) -> tuple[Point2, ...]:
    return (x0, y0), (x1, y0), (x1, y1), (x0, y1)
