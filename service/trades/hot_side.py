"""The hot pipe of a house with the fixtures that hang on it."""

from __future__ import annotations

from dataclasses import dataclass

from service.rules.tables import table
from service.survey.model import Fixture, Point3, WaterSupply
from service.trades.water_lines import Pipework, Spot
from service.trades.water_pipe import Bore, bore_of


@dataclass(frozen=True, slots=True)
class Hanging:
    """A fixture: where its own supply leaves the hot pipe, how long that is [mm], and its bore (None: not known).

    A survey does not tell such supplies: they are taken to leave the hot pipe where it is nearest, and to run along the
    axes in the pipe of table ``fixture_supplies``, of the line's material.
    """

    fixture: Fixture
    tee: Spot
    foot: Point3
    stub_mm: int
    stub: Bore | None


@dataclass(frozen=True, slots=True)
class HotSide:
    """Hot lines by index, their bores (None: not known), and the fixtures on them."""

    pipework: Pipework
    ids: tuple[str, ...]
    bores: tuple[Bore | None, ...]
    hanging: tuple[Hanging, ...]

    def spot(self, line_id: str, at: Point3) -> Spot:
        """Place of a point that lies on a line. Raises ValueError for a line that there is not."""
        return self.pipework.nearest(at, self.ids.index(line_id))[0]


def hot_side(water: WaterSupply) -> HotSide:
    """The hot pipe of a supply whose points are in one frame."""
    pipework = Pipework([w.points for w in water.hot])
    hanging = tuple(_hung(f, pipework, water) for f in water.fixtures)
    bores = tuple(bore_of(w.material, w.size) for w in water.hot)
    return HotSide(pipework, tuple(w.id for w in water.hot), bores, hanging)


def _hung(fixture: Fixture, pipework: Pipework, water: WaterSupply) -> Hanging:
    tee, foot = pipework.nearest(fixture.at)
    stub_mm = sum(abs(p - q) for p, q in zip(fixture.at, foot, strict=True))
    nominal = table("fixture_supplies").where(kind="any").text("nominal")
    return Hanging(fixture, tee, foot, stub_mm, bore_of(water.hot[tee.line].material, nominal))


def tells_waits(water: WaterSupply) -> bool:
    """Whether enough is known to tell the wait at every fixture: there are some, all flow, all bores are known."""
    hot = hot_side(water)
    flows = all(h.fixture.flow_m3_s > 0 and h.stub is not None for h in hot.hanging)
    return bool(hot.hanging) and flows and None not in hot.bores
