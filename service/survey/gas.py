"""The gas system as surveyed: delivery, piping as a tree, appliances, and what the supplier offers. See ``model`` for
the units; pressures are gauge."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from service.survey.house import Point3


class GasMethod(StrEnum):
    """How pipe is sized; one of them governs."""

    LONGEST_TABLES = "longest_length_by_tables"
    LONGEST_EQUATION = "longest_length_by_equation"
    BRANCH_TABLES = "branch_length_by_tables"
    BRANCH_EQUATION = "branch_length_by_equation"
    PRESSURE = "pressure_by_equation"


class GasFittings(StrEnum):
    """Whether fittings add to length: each by its equivalent length, or covered by the code's allowance."""

    COUNTED = "counted"
    ALLOWANCE = "code_allowance"


class GasMaterial(StrEnum):
    """Pipe and tube whose capacity is known."""

    STEEL = "steel_sch40"
    COPPER_K = "copper_k"
    COPPER_L = "copper_l"
    CSST = "csst"
    PE = "pe"


@dataclass(frozen=True, slots=True)
class GasNode:
    """Joint, outlet or end of the existing gas piping [mm]."""

    id: str
    at: Point3


@dataclass(frozen=True, slots=True)
class GasSegment:
    """Pipe from ``start`` node (towards the meter) to ``end`` node.

    ``size`` is the nominal size (of corrugated tubing its EHD), None for a new pipe still to be sized. ``elbows``
    are 90 degree turns, ``tees`` those that the gas leaves by the branch; None where nobody counted. ``finished``:
    behind finished surfaces, so renewing it costs access. ``fixed``: it cannot be renewed. ``before_regulator``:
    it leaves its start node ahead of the line regulator there. ``part_of``: the surveyed pipe that it is a part of,
    once another heater's branch cuts that; empty where it is whole.
    """

    id: str
    start: str
    end: str
    material: str
    size: str | None
    length_mm: int
    elbows: int | None = None
    tees: int | None = None
    finished: bool = False
    fixed: bool = False
    before_regulator: bool = False
    part_of: str = ""


@dataclass(frozen=True, slots=True)
class Appliance:
    """Gas appliance at a node of the piping; inlet limits [Pa] None where the nameplate was not read.

    ``fan_assisted``: a fan draws its air, there is no draft hood. ``vent_diameter_mm``: of its vent connector, 0 if it
    has none. None = not known.
    """

    id: str
    kind: str
    input_w: float
    direct_vent: bool | None
    room: str | None
    node: str
    inlet_min_pa: float | None = None
    inlet_max_pa: float | None = None
    fan_assisted: bool | None = None
    vent_diameter_mm: int | None = None


@dataclass(frozen=True, slots=True)
class LineRegulator:
    """Regulator at a node: all that leaves the node is behind it, but for pipes marked ``before_regulator``.

    ``loss_pa`` is what the regulator itself takes at its load.
    """

    node: str
    outlet_pa: float
    allowable_drop_pa: float
    capacity_w: float | None = None
    loss_pa: float | None = None


@dataclass(frozen=True, slots=True)
class PressureOption:
    """Delivery pressure that the supplier offers instead. Above the range of the low-pressure equation a line
    regulator at the point of delivery feeds the old piping at ``regulated_pa``."""

    id: str
    pressure_pa: float
    allowable_drop_pa: float
    regulated_pa: float | None = None
    regulated_drop_pa: float | None = None


@dataclass(frozen=True, slots=True)
class GasSupply:
    """Point of delivery (also the root node's place) and what hangs on it.

    ``diversity`` is the stated share of the connected load that runs at once, None for all of it.
    ``branch_materials`` may be used for the heater's branch; ``service_regulator_w`` is what the supplier's
    regulator passes, None where it is not known and the supplier's affair.
    """

    delivery_node: str
    pressure_pa: float
    meter_capacity_w: float
    allowable_drop_pa: float
    nodes: tuple[GasNode, ...]
    segments: tuple[GasSegment, ...] = ()
    appliances: tuple[Appliance, ...] = ()
    free_outlets: tuple[str, ...] = ()
    method: GasMethod = GasMethod.LONGEST_TABLES
    fittings: GasFittings = GasFittings.COUNTED
    diversity: float | None = None
    regulators: tuple[LineRegulator, ...] = ()
    branch_materials: tuple[str, ...] = (GasMaterial.STEEL.value,)
    pressure_options: tuple[PressureOption, ...] = ()
    service_regulator_w: float | None = None


@dataclass(frozen=True, slots=True)
class GasCharacter:
    """The gas itself: fuel (natural_gas | propane), heating value [J/m3], specific gravity [-]; site altitude [m]."""

    fuel: str
    heating_value_j_m3: float
    specific_gravity: float
    altitude_m: float = 0.0
