"""From a parsed JSON document - fixtures and heaters, or a whole survey - to what is to be reckoned."""

from __future__ import annotations

from dataclasses import replace

from service.errors import Fault, InvalidRequest
from service.http.schemas.build_demand import build_climate, build_terms, demand_faults, duplicate_faults, note_demand
from service.http.schemas.build_equipment import build_heaters
from service.http.schemas.build_fixtures import build_draws
from service.http.schemas.build_services import note_setpoint
from service.http.schemas.demand import HotWaterDemandSchema
from service.http.schemas.fuel import Fuel
from service.http.schemas.limits import check_limits
from service.http.schemas.load import load_survey, loaded
from service.http.schemas.notes import Notes
from service.settings import Settings
from service.survey.hot_water_request import HotWaterRequest
from service.survey.model import HotWater, Survey


def load_hot_water(document: object, settings: Settings) -> HotWaterRequest:
    """Fixtures with heaters from a parsed JSON document; one that has ``storeys`` is a survey, whose own are taken.

    Raises:
        LimitExceeded: the document is larger than the service takes.
        InvalidRequest: every fault of the schema; where there is none, every contradiction.
    """
    if isinstance(document, dict) and "storeys" in document:
        return _of_survey(load_survey(document, settings))
    check_limits(document, settings)
    entry = loaded(HotWaterDemandSchema(), document, settings)
    notes = Notes(entry["units"])
    facts = HotWater(
        draws=build_draws(entry["fixtures"], notes),
        terms=build_terms(entry.get("demand")),
        inlet_c=entry.get("inlet_temperature"),
        climate=build_climate(entry.get("climate")),
        altitude_m=notes.taken(entry.get("altitude"), 0.0, "Altitude not given, taken as sea level"),
        setpoint_c=note_setpoint(entry, notes),
    )
    if faults := (*duplicate_faults(facts.draws, ("fixtures",)), *demand_faults(facts, ())):
        raise InvalidRequest(faults)
    note_demand(facts, notes)
    heaters = build_heaters(entry.get("heaters"), str(entry.get("fuel", Fuel.NATURAL_GAS)), False, notes)
    request = HotWaterRequest(entry["name"], entry["units"], facts, heaters)
    return replace(request, assumptions=notes.assumptions(), warnings=notes.warnings())


def _of_survey(survey: Survey) -> HotWaterRequest:
    facts = survey.hot_water
    if facts is None:
        raise InvalidRequest((Fault("#/water/fixtures", "missing", "a demand needs fixtures"),))
    return HotWaterRequest(survey.name, survey.units, facts, survey.heaters, survey.assumptions, survey.warnings)
