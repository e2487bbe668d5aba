"""From a parsed JSON document to a sound survey, or to every fault in it."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

from marshmallow import Schema, ValidationError

from service.errors import Fault, InvalidRequest
from service.http.fields import reading
from service.http.schemas.base import faults_of
from service.http.schemas.build_demand import demand_faults, note_demand
from service.http.schemas.build_equipment import (
    allows_outdoors,
    build_heaters,
    build_preferences,
    build_prices,
    note_outdoors,
)
from service.http.schemas.build_gas import build_gas, delivery_point, note_rooms
from service.http.schemas.build_heaters import intake_faults
from service.http.schemas.build_services import build_drain, build_receptacle, build_water
from service.http.schemas.build_site import build_site
from service.http.schemas.build_storeys import build_chase, build_storeys
from service.http.schemas.dwellings import build_dwellings
from service.http.schemas.explain import build_explain
from service.http.schemas.gas_faults import entry_faults
from service.http.schemas.limits import check_limits
from service.http.schemas.notes import ROUNDED, Notes
from service.http.schemas.questions import build_questions
from service.http.schemas.roof import build_roof, pitch_faults
from service.http.schemas.survey import SurveySchema
from service.http.schemas.water_faults import waiting_faults
from service.settings import Settings
from service.survey.checks import check_survey
from service.survey.model import Survey, UnitSystem


def load_survey(document: object, settings: Settings) -> Survey:
    """Survey from a parsed JSON document.

    Raises:
        LimitExceeded: the document is larger than the service takes.
        InvalidRequest: every fault of the schema; where there is none, every contradiction.
    """
    check_limits(document, settings)
    entry = loaded(_survey_schema(), document, settings)
    survey, built_faults = _built(entry, settings)
    faults, warnings = check_survey(survey)
    if built_faults or faults:
        raise InvalidRequest((*faults, *built_faults))
    return replace(survey, warnings=survey.warnings + warnings)


@cache
def _survey_schema() -> Schema:
    """Made once: it takes a tenth of the time that a document takes."""
    return SurveySchema()


def loaded(schema: Schema, document: object, settings: Settings) -> dict[str, Any]:
    """A document through a schema, in SI; InvalidRequest with every fault."""
    with reading(_system(document), settings):
        try:
            entry: dict[str, Any] = schema.load(document)  # type: ignore[arg-type]  # refuses what is no object
        except ValidationError as error:
            raise InvalidRequest(faults_of(error.messages)) from None
    return entry


def _system(document: object) -> UnitSystem:
    """How the caller speaks; while that is unknown (a fault of its own), any system serves."""
    named = document.get("units") if isinstance(document, dict) else None
    return UnitSystem.US if named == "us" else UnitSystem.SI


def _built(entry: dict[str, Any], settings: Settings) -> tuple[Survey, list[Fault]]:
    """The survey, and what prices, tables and the gas entry's own words say against it."""
    notes = Notes(entry["units"])
    storeys = build_storeys(entry["storeys"], notes)
    site = build_site(entry.get("site", {}), storeys, delivery_point(entry["gas"]), notes)
    wishes = entry.get("preferences")
    heaters = build_heaters(entry.get("heaters"), site.fuel, allows_outdoors(wishes), notes)
    note_outdoors(wishes, heaters, notes)
    prices, price_faults = build_prices(entry.get("prices"), heaters, entry["units"], notes)
    _note_absent(entry, notes)
    roof = build_roof(entry.get("roof"), notes)
    notes.assume(ROUNDED)
    gas = build_gas(entry["gas"], site.gas, notes)
    note_rooms(gas.appliances, notes)
    survey = Survey(
        name=entry["name"],
        units=entry["units"],
        site=site,
        storeys=storeys,
        gas=gas,
        water=build_water(entry["water"], storeys, notes),
        heaters=heaters,
        prices=prices,
        chases=tuple(build_chase(e, i, notes) for i, e in enumerate(entry.get("chases", []))),
        drains=tuple(build_drain(e, i) for i, e in enumerate(entry.get("drains", []))),
        receptacles=tuple(build_receptacle(e, i) for i, e in enumerate(entry.get("receptacles", []))),
        preferences=build_preferences(wishes, settings, notes),
        what_about=build_questions(entry.get("what_about", [])),
        explain=build_explain(entry.get("explain")),
        roof=roof,
        dwellings=build_dwellings(entry.get("dwellings", [])),
    )
    note_demand(survey.hot_water, notes)
    faults = [
        *price_faults, *pitch_faults(entry.get("roof")), *entry_faults(entry["gas"], gas, prices),
        *(intake_faults(entry["heaters"], heaters) if "heaters" in entry else ()),
        *_demand_faults(entry["water"], survey),
        *waiting_faults(survey.water, survey.preferences),
    ]  # fmt: skip
    return replace(survey, assumptions=notes.assumptions(), warnings=notes.warnings()), faults


def _note_absent(entry: dict[str, Any], notes: Notes) -> None:
    for key in ("chases", "drains", "receptacles"):
        if key not in entry:
            notes.assume("Not in the survey and taken as not there", key)


def _demand_faults(entry: dict[str, Any], survey: Survey) -> list[Fault]:
    facts = survey.hot_water
    if facts is not None:
        return list(demand_faults(facts, ("water",)))
    asked = "demand" in entry
    return [Fault("#/water/fixtures", "missing", "a demand needs fixtures")] if asked else []
