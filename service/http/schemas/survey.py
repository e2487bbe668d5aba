"""Schema of the whole document."""

from __future__ import annotations

from service.http.fields import Choice, Text
from service.http.schemas.base import AT_LEAST_ONE, ListOf, Strict, many, one, some
from service.http.schemas.dwellings import DwellingSchema
from service.http.schemas.equipment import HeaterEntry, PreferencesSchema, PricesSchema
from service.http.schemas.explain import ExplainSchema
from service.http.schemas.gas import GasSchema
from service.http.schemas.questions import QuestionSchema
from service.http.schemas.roof import RoofSchema
from service.http.schemas.services import DrainSchema, ReceptacleSchema, WaterSchema
from service.http.schemas.site import SiteSchema
from service.http.schemas.storeys import ChaseSchema, StoreySchema
from service.survey.model import UnitSystem


class SurveySchema(Strict):
    """Everything a surveyor hands in."""

    name = Text(required=True)
    units = Choice(UnitSystem, required=True)
    site = one(SiteSchema)
    storeys = some(StoreySchema, required=True)
    gas = one(GasSchema, required=True)
    water = one(WaterSchema, required=True)
    roof = one(RoofSchema)
    chases = many(ChaseSchema)
    drains = many(DrainSchema)
    receptacles = many(ReceptacleSchema)
    heaters = ListOf(HeaterEntry(), validate=AT_LEAST_ONE)
    prices = one(PricesSchema)
    preferences = one(PreferencesSchema)
    what_about = many(QuestionSchema)
    explain = one(ExplainSchema)
    dwellings = many(DwellingSchema)
