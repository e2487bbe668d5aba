"""The gas system that a design leaves, built from the design and sized as if nobody had sized it before."""

from __future__ import annotations

from dataclasses import replace

from service.building.build import build
from service.design import Design, Renewal, RenewedPart
from service.piping.judge import judge
from service.piping.network import Network
from service.piping.options import option_name
from service.piping.sizing import size
from service.siting.gas_works import extended_of
from service.survey.equipment import PriceBook
from service.survey.model import GasSupply, Survey


def gas_faults(survey: Survey, design: Design) -> list[str]:
    """What does not agree: the works that the design pays for, the cheapest sizes of the whole system with its branch,
    and what CP-SAT proves of that system."""
    network = Network(extended_of(survey, build(survey), design).supply, survey.site.gas)
    paid, method = renewals_units(survey.gas, survey.prices, design.gas.renewals), survey.gas.method
    sizing, judgement = size(network, survey.prices, method), judge(network, survey.prices, method)
    faults = []
    if sizing.units != paid:
        faults.append(f"{survey.name}: renewals cost {paid}, cheapest sizes of the whole system {sizing.units}")
    if not judgement.agrees(paid):
        faults.append(f"{survey.name}: renewals cost {paid}, CP-SAT {judgement}")
    return faults


def renewed_size_is_enough(survey: Survey, design: Design) -> bool:
    """Whether the system with the design's own renewals in place needs nothing more."""
    extended = extended_of(survey, build(survey), design)
    parts = {RenewedPart.BEFORE_TAP: extended.before, RenewedPart.AFTER_TAP: extended.after}
    laid = {parts.get(r.part, r.segment_id): r for r in design.gas.renewals}
    segments = tuple(
        replace(s, material=laid[s.id].material, size=laid[s.id].size) if s.id in laid else s
        for s in extended.supply.segments
    )
    network = Network(replace(extended.supply, segments=segments), survey.site.gas)
    return size(network, survey.prices, survey.gas.method).units == 0


def renewals_units(supply: GasSupply, prices: PriceBook, renewals: tuple[Renewal, ...]) -> int:
    """Money units of new pipe, access to it, and taking out what was there."""
    segments, units = {s.id: s for s in supply.segments}, 0
    for r in renewals:
        old = segments[r.segment_id]
        access = prices["access.pipe.finished"].units_per_mm if old.finished else 0
        units += (prices[f"gas.{option_name(r.material, r.size)}.pipe"].units_per_mm + access) * r.length_mm
        units += prices["gas.renew"].units_each if old.size is not None else 0
    return units
