"""What runs and places cost, read off the inspector's own bill: it is asked what it would count for probes.

No price key is known here but those of a heater's fixed things; everything else is a difference of two bills of
``check.prices``, so a bound is in the very money in which the design is judged.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field, replace

from service.building.model import Building, BuiltRoom
from service.check.prices import quantities
from service.design import NO_TERMINAL, Design, GasWorks, Mount, Piece, Route, Service, Surface
from service.siting.costing import Extras
from service.survey.equipment import MONEY_SCALE, Heater, Per
from service.survey.model import Survey
from service.trades.power_options import CORDS
from service.verify.spread import Rates

CORD_SURFACES = (Surface.WALL, Surface.WALL_FINISHED, Surface.STUB)
"""A cord passes no wall and no floor and nobody hangs it under a ceiling."""
FAR_MM = -(10**8)
"""Probes lie so far off that they touch no room [mm]."""
JOG = "access.vent.finished"
"""What the way to an intake's own hole costs besides, on a finished wall."""
Counts = Counter[str]


@dataclass(frozen=True, slots=True)
class Run:
    """Rates of a run, and what it costs once, whatever its way."""

    rates: Rates
    once: int


@dataclass(frozen=True)
class Prices:
    """The price book as the inspector reads it."""

    survey: Survey
    building: Building
    _runs: dict[tuple[object, ...], Run] = field(default_factory=dict)

    def units(self, heater: Heater, counts: Counts) -> int:
        """Money units of counted things. KeyError where one has no price."""
        own = f"heater.{heater.id}"
        each = heater.price_cents * MONEY_SCALE
        return sum((each if key == own else self._of(key)) * n for key, n in counts.items())

    def of_design(self, design: Design) -> int:
        """Money units of a whole design, exactly. KeyError where a thing has no price."""
        return self.units(design.heater, Counter(quantities(self.survey, self.building, design)))

    def of_route(self, design: Design, service: Service) -> int:
        """Money units of one run of a design, with what is bought once for it."""
        routes = [r for r in design.routes if r.service is service]
        with_run, without = (self._counts(design.heater, tuple(rs)) for rs in (routes, ()))
        return self.units(design.heater, with_run - without)

    def of_works(self, design: Design) -> int:
        """Money units of what a design does to the gas system besides the branch; the supplier's regulator is no tap's
        doing."""
        works = replace(design.gas, service_regulator=False)
        done, left = (replace(design, routes=(), gas=gas) for gas in (works, GasWorks()))
        both = [Counter(quantities(self.survey, self.building, d)) for d in (done, left)]
        return self.units(design.heater, both[0] - both[1])

    def fixed(self, heater: Heater, room: BuiltRoom, extras: Extras) -> int:
        """Money units of a heater in a room, or on a facade before it, without any run."""
        face = next(f for f in self.building.faces if f.room_id == room.id)
        mount = Mount("", 0, 0, "outdoors") if extras.outdoors else Mount(face.id, 0, 0)
        design = Design(
            heater, mount, NO_TERMINAL, (), extras.air_openings, extras.meter_upgrade, (), 0,
            GasWorks(service_regulator=extras.service_regulator), cold_fitting=extras.cold_fitting, air=extras.air,
            water_items=extras.water_items,
        )  # fmt: skip
        return self.units(heater, Counter(quantities(self.survey, self.building, design)))

    def run(self, heater: Heater, service: Service, option: str, climbs: int = 0, pumped: bool = False) -> Run:
        """What a run of an option costs; of twin pipe both pipes, but for the surcharge on the way to its own hole."""
        key = heater.id, heater.vent, service, option, climbs, pumped
        if key not in self._runs:
            self._runs[key] = self._run(heater, service, option, climbs, pumped)
        return self._runs[key]

    def jog(self, heater: Heater) -> int:
        """What the way to an intake's own hole costs more on a finished wall; 0 without an intake."""
        intake = heater.vent.intake
        return 0 if intake is None else intake.apart_mm * self._of(JOG)

    def _run(self, heater: Heater, service: Service, option: str, climbs: int, pumped: bool) -> Run:
        def bill(*pieces: Piece) -> int | None:
            counts = self._counts(heater, (Route(service, option, "", pieces, 0, pumped=pumped),))
            try:
                return self.units(heater, counts)
            except KeyError:
                return None

        (at, on, ahead, aside) = ((FAR_MM + x, FAR_MM + y, 0) for x, y in ((0, 0), (1, 0), (2, 0), (1, 1)))
        once = bill(Piece(at, at, Surface.WALL))
        if once is None:
            raise KeyError(option)
        surfaces = CORD_SURFACES if option in CORDS else tuple(Surface)
        points, metres = ({s: bill(Piece(at, end, s)) for s in surfaces} for end in (at, on))
        per_mm = {s: far - near for s in surfaces if (near := points[s]) is not None and (far := metres[s]) is not None}
        passing = {s: near - once for s in per_mm if (near := points[s]) is not None}
        straight, turned = (bill(Piece(at, on, Surface.WALL), Piece(on, p, Surface.WALL)) for p in (ahead, aside))
        if service is not Service.VENT:
            per_mm.pop(Surface.ROOF, None)
        return Run(Rates(per_mm, passing, (turned or 0) - (straight or 0), climbs), once)

    def _counts(self, heater: Heater, routes: tuple[Route, ...]) -> Counts:
        """What the inspector counts for runs alone, without the heater; of an intake's own way not the surcharge, which
        is the wall's."""
        bare = Design(heater, Mount("", 0, 0), NO_TERMINAL, (), False, False, (), 0)
        runs = Design(heater, Mount("", 0, 0), NO_TERMINAL, routes, False, False, (), 0)
        both = [Counter(quantities(self.survey, self.building, d)) for d in (runs, bare)]
        return both[0] - both[1]

    def _of(self, key: str) -> int:
        """Money units of one item or millimetre."""
        price = self.survey.prices.items[key]
        return price.units_each if price.per is Per.EACH else price.units_per_mm
