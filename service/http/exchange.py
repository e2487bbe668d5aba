"""From the bytes of a request to the plain JSON of its answer, one function an operation.

Knows no transport: the blueprints and the command line call the same functions.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import Any

from service.building.model import Building
from service.deadline import deadline_in, ending_when, seconds_left
from service.design import Design
from service.errors import Fault, InvalidRequest
from service.http import answer, gas_json, hot_water_json, strict_json
from service.http.certificate_json import sealed
from service.http.design_schema import load_design
from service.http.schemas import load_survey
from service.http.schemas.base import pointer
from service.http.schemas.demand_body import load_hot_water
from service.http.schemas.gas_body import load_gas
from service.http.set_schema import load_set
from service.http.sheet_book import SheetBook, of_design, of_placement
from service.http.verify_json import verification_json, verify_request
from service.settings import Settings
from service.survey.gas_request import GasRequest
from service.survey.hot_water_request import HotWaterRequest
from service.survey.model import Survey
from service.usecases.check_set import HandedIn
from service.usecases.gas_results import GasReport
from service.usecases.hot_water_results import HotWaterReport
from service.usecases.pictured import described
from service.usecases.results import CheckReport, ClearanceMap, Placement, SetReport
from service.usecases.verify import VerifyRequest
from service.verify.results import Verification

Json = dict[str, Any]
MAP_WRITING_SHARE = 0.1
"""Share of the time that is kept for writing down a map of clearances, which may be of many megabytes."""


@dataclass(frozen=True, slots=True)
class Operations:
    """The use cases behind the service; a test may put others in their place."""

    place: Callable[[Survey, Settings], Placement]
    check: Callable[[Survey, Design], CheckReport]
    check_set: Callable[[Survey, HandedIn], SetReport]
    clearances: Callable[[Survey], ClearanceMap]
    building: Callable[[Survey], Building]
    gas: Callable[[GasRequest], GasReport]
    hot_water: Callable[[HotWaterRequest], HotWaterReport]
    verify: Callable[[VerifyRequest, Settings], Verification]


def placement(body: bytes, settings: Settings, operations: Operations) -> Json:
    """Survey in, ranked designs out.

    Raises:
        MalformedJson, InvalidRequest, LimitExceeded: what is wrong with the body.
    """
    document = strict_json.loads(body, settings.depth)
    survey = load_survey(document, settings)
    return sealed(answer.placement_json(operations.place(survey, settings), survey), document)


def clearance_map(body: bytes, settings: Settings, operations: Operations) -> Json:
    """Survey in, free and forbidden regions out, as many as time allows. Raises as ``placement``."""
    end = deadline_in((1 - MAP_WRITING_SHARE) * settings.solver_seconds)
    survey = load_survey(strict_json.loads(body, settings.depth), settings)
    with ending_when(lambda: not seconds_left(end)):
        chart = operations.clearances(survey)
    return answer.clearances_json(chart, survey)


def check_report(body: bytes, settings: Settings, operations: Operations) -> Json:
    """Survey and design, or a set of designs for its dwellings, in, findings out. Raises as ``placement``."""
    document = strict_json.loads(body, settings.depth)
    if isinstance(document, dict) and "dwellings" in document:
        return _set_report(document, settings, operations)
    survey, design = _judged_parts(document, settings, operations)
    return answer.check_json(operations.check(survey, design), survey)


def gas_sizing(body: bytes, settings: Settings, operations: Operations) -> Json:
    """Gas system (or a survey, for its gas) in, sizes and pressures out. Raises as ``placement``."""
    request = load_gas(strict_json.loads(body, settings.depth), settings)
    return gas_json.gas_json(operations.gas(request), request)


def hot_water_demand(body: bytes, settings: Settings, operations: Operations) -> Json:
    """Fixtures and heaters (or a survey, for its own) in, demand and output out. Raises as ``placement``."""
    request = load_hot_water(strict_json.loads(body, settings.depth), settings)
    return hot_water_json.hot_water_json(operations.hot_water(request), request)


def verification(body: bytes, settings: Settings, operations: Operations) -> Json:
    """Survey and the answer that it was given, with its certificate, in; what a re-check comes to out. An answer that
    cannot be read is refused. Raises as ``placement`` for the survey."""
    survey_part, answer_part = _parts(strict_json.loads(body, settings.depth), ("survey", "answer"))
    with seen_under("survey"):
        survey = load_survey(survey_part, settings)
    request = verify_request(survey, survey_part, answer_part, operations.building(survey), settings)
    return verification_json(operations.verify(request, settings))


def sheet_book(body: bytes, settings: Settings, operations: Operations) -> SheetBook:
    """Survey, or ``{"survey": ..., "design": ...}``, in, everything that sheets are made of out. Raises as
    ``placement``."""
    document = strict_json.loads(body, settings.depth)
    if not isinstance(document, dict) or not {"survey", "design"} & set(document):
        survey = load_survey(document, settings)
        return of_placement(survey, operations.place(survey, settings))
    survey, design = _judged_parts(document, settings, operations)
    report = operations.check(survey, design)
    return of_design(survey, design, report, described(survey, report.building, design, report.lawful))


def _set_report(document: Json, settings: Settings, operations: Operations) -> Json:
    survey_part, told = _parts(document, ("survey", "dwellings"))
    with seen_under("survey"):
        survey = load_survey(survey_part, settings)
    with seen_under("dwellings"):
        found = load_set(told, survey, operations.building(replace(survey, roof=None)), settings)
    return answer.set_json(operations.check_set(survey, found), survey)


@contextmanager
def seen_under(member: str) -> Iterator[None]:
    """Let pointers of faults start at the document that holds the judged one as ``member``."""
    try:
        yield
    except InvalidRequest as error:
        faults = (Fault(f"#/{member}{f.pointer.removeprefix('#')}", f.code, f.detail) for f in error.faults)
        raise InvalidRequest(tuple(faults)) from None


def _judged_parts(document: object, settings: Settings, operations: Operations) -> tuple[Survey, Design]:
    survey_part, design_part = _parts(document)
    with seen_under("survey"):
        survey = load_survey(survey_part, settings)
    with seen_under("design"):
        design = load_design(design_part, survey, operations.building(survey), settings)
    return survey, design


def _parts(value: object, names: tuple[str, str] = ("survey", "design")) -> tuple[object, object]:
    """The two members of a request, every fault of its outermost level at once."""
    if not isinstance(value, dict):
        raise InvalidRequest((Fault("#", "wrong_type", f"an object with {' and '.join(names)} is expected"),))
    missing = [Fault(pointer(name), "missing", "this field is compulsory") for name in names if name not in value]
    unknown = [Fault(pointer(name), "unknown_field", "this field is unknown") for name in value if name not in names]
    if missing or unknown:
        raise InvalidRequest(tuple(missing + unknown))
    return value[names[0]], value[names[1]]
