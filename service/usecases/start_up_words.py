"""What the steps of a start-up sheet say of this design, in the caller's units."""

from __future__ import annotations

from service.design import RoofTerminal, Service
from service.piping.options import split_name
from service.survey.model import Survey
from service.trades.power_options import CORDS, WIRED, PowerOption
from service.units import Quantity, told
from service.usecases.alarms import alarms
from service.usecases.gas_words import pipe_words
from service.usecases.power_results import PowerReport
from service.usecases.start_up_results import Subject
from service.usecases.start_up_taps import taps_of

POWER_WORDS = {
    PowerOption.CABLE: "plug into the new outlet",
    PowerOption.CORD: "plug into the outlet that is there",
    PowerOption.CORD_GFCI: "plug into the renewed outlet",
    PowerOption.WIRED: "wired in; the breaker disconnects it",
    PowerOption.WIRED_SWITCH: "wired in behind its switch",
    PowerOption.WIRED_GFCI: "wired in; its ground-fault breaker disconnects it",
    PowerOption.WIRED_SWITCH_GFCI: "wired in behind its switch and a ground-fault breaker",
}

METERED = ", then turn off all other gas and clock the meter"
UNMETERED = "; there is no meter of a supplier to clock, so hold pressure and orifice against the rating plate"


def words_of(subject: Subject) -> dict[str, str]:
    """Values for the fields of the steps and of the points for the customer."""
    survey, design = subject.survey, subject.design
    return {
        **_places(subject),
        **_vent(subject),
        "air": "none" if design.air is None else _air(subject),
        "drain": _drain(subject),
        "drain_end": _drain_end(subject),
        "gas_work": _gas_work(subject),
        "supplier": "; ".join(supplier_work(subject)),
        "others": _others(subject),
        "storeys": ", storey by storey" if len(survey.storeys) > 1 else "",
        "power": POWER_WORDS.get(PowerOption(subject.power.option), "as designed"),
        "power_at": _power_at(subject.power),
        "power_test": _power_test(subject.power),
        "clock": METERED if metered(survey) else UNMETERED,
        "alarms": _alarms(subject),
        "near_tap": _near_tap(subject),
        "freeze_limit": _freeze(subject),
        "hardness": told(Quantity.HARDNESS, survey.water.hardness_mg_l or 0.0, survey.units),
    }


def metered(survey: Survey) -> bool:
    """Whether a meter of the supplier is known to be there to be clocked: natural gas comes through one, propane from a
    tank."""
    return survey.site.fuel == "natural_gas"


def _power_at(power: PowerReport) -> str:
    """Where the heater's power arrives: not the place that its new cable comes from."""
    if power.option in CORDS:
        return f"outlet {power.end_id}"
    new = "the heater's own wiring box" if power.option in WIRED else "the new outlet at the heater"
    return f"{new}, fed from {power.end_id}"


def _power_test(power: PowerReport) -> str:
    """Only where something is there to be tested."""
    unprotected = power.protection.given_by.startswith("none")
    return "" if unprotected else f" and test the ground-fault protection of {power.protection.given_by}"


def _vent(subject: Subject) -> dict[str, str]:
    if subject.vent is None:
        return {"join_vent": ""}
    slope = subject.vent.slope
    return {
        "join_vent": " and join the vent to it",
        "vent": _length(subject, Service.VENT) + f" of {subject.vent.system.name}",
        "fall": f"{slope.fall:.2%}" if slope.fall else "nothing asked",
        "falls_to": slope.falls_to,
    }


def supplier_work(subject: Subject) -> list[str]:
    """What the gas supplier must do before."""
    design = subject.design
    work = {
        "a larger meter": design.meter_upgrade,
        "a larger service regulator": design.gas.service_regulator,
        f"delivery pressure {design.gas.pressure_option}": design.gas.pressure_option is not None,
    }
    return [what for what, asked in work.items() if asked]


def _places(subject: Subject) -> dict[str, str]:
    return {"place": _case(subject), "terminal": _terminal(subject)}


def _case(subject: Subject) -> str:
    """Where the case hangs; outdoors over the ground below its flue outlet."""
    mount, building = subject.design.mount, subject.building
    if subject.design.outdoors:
        ground = max(g.z for g in building.facade(mount.facade_id).grade if g.s0 <= mount.s_mm <= g.s1)
        height = _mm(subject.survey, mount.bottom_z_mm - ground)
        return f"case outdoors on facade {mount.facade_id}, underside {height} above grade"
    face = building.face(mount.face_id)
    height = _mm(subject.survey, mount.bottom_z_mm - building.room(face.room_id).floor_z)
    return f"case in {face.room_id} on wall {face.id}, underside {height} above the floor"


def _terminal(subject: Subject) -> str:
    """Where the vent ends: on a facade over the ground, or over the roof."""
    terminal, survey = subject.design.terminal, subject.survey
    if isinstance(terminal, RoofTerminal):
        roof = subject.building.roof_plane(terminal.roof_id)
        return f"over {roof.id}, {_mm(survey, terminal.z_mm - roof.height_mm(terminal.x_mm, terminal.y_mm))} above it"
    facade = subject.building.facade(terminal.facade_id)
    ground = max(step.z for step in facade.grade if step.s0 <= terminal.s_mm <= step.s1)
    return f"on facade {facade.id}, {_mm(survey, terminal.z_mm - ground)} above grade"


def _mm(survey: Survey, mm: int) -> str:
    return told(Quantity.LENGTH, mm / 1000, survey.units)


def _length(subject: Subject, service: Service) -> str:
    run = subject.design.route(service)
    if run is None:
        return "none"
    return f"{_mm(subject.survey, run.length_mm)} with {run.elbows} elbow{'' if run.elbows == 1 else 's'}"


def _air(subject: Subject) -> str:
    air = subject.design.air
    assert air is not None
    where = [o.where for o in air.openings if o.where]
    return air.method.value.replace("_", " ") + (f" ({'; '.join(where)})" if where else "")


def _drain(subject: Subject) -> str:
    condensate = subject.condensate
    if condensate is None:
        return "none"
    way = "lifted by its pump" if condensate.pumped else f"falling {condensate.fall:.2%}"
    return f"{_length(subject, Service.DRAIN)} of {condensate.line_size} in, {way}"


def _drain_end(subject: Subject) -> str:
    run = subject.design.route(Service.DRAIN)
    return "its end" if run is None else run.end_id


def _gas_work(subject: Subject) -> str:
    run = subject.design.route(Service.GAS)
    size = "" if run is None else f" of {pipe_words(*split_name(run.option))} to {run.end_id}"
    renewed = [f"{r.segment_id} in {pipe_words(r.material, r.size)}" for r in subject.design.gas.renewals]
    return f"{_length(subject, Service.GAS)}{size}; renewed: {', '.join(renewed) or 'nothing'}"


def _others(subject: Subject) -> str:
    ids = [i.id for i in subject.gas.inlets if i.id != subject.design.heater.id]
    return f", and fire with it {', '.join(ids)}" if ids else "; it is the only gas appliance"


def _alarms(subject: Subject) -> str:
    asked = alarms(subject.survey, subject.building, [subject.design])
    return "; ".join(f"{a.what}, {a.where}" for a in asked) or "none is asked for by our tables; ask for local rules"


def _near_tap(subject: Subject) -> str:
    taps = taps_of(subject.survey, subject.building, subject.design)
    return taps[0].id if taps else "the nearest hot tap"


def _freeze(subject: Subject) -> str:
    heater = subject.design.heater
    limit = heater.freeze_limit_c
    if subject.design.outdoors and heater.outdoor is not None:
        limit = heater.outdoor.min_temperature_c
    return "as its listing says" if limit is None else f"to {told(Quantity.TEMPERATURE, limit, subject.survey.units)}"
