"""The water supply in the frame of the house."""

from __future__ import annotations

from dataclasses import replace

from service.building.model import Frame
from service.survey.model import WaterLine, WaterSupply


def framed_water(water: WaterSupply, frame: Frame) -> WaterSupply:
    """The same lines and fixtures with their points in the frame [mm]; lines sorted by id."""
    return replace(
        water,
        cold=_framed(water.cold, frame),
        hot=_framed(water.hot, frame),
        fixtures=tuple(replace(f, at=frame.to_frame3(f.at)) for f in water.fixtures),
    )


def _framed(lines: tuple[WaterLine, ...], frame: Frame) -> tuple[WaterLine, ...]:
    turned = (replace(w, points=tuple(frame.to_frame3(p) for p in w.points)) for w in lines)
    return tuple(sorted(turned, key=lambda w: w.id))
