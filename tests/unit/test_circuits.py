"""What is not known of a circuit against every world that it may stand for."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from typing import Any

import pytest

from service.rules.catalogue import heaters
from service.survey.model import Circuit, Receptacle
from service.trades.circuits import Fit, carried, fit_of, load_of
from tests.unit.survey_documents import faults, smallest

HEATER = replace(heaters()["nc-direct-120"], freeze_element_w=200.0)
VOLTS, BREAKERS, LOADS, FIXED = (120.0, 240.0), (15.0, 20.0, 30.0), (0.0, 700.0, 1200.0, 2000.0), (0.0, 500.0, 1200.0)


def allowed(volts: float, breaker: float, load: float, fixed: float, dedicated: bool) -> bool:
    """The rules told once more for a circuit that is known through and through: 290 W more at 120 V."""
    if not 110 <= volts <= 127 or load + 290 > breaker * 0.8 * 120:
        return False
    return dedicated or breaker > 20 or fixed + 290 <= breaker * 0.5 * 120


WORLDS = [
    (v, b, load, fixed, d)
    for v, b, load, fixed, d in product(VOLTS, BREAKERS, LOADS, FIXED, (True, False))
    if fixed <= load and not (d and load)
]


def known_of(volts: Any, breaker: Any, load: Any, fixed: Any, dedicated: Any) -> Circuit:
    """A circuit with some facts."""
    return Circuit(volts, breaker, load, fixed, dedicated)


@pytest.mark.parametrize("hidden", list(product((False, True), repeat=5)))
def test_a_verdict_holds_in_every_world(hidden: tuple[bool, ...]) -> None:
    """Yes: all worlds that agree with what is told are lawful; no: none is."""
    for world in WORLDS:
        told = tuple(None if h else fact for h, fact in zip(hidden, world, strict=True))
        fit = fit_of(carried(load_of(HEATER), Receptacle("o", (0, 0, 0), circuit=known_of(*told)), "us"))
        agree = [allowed(*w) for w in WORLDS if all(t is None or t == f for t, f in zip(told, w, strict=True))]
        if fit is Fit.YES:
            assert all(agree), told
        if fit is Fit.NO:
            assert not any(agree), told
        if not any(hidden):
            assert fit is (Fit.YES if allowed(*world) else Fit.NO), told


def test_an_unknown_fact_is_named() -> None:
    """What would settle it."""
    found = carried(load_of(HEATER), Receptacle("o", (0, 0, 0)), "us")
    assert {m for j in found for m in j.missing} == {
        "voltage of the circuit", "breaker of the circuit", "load of the circuit", "fixed load of the circuit",
    }  # fmt: skip


def test_a_full_panel_carries_nothing_more() -> None:
    """Places for breakers, known or not."""
    for free, fit in ((0, Fit.NO), (None, Fit.UNKNOWN), (2, Fit.YES)):
        assert fit_of(carried(load_of(HEATER), Receptacle("p", (0, 0, 0), True, free_spaces=free), "us")) is fit


def test_wire_too_thin_for_its_breaker() -> None:
    """14 AWG behind 20 A (NEC 240.4(D), memory)."""
    good = Circuit(120.0, 20.0, 100.0, 0.0, False, "12")
    for wire, fit in (("12", Fit.YES), ("10", Fit.YES), ("14", Fit.NO)):
        at = Receptacle("o", (0, 0, 0), circuit=replace(good, wire=wire))
        assert fit_of(carried(load_of(HEATER), at, "us")) is fit


@pytest.mark.parametrize(
    ("outlet", "pointer", "code"),
    [
        ({"is_panel": True, "circuit": {"breaker": 15}}, "#/receptacles/0/circuit", "contradiction"),
        ({"is_panel": True, "gfci": True}, "#/receptacles/0/gfci", "contradiction"),
        ({"panel_voltage": 240}, "#/receptacles/0/panel_voltage", "contradiction"),
        ({"free_spaces": 2}, "#/receptacles/0/free_spaces", "contradiction"),
        ({"circuit": {"dedicated": True, "present_load": 10}}, "#/receptacles/0/circuit/dedicated", "contradiction"),
        ({"circuit": {"present_load": 10, "fixed_load": 11}}, "#/receptacles/0/circuit/fixed_load", "contradiction"),
        ({"circuit": {"wire": "13"}}, "#/receptacles/0/circuit/wire", "unknown_wire"),
        ({"circuit": {"breaker": 0}}, "#/receptacles/0/circuit/breaker", "out_of_range"),
    ],
)
def test_intake_refuses(outlet: dict[str, Any], pointer: str, code: str) -> None:
    """Contradictions and unknown words, each with its pointer."""
    document = smallest()
    document["receptacles"] = [{"id": "o", "at": [1, 1, 1], **outlet}]
    assert (pointer, code) in [(f.pointer, f.code) for f in faults(document)]
