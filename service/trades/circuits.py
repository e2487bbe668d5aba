"""Electricity of a heater: what it draws, which circuit carries it, voltage drop, breaker and disconnect.

What is not known of a circuit is never taken as fit: a rule holds, fails, or waits for a fact. All figures are
those of the tables ``power*``.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from math import inf

from service.rules.tables import table
from service.survey.equipment import Heater
from service.survey.power import Circuit, Receptacle


class Fit(StrEnum):
    """Whether a rule holds."""

    YES = "yes"
    NO = "no"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Judgement:
    """One rule on one circuit: whether it holds, in words, and the facts that would settle it."""

    rule: str
    fit: Fit
    detail: str
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Load:
    """What a heater draws [W] at its voltage [V]: running, and at most with its frost element on."""

    voltage_v: float
    running_w: float
    most_w: float
    element_known: bool

    @property
    def running_a(self) -> float:
        """Running current [A]."""
        return current_a(self.running_w, self.voltage_v)

    @property
    def most_a(self) -> float:
        """Current with the frost element on [A]."""
        return current_a(self.most_w, self.voltage_v)


def load_of(heater: Heater) -> Load:
    """Load of a heater; an element that is not told draws the most that is usual, 300 W, and a voltage that is not told
    is 120 V (common practice)."""
    known = table("power").constant
    element, volts = heater.freeze_element_w, heater.voltage_v
    at_most = heater.electrical_w + (known("freeze_element_high") if element is None else element)
    return Load(known("voltage") if volts is None else volts, heater.electrical_w, at_most, element is not None)


def current_a(power_w: float, voltage_v: float) -> float:
    """Current [A] at power factor one."""
    return power_w / voltage_v


def continuous_limit_a(breaker_a: float) -> float:
    """Continuous current [A] that a breaker may carry: 12 A of 15 A. Source: NEC 210.20(A) (memory)."""
    return breaker_a * table("power").constant("continuous_share")


def shared_limit_a(breaker_a: float, country: str) -> float:
    """Current [A] of all equipment fastened in place on a circuit that feeds other outlets too: 7.5 A of 15 A; inf for
    larger breakers and outside the US. Source: NEC 210.23(A)(2), 2017 (read)."""
    known = table("power").constant
    asked = country == "us" and breaker_a <= known("shared_up_to")
    return breaker_a * known("shared_share") if asked else inf


def new_breaker_a(load: Load) -> int | None:
    """Least breaker [A] of a circuit for a heater alone; None if no circuit of the table carries it."""
    sizes = [row.integer("breaker") for row in table("power_breakers").rows]
    return next((a for a in sizes if load.most_a <= continuous_limit_a(a)), None)


def wire_for(breaker_a: float) -> str | None:
    """Least copper wire [AWG] for a breaker; None beyond the table. Source: NEC 240.4(D) (memory)."""
    found = [r.text("wire") for r in table("power_breakers").rows if breaker_a <= r.integer("breaker")]
    return found[0] if found else None


def wire_sizes() -> tuple[str, ...]:
    """Sizes of copper wire [AWG] in the table, thinnest first."""
    return tuple(row.text("size") for row in table("power_wire").rows)


def ohm_per_m(wire: str) -> float:
    """Resistance [ohm/m] of copper wire at 75 degC: solid as building cable is, stranded where no solid wire is made.
    KeyError for a size that the table lacks. Source: NEC Chapter 9 Table 8 (read)."""
    row = table("power_wire").where(size=wire)
    return row.si("stranded" if row.cells["solid"] is None else "solid")


def drop_v(amperes: float, wire: str, length_mm: float) -> float:
    """Voltage [V] lost on the way there and back. Source: 2 I R L (single phase)."""
    return 2 * amperes * ohm_per_m(wire) * length_mm / 1000


def longest_mm(amperes: float, wire: str, voltage_v: float) -> float:
    """Length [mm] at which the recommended 3 % is lost; inf for no current.
    Source: NEC 210.19(A) informational note (read)."""
    return drop_share() * voltage_v * 1000 / (2 * amperes * ohm_per_m(wire)) if amperes else inf


def drop_share() -> float:
    """Recommended most share of the voltage lost on a branch circuit."""
    return table("power").constant("drop_branch")


def breaker_disconnects(load: Load) -> bool:
    """Whether the circuit's breaker may be the disconnect of a heater that is wired in: up to 300 VA.
    Source: NEC 422.31(A), 2017 (read)."""
    return load.most_w <= table("power").constant("breaker_disconnects")


def carried(load: Load, at: Receptacle, country: str) -> tuple[Judgement, ...]:
    """Every rule on taking a heater's power from an outlet's circuit, or from a new circuit of a panel."""
    if at.is_panel:
        return _panel_voltage(load, at), _panel(load, at)
    return _voltage(load, at.circuit), _sum(load, at.circuit), _shared(load, at.circuit, country), *_wire(at.circuit)


def fit_of(judgements: tuple[Judgement, ...]) -> Fit:
    """One that fails, fails all; all must hold."""
    fits = {j.fit for j in judgements}
    return Fit.NO if Fit.NO in fits else Fit.UNKNOWN if Fit.UNKNOWN in fits else Fit.YES


def _panel(load: Load, at: Receptacle) -> Judgement:
    breaker = new_breaker_a(load)
    if breaker is None:
        return Judgement("power.panel", Fit.NO, f"{load.most_a:.2f} A are more than any circuit planned here carries")
    poles = poles_of(load.voltage_v)
    told = f"a circuit of its own: breaker of {breaker} A, {poles} pole{'s' * (poles > 1)}, "
    told += f"copper {wire_for(breaker)} AWG"
    if at.free_spaces is None:
        return Judgement("power.panel", Fit.UNKNOWN, told, ("free place in the panel",))
    if at.free_spaces < poles:
        return Judgement("power.panel", Fit.NO, f"the panel has no place for another breaker of {poles}")
    return Judgement("power.panel", Fit.YES, told)


def poles_of(voltage_v: float) -> int:
    """Poles of a heater's breaker: one at 120 V, two between two conductors that are both live (common practice)."""
    return 1 if suits(voltage_v, table("power").constant("voltage")) else 2


def suits(heater_v: float, supply_v: float) -> bool:
    """Whether a heater of a voltage [V] runs on another's supply [V]. Source: ANSI C84.1 range B (memory)."""
    known = table("power").constant
    low, high = (known(end) * heater_v for end in ("voltage_low", "voltage_high"))
    return low <= supply_v * known("voltage") <= high


def _panel_voltage(load: Load, at: Receptacle) -> Judgement:
    """Every panel gives 120 V; a heater of any other wants it between the panel's conductors."""
    told = f"heater of {load.voltage_v:g} V"
    if poles_of(load.voltage_v) == 1:
        return Judgement("power.voltage", Fit.YES, f"{told}, as any panel gives")
    if at.panel_voltage_v is None:
        return Judgement("power.voltage", Fit.UNKNOWN, told, ("voltage of the panel",))
    fit = Fit.YES if suits(load.voltage_v, at.panel_voltage_v) else Fit.NO
    return Judgement("power.voltage", fit, f"panel of {at.panel_voltage_v:g} V, {told}")


def _voltage(load: Load, circuit: Circuit) -> Judgement:
    if circuit.voltage_v is None:
        return Judgement("power.voltage", Fit.UNKNOWN, f"heater of {load.voltage_v:g} V", ("voltage of the circuit",))
    fit = Fit.YES if suits(load.voltage_v, circuit.voltage_v) else Fit.NO
    return Judgement("power.voltage", fit, f"circuit of {circuit.voltage_v:g} V, heater of {load.voltage_v:g} V")


def present_w(circuit: Circuit) -> tuple[float, float]:
    """Least and most that a circuit feeds already [W]."""
    if circuit.dedicated:
        return 0.0, 0.0
    return (circuit.fixed_load_w or 0.0, inf) if circuit.load_w is None else (circuit.load_w, circuit.load_w)


def _sum(load: Load, circuit: Circuit) -> Judgement:
    """All load, taken as continuous, against four fifths of the breaker."""
    span = present_w(circuit)
    limit = None if circuit.breaker_a is None else continuous_limit_a(circuit.breaker_a)
    facts = {"breaker of the circuit": circuit.breaker_a is None, "load of the circuit": span[1] == inf}
    return _held("power.load", "all that it feeds", load, span, limit, facts)


def _shared(load: Load, circuit: Circuit, country: str) -> Judgement:
    """What is fastened in place against half of a circuit that feeds others too, as one does that is not known to be
    the heater's own."""
    if circuit.dedicated:
        return Judgement("power.shared", Fit.YES, "the circuit is to feed nothing else")
    limit = None if circuit.breaker_a is None else shared_limit_a(circuit.breaker_a, country)
    if limit == inf or country != "us":
        return Judgement("power.shared", Fit.YES, "no such limit for this circuit")
    facts = {"breaker of the circuit": limit is None, "fixed load of the circuit": circuit.fixed_load_w is None}
    held = _held("power.shared", "what is fastened in place", load, _fixed_w(circuit), limit, facts)
    if held.fit is Fit.NO and circuit.dedicated is None:
        return replace(held, fit=Fit.UNKNOWN, missing=("whether the circuit feeds other outlets",))
    return held


def _fixed_w(circuit: Circuit) -> tuple[float, float]:
    fixed = circuit.fixed_load_w
    return (0.0, present_w(circuit)[1]) if fixed is None else (fixed, fixed)


def _wire(circuit: Circuit) -> tuple[Judgement, ...]:
    """Wire too thin for its breaker; nothing where either is not known, or the table has no such breaker."""
    wanted = None if circuit.breaker_a is None else wire_for(circuit.breaker_a)
    if circuit.wire is None or wanted is None:
        return ()
    thick = ohm_per_m(circuit.wire) <= ohm_per_m(wanted)
    told = f"copper {circuit.wire} AWG behind a breaker of {circuit.breaker_a:g} A, {wanted} AWG asked for"
    return (Judgement("power.wire", Fit.YES if thick else Fit.NO, told),)


def _held(
    rule: str, what: str, load: Load, span_w: tuple[float, float], limit_a: float | None, facts: dict[str, bool]
) -> Judgement:
    """Hold the heater with a load that lies somewhere between two [W] against a limit [A]."""
    low, high = (load.most_w + w for w in span_w)
    told = f"{what}, the heater with it: {_amount(low / load.voltage_v, high / load.voltage_v)}"
    if limit_a is not None:
        told += f" of at most {limit_a:.2f} A"
        if high <= limit_a * load.voltage_v:
            return Judgement(rule, Fit.YES, told)
        if low > limit_a * load.voltage_v:
            return Judgement(rule, Fit.NO, told)
    return Judgement(rule, Fit.UNKNOWN, told, tuple(fact for fact, lacks in facts.items() if lacks))


def _amount(low: float, high: float) -> str:
    if low == high:
        return f"{low:.2f} A"
    return f"at least {low:.2f} A" if high == inf else f"{low:.2f} to {high:.2f} A"
