"""A request to re-check an answer, read, and what came of it, written."""

from __future__ import annotations

from typing import Any

from service.building.model import Building
from service.design import Design
from service.errors import InvalidRequest, LimitExceeded
from service.http.certificate_json import CERTIFICATE, SEALS, digests_of
from service.http.certificate_schema import read_certificate
from service.http.design_schema import load_design
from service.http.quantities import Quantities
from service.settings import Settings
from service.siting.certificate import Certificate
from service.siting.ground import ground_of
from service.survey.equipment import MONEY_SCALE
from service.survey.model import Survey
from service.usecases.verify import Claim, VerifyRequest
from service.verify.results import TRUSTED, Verification

Json = dict[str, Any]
MOST_FAULTS_TOLD = 5
NOT_LOOKED_AT = (
    "reports beside the design (gas system, vent, water, power, waiting, start-up), warnings and alarms: the digest of "
    "the answer says only that they are as they were written",
    "other designs of the answer, places asked about, trade-offs",
)


def verify_request(
    survey: Survey, document: object, answer: object, building: Building, settings: Settings
) -> VerifyRequest:
    """What is to be re-checked; parts of the answer that cannot be read are named."""
    if not isinstance(answer, dict):
        return VerifyRequest(survey, None, None, ("the answer is no object",))
    unread: list[str] = []
    design = _design(answer, survey, building, settings, unread)
    told = _told(answer)
    certificate = None if told is None else _certificate(told, survey, building, unread)
    seals = () if certificate is None else _seals(answer, told or {}, document)
    claims = () if design is None or certificate is None else _claims(answer, survey, building, design, certificate)
    return VerifyRequest(survey, design, certificate, tuple(unread), seals, claims)


def verification_json(found: Verification) -> Json:
    """Verdict first, then every step."""
    return {
        "verdict": found.outcome.value,
        "covers": found.covers or None,
        "steps": [{"step": s.name, "outcome": s.outcome.value, "detail": s.detail} for s in found.steps],
        "trusted": list(TRUSTED),
        "not_looked_at": list(NOT_LOOKED_AT),
    }


def _told(answer: Json) -> Json | None:
    explained = answer.get("explained")
    told = explained.get(CERTIFICATE) if isinstance(explained, dict) else None
    return told if isinstance(told, dict) else None


def _design(
    answer: Json, survey: Survey, building: Building, settings: Settings, unread: list[str]
) -> Design | None:
    """The first design; one that cannot be read, or contradicts itself, is told in ``unread``."""
    designs = answer.get("designs")
    if not isinstance(designs, list) or not designs:
        return None
    try:
        return load_design(designs[0], survey, building, settings)
    except InvalidRequest as error:
        unread.append(_faults("designs/0", error))
    except LimitExceeded as error:
        unread.append(f"the design is too large: {error}")
    return None


def _certificate(told: Json, survey: Survey, building: Building, unread: list[str]) -> Certificate | None:
    try:
        return read_certificate(told, ground_of(survey, building))
    except InvalidRequest as error:
        unread.append(_faults(f"explained/{CERTIFICATE}", error))
    return None


def _faults(where: str, error: InvalidRequest) -> str:
    told = [f"#/answer/{where}{f.pointer.removeprefix('#')}: {f.detail}" for f in error.faults[:MOST_FAULTS_TOLD]]
    more = len(error.faults) - len(told)
    return "; ".join(told) + (f"; and {more} more" if more else "")


def _seals(answer: Json, told: Json, document: object) -> tuple[Claim, ...]:
    found = digests_of(answer, document)
    return tuple(Claim(name, told["digests"][name], found[name]) for name in SEALS)


def _claims(
    answer: Json, survey: Survey, building: Building, design: Design, certificate: Certificate
) -> tuple[Claim, ...]:
    """What the answer repeats of design and proof."""
    q = Quantities(survey.units, building.frame, survey.prices.currency)
    weighed = design.weighed_cents
    paid, sought = q.money(design.total_cents), q.money(design.total_cents + (weighed or 0))
    return (
        Claim("status", answer.get("status"), "optimal"),
        Claim("cost", answer.get("cost"), paid),
        Claim("objective", answer.get("objective"), sought),
        Claim("bound", answer.get("bound"), sought),
        Claim("scope", answer.get("scope"), certificate.scope),
        Claim("money unit", (_told(answer) or {}).get("money_units_per_cent"), MONEY_SCALE),
    )
