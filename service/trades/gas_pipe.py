"""Gas pipe and tube: sizes, bores, and the equivalent length of a fitting in each."""

from __future__ import annotations

from functools import cache
from math import ceil, pi

from service.rules.tables import Row, table
from service.survey.model import GasMaterial

CSST = GasMaterial.CSST.value
STEEL = GasMaterial.STEEL.value
MATERIALS: tuple[str, ...] = tuple(material.value for material in GasMaterial)
"""Materials whose capacity is known."""


@cache
def sizes(material: str) -> tuple[str, ...]:
    """Nominal sizes, of corrugated tubing its EHDs, smallest first; () for an unknown material.
    Source: IFGC 2018 402.4, columns of the tables (read)."""
    if material == CSST:
        return tuple(row.text("ehd") for row in table("gas_pipe_csst").rows)
    return tuple(row.text("nominal") for row in table("gas_pipe").rows if row.text("material") == material)


def is_known(material: str, size: str) -> bool:
    """Whether this is a size of a material whose capacity is known."""
    return size in sizes(material)


@cache
def inside_m(material: str, size: str) -> float:
    """Bore [m] that capacity is computed with; copper L has that of K, as the tables, which is the safe side.

    Raises KeyError for an unknown size and for corrugated tubing, which has tables and no bore.
    Source: IFGC 2018 402.4, headings of the tables (read).
    """
    return table("gas_pipe").where(material=material, nominal=size).si("sizing_inside")


@cache
def flow_area_m2(material: str, size: str) -> float:
    """True cross-section [m2], for velocities. KeyError for an unknown size. Source: IFGC 2018 Table A.5.2 (read);
    corrugated tubing by the smooth bore of equal flow (computed from 402.4(15), memory)."""
    bore_m = _csst(size).si("smooth_bore") if material == CSST else _pipe(material, size).si("inside")
    return pi / 4 * bore_m**2


@cache
def elbow_mm(material: str, size: str) -> int:
    """Equivalent length [mm], rounded up, of a 90 degree elbow or bend. KeyError for an unknown size.

    Steel: IFGC 2018 Table A.2.2 (read). Copper and polyethylene: 30 bores, the same table's ratio. Corrugated
    tubing: 1.3 ft (memory), every bend counted though the tables include four: the safe side.
    """
    return _fitting_mm(material, size, "ell90", "elbow_diameters")


@cache
def tee_mm(material: str, size: str) -> int:
    """Equivalent length [mm], rounded up, of a tee that the gas leaves by the branch: 60 bores; the rest as
    ``elbow_mm``."""
    return _fitting_mm(material, size, "tee", "tee_diameters")


def _fitting_mm(material: str, size: str, column: str, ratio: str) -> int:
    others = table("gas_fittings_other")
    if material == STEEL:
        length_m = table("gas_fittings").where(nominal=size).si(column)
    elif material == CSST:
        _csst(size)
        length_m = others.constant("csst_fitting")
    else:
        length_m = others.constant(ratio) * inside_m(material, size)
    return ceil(round(length_m * 1000, 6))


def _pipe(material: str, size: str) -> Row:
    return table("gas_pipe").where(material=material, nominal=size)


def _csst(ehd: str) -> Row:
    return table("gas_pipe_csst").where(ehd=ehd)


def _fraction(text: str) -> float:
    above, _, below = text.partition("/")
    return int(above) / int(below or 1)
