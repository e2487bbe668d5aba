"""The duplex of the open plans with a heater for each of its two dwellings; services invented here."""

from __future__ import annotations

import re
from dataclasses import replace

from service.rules.catalogue import heaters, price_book
from service.survey.model import (
    Appliance,
    Drain,
    Dwelling,
    Fixture,
    GasMaterial,
    GasNode,
    GasSegment,
    GasSupply,
    Receptacle,
    Survey,
    WaterLine,
    WaterSupply,
)
from tests.unit.open_plans import survey

WEST, EAST, FLOOR = 417, 8383, 13
STEEL = GasMaterial.STEEL.value
OFFERED = ("nc-direct-120", "co-direct-160")
A_KITCHEN, B_KITCHEN = (WEST, -11_500), (EAST, -6_300)
"""On the outer walls of the kitchens, where old pipes are taken to end [mm]."""


def duplex(ids: tuple[str, ...] = OFFERED) -> Survey:
    """Two dwellings with a kitchen each on the ground floor, whose rooms lie crosswise: upstairs bedrooms of the one
    look out over the other's living room."""
    plan = survey("duplex", tuple(h for k, h in sorted(heaters().items()) if k in ids), price_book("demo-si"))
    return replace(
        plan,
        gas=_gas(),
        water=WaterSupply(
            tuple(_line(f"{w}-cold", x, y) for w, (x, y) in (("a", A_KITCHEN), ("b", B_KITCHEN))),
            tuple(_line(f"{w}-hot", x, y + 200) for w, (x, y) in (("a", A_KITCHEN), ("b", B_KITCHEN))),
            fixtures=tuple(
                Fixture(f"{w}-sink", "kitchen_sink", 1e-4, at=(x, y, FLOOR + 900))
                for w, (x, y) in (("a", A_KITCHEN), ("b", B_KITCHEN))
            ),
        ),
        drains=(Drain("a-waste", (*A_KITCHEN, FLOOR + 400)), Drain("b-waste", (*B_KITCHEN, FLOOR + 400))),
        receptacles=(
            Receptacle("a-outlet", (WEST, -10_800, FLOOR + 1_000)),
            Receptacle("b-outlet", (EAST, -7_000, FLOOR + 1_000)),
        ),
        dwellings=tuple(_dwelling(plan, letter) for letter in "AB"),
    )  # fmt: skip


def _dwelling(plan: Survey, letter: str) -> Dwelling:
    rooms = tuple(r.id for s in plan.storeys for r in s.rooms if re.search(rf" {letter}\d{{3}}$", r.id))
    own = letter.lower()
    return Dwelling(
        letter, rooms, water_lines=(f"{own}-cold", f"{own}-hot"), fixtures=(f"{own}-sink",), drains=(f"{own}-waste",),
        receptacles=(f"{own}-outlet",), gas_taps=(f"{own}-end", f"{own}-pipe"),
    )  # fmt: skip


def _line(name: str, x: int, y: int) -> WaterLine:
    return WaterLine(name, ((x, y, FLOOR + 200), (x, y, FLOOR + 1_500)), "3/4", "copper")


def _gas() -> GasSupply:
    """One meter at the west wall; a pipe to each kitchen, as old and as thin as they may be."""
    meter = (0, -10_000, 600)
    nodes = (
        GasNode("meter", meter), GasNode("tee", (WEST, -10_200, 2_500)),
        GasNode("a-end", (*A_KITCHEN, 2_500)), GasNode("b-turn", (WEST, -6_300, 2_500)),
        GasNode("b-end", (*B_KITCHEN, 2_500)),
    )  # fmt: skip
    segments = (
        GasSegment("rise", "meter", "tee", STEEL, "3/4", 2_600),
        GasSegment("a-pipe", "tee", "a-end", STEEL, "1/2", 1_300),
        GasSegment("b-way", "tee", "b-turn", STEEL, "3/4", 3_900),
        GasSegment("b-pipe", "b-turn", "b-end", STEEL, "3/4", 7_966),
    )
    hobs = tuple(Appliance(f"{w}-hob", "range", 9_000.0, None, None, f"{w}-end") for w in "ab")
    return GasSupply("meter", 1_750.0, 73_000.0, 125.0, nodes, segments, hobs)
