"""What a surveyor hands in, in SI: lengths in whole millimetres, everything else in SI floats.

Plan points are (x, y) in the survey's own axes; heights are absolute z in the same datum as the
storeys' floors. Angles never occur. Nothing here knows JSON, units or rules. House and plot are in
modules of their own; all of it is to be had from here.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from service.survey.dwellings import Dwelling as Dwelling
from service.survey.equipment import Heater, PriceBook
from service.survey.explain import Explain as Explain
from service.survey.fixtures import DemandMethod as DemandMethod
from service.survey.fixtures import DemandTerms as DemandTerms
from service.survey.fixtures import Draw as Draw
from service.survey.fixtures import Fixture as Fixture
from service.survey.fixtures import HotWater as HotWater
from service.survey.gas import Appliance as Appliance
from service.survey.gas import GasCharacter as GasCharacter
from service.survey.gas import GasFittings as GasFittings
from service.survey.gas import GasMaterial as GasMaterial
from service.survey.gas import GasMethod as GasMethod
from service.survey.gas import GasNode as GasNode
from service.survey.gas import GasSegment as GasSegment
from service.survey.gas import GasSupply as GasSupply
from service.survey.gas import LineRegulator as LineRegulator
from service.survey.gas import PressureOption as PressureOption
from service.survey.house import Chase as Chase
from service.survey.house import KeepOut as KeepOut
from service.survey.house import KeepOutKind as KeepOutKind
from service.survey.house import Opening as Opening
from service.survey.house import OpeningKind as OpeningKind
from service.survey.house import Point2 as Point2
from service.survey.house import Point3 as Point3
from service.survey.house import Room as Room
from service.survey.house import RoomUse as RoomUse
from service.survey.house import Storey as Storey
from service.survey.house import UnitSystem as UnitSystem
from service.survey.house import Wall as Wall
from service.survey.house import WallKind as WallKind
from service.survey.joined import Joined as Joined
from service.survey.joined import JoinedBy as JoinedBy
from service.survey.power import Circuit as Circuit
from service.survey.power import Receptacle as Receptacle
from service.survey.questions import AskedMount as AskedMount
from service.survey.questions import AskedTerminal as AskedTerminal
from service.survey.questions import Question as Question
from service.survey.roof import Roof
from service.survey.rooms import Access as Access
from service.survey.rooms import Enclosure as Enclosure
from service.survey.rooms import GarageKind as GarageKind
from service.survey.rooms import Passage as Passage
from service.survey.site import AirInlet as AirInlet
from service.survey.site import Amendment as Amendment
from service.survey.site import Climate as Climate
from service.survey.site import Deck as Deck
from service.survey.site import Figure as Figure
from service.survey.site import GradeLine as GradeLine
from service.survey.site import InletKind as InletKind
from service.survey.site import LotLine as LotLine
from service.survey.site import Measuring as Measuring
from service.survey.site import NeighbourWall as NeighbourWall
from service.survey.site import Regulator as Regulator
from service.survey.site import Site as Site
from service.survey.site import Way as Way
from service.survey.site import WayKind as WayKind
from service.survey.water import Discharge as Discharge
from service.survey.water import WaterAnalysis as WaterAnalysis
from service.survey.water import WaterItem as WaterItem

STANDARD_BRANCH = "copper_l"
"""What a heater's water branches are made of unless a survey says otherwise."""


@dataclass(frozen=True, slots=True)
class WaterLine:
    """Existing water pipe as a polyline that may be tapped anywhere along it [mm]."""

    id: str
    points: tuple[Point3, ...]
    size: str
    material: str


@dataclass(frozen=True, slots=True)
class WaterSupply:
    """Cold and hot lines of the house and what is known of the water.

    ``occupants`` live in the house, ``daily_use_m3_s`` is what it uses, mean of a day [m3/s]; ``setpoint_c`` of the
    heater [degC]. ``check_valve`` or ``reducing_valve`` between main and heater; ``mixing_valve``: at the heater, or at
    every bath and shower. None where not told.

    ``static_pressure_pa`` is without flow where the supply enters; ``equipment_loss_pa`` what meter, softener, filter
    and backflow preventer take of it while all fixtures run; ``reducing_valve_pa`` the setting of a reducing valve that
    is there. None where not known.
    """

    cold: tuple[WaterLine, ...]
    hot: tuple[WaterLine, ...]
    static_pressure_pa: float | None = None
    hardness_mg_l: float | None = None
    fixtures: tuple[Fixture, ...] = ()
    softener: bool | None = None
    analysis: WaterAnalysis | None = None
    occupants: int | None = None
    daily_use_m3_s: float | None = None
    setpoint_c: float | None = None
    check_valve: bool | None = None
    reducing_valve: bool | None = None
    expansion_tank: bool | None = None
    mixing_valve: bool | None = None
    relief_discharge: Discharge | None = None
    demand: DemandTerms = DemandTerms()
    inlet_temperature_c: float | None = None
    equipment_loss_pa: float | None = None
    reducing_valve_pa: float | None = None
    branch_material: str = STANDARD_BRANCH


@dataclass(frozen=True, slots=True)
class Drain:
    """Place where condensate may be led [mm]."""

    id: str
    at: Point3


@dataclass(frozen=True, slots=True)
class Preferences:
    """What the customer wants; empty means no wish.

    ``water_items``: to be bought though no rule asks for them.
    ``waiting_cents_per_s``: what a second less of waiting for hot water is worth, the mean over all fixtures [cents].
    ``outdoors``: a heater listed for it may hang outdoors.
    ``recirculation``: tell what a recirculation loop would take.
    """

    rooms_refused: tuple[str, ...] = ()
    rooms_wanted: tuple[str, ...] = ()
    outdoors: bool = False
    alternatives: int = 1
    solver_seconds: float | None = None
    water_items: tuple[WaterItem, ...] = ()
    waiting_cents_per_s: int | None = None
    recirculation: bool = False


@dataclass(frozen=True, slots=True)
class Survey:
    """Everything known at the site, ready to be built upon. ``roof`` None: nobody told of it. ``dwellings``: several
    heaters are to be placed, one for each; none: one heater for the house."""

    name: str
    units: UnitSystem
    site: Site
    storeys: tuple[Storey, ...]
    gas: GasSupply
    water: WaterSupply
    heaters: tuple[Heater, ...]
    prices: PriceBook
    chases: tuple[Chase, ...] = ()
    drains: tuple[Drain, ...] = ()
    receptacles: tuple[Receptacle, ...] = ()
    preferences: Preferences = field(default_factory=Preferences)
    what_about: tuple[Question, ...] = ()
    explain: Explain = Explain()
    assumptions: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    roof: Roof | None = None
    dwellings: tuple[Dwelling, ...] = ()

    @property
    def hot_water(self) -> HotWater | None:
        """What the demand for hot water follows from; None without fixtures."""
        water, site = self.water, self.site
        if not water.fixtures:
            return None
        inlet, climate, altitude = water.inlet_temperature_c, site.climate, site.altitude_m
        return HotWater(water.fixtures, water.demand, inlet, climate, altitude, water.setpoint_c)

    def room(self, room_id: str) -> Room | None:
        """Room by id, None where the survey has none."""
        return next((r for s in self.storeys for r in s.rooms if r.id == room_id), None)
