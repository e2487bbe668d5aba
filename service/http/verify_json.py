"""A request to re-check an answer, read, and what came of it, written."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, TypeVar

from service.building.model import Building
from service.errors import InvalidRequest, LimitExceeded
from service.http.certificate_json import CERTIFICATE, SEALS, digests_of
from service.http.certificate_schema import read_certificate
from service.http.design_schema import load_design
from service.http.quantities import Quantities
from service.http.set_schema import load_set
from service.settings import Settings
from service.siting.certificate import Certificate
from service.siting.zones import Zones
from service.survey.equipment import MONEY_SCALE
from service.survey.model import Survey
from service.usecases.check_set import HandedIn, as_joint, shared_by
from service.usecases.verify import Claim, Proven, VerifyRequest
from service.usecases.zones_beside import zones_beside
from service.verify.results import TRUSTED, Verification

Json = dict[str, Any]
T = TypeVar("T")
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
        return VerifyRequest(survey, (), ("the answer is no object",))
    reading = _Reading(answer, survey, building, settings)
    together = reading.together() if survey.dwellings else None
    proven = reading.of_set(together) if survey.dwellings else reading.of_one()
    seals = tuple(seal for part in reading.sealed for seal in _seals(answer, part, document))
    claims = reading.claims(proven, together) if reading.sealed and proven else ()
    return VerifyRequest(survey, proven, tuple(reading.unread), seals, claims, together)


def verification_json(found: Verification) -> Json:
    """Verdict first, then every step."""
    return {
        "verdict": found.outcome.value,
        "covers": found.covers or None,
        "steps": [{"step": s.name, "outcome": s.outcome.value, "detail": s.detail} for s in found.steps],
        "trusted": list(TRUSTED),
        "not_looked_at": list(NOT_LOOKED_AT),
    }


@dataclass
class _Reading:
    """An answer as it is read: ``unread`` tells what cannot be, ``sealed`` are the parts whose certificates are."""

    answer: Json
    survey: Survey
    building: Building
    settings: Settings
    unread: list[str] = field(default_factory=list)
    sealed: list[Json] = field(default_factory=list)

    def of_one(self) -> tuple[Proven, ...]:
        """The first design with its certificate."""
        designs, explained = self.answer.get("designs"), self.answer.get("explained")
        if not isinstance(designs, list) or not designs:
            return ()
        design = self._read("designs/0", lambda: load_design(designs[0], self.survey, self.building, self.settings))
        zones = Zones(self.building, self.survey)
        certificate = self._certificate("explained", explained, zones)
        return () if design is None else (Proven("", zones, design, certificate),)

    def together(self) -> HandedIn | None:
        """The set of designs."""
        told = self.answer.get("dwellings")
        if told is None:
            return None
        return self._read("dwellings", lambda: load_set(told, self.survey, self.building, self.settings))

    def of_set(self, told: HandedIn | None) -> tuple[Proven, ...]:
        """Each dwelling's design with its certificate."""
        if told is None:
            return ()
        joint, shared = as_joint(self.survey, self.building, told), shared_by(self.survey, self.building, told)
        parts, proven = self._parts_of_set(), []
        for dwelling in (d for d in self.survey.dwellings if d.id in dict(joint.designs)):
            zones = zones_beside(self.survey, self.building, joint, shared, dwelling)
            index, part = parts.get(dwelling.id, (0, None))
            certificate = self._certificate(f"dwellings/explained/{index}", part, zones)
            proven.append(Proven(dwelling.id, zones, dict(joint.designs)[dwelling.id], certificate))
        return tuple(proven)

    def _parts_of_set(self) -> dict[str, tuple[int, object]]:
        told = self.answer["dwellings"].get("explained")
        parts = [p if isinstance(p, dict) else {} for p in (told if isinstance(told, list) else [])]
        return {p["dwelling"]: (i, p) for i, p in enumerate(parts) if isinstance(p.get("dwelling"), str)}

    def _certificate(self, where: str, part: object, zones: Zones) -> Certificate | None:
        told = part.get(CERTIFICATE) if isinstance(part, dict) else None
        if not isinstance(part, dict) or not isinstance(told, dict):
            return None
        ground = zones.ground(zones.survey, zones.whole)
        found = self._read(f"{where}/{CERTIFICATE}", lambda: read_certificate(told, ground))
        if found is not None:
            self.sealed.append(part)
        return found

    def _read(self, where: str, load: Callable[[], T]) -> T | None:
        """What can be read; what cannot, or contradicts itself, is told in ``unread``."""
        try:
            return load()
        except InvalidRequest as error:
            self.unread.append(_faults(where, error))
        except LimitExceeded as error:
            self.unread.append(f"{where} is too large: {error}")
        return None

    def claims(self, proven: tuple[Proven, ...], together: HandedIn | None) -> tuple[Claim, ...]:
        """What the answer repeats of designs and proof."""
        q = Quantities(self.survey.units, self.building.frame, self.survey.prices.currency)
        shared = 0 if together is None else together.total_cents
        paid = shared + sum(p.design.total_cents for p in proven)
        sought = q.money(paid + sum(p.design.weighed_cents or 0 for p in proven))
        units = [Claim("money unit", p[CERTIFICATE].get("money_units_per_cent"), MONEY_SCALE) for p in self.sealed]
        told: list[tuple[str, object]] = [("cost", q.money(paid)), ("objective", sought)]
        if together is None:
            scopes = [p.certificate.scope for p in proven if p.certificate is not None]
            told = [("status", "optimal"), *told, ("bound", sought), *(("scope", scope) for scope in scopes)]
        return (*(Claim(name, self.answer.get(name), wanted) for name, wanted in told), *units)


def _faults(where: str, error: InvalidRequest) -> str:
    told = [f"#/answer/{where}{f.pointer.removeprefix('#')}: {f.detail}" for f in error.faults[:MOST_FAULTS_TOLD]]
    more = len(error.faults) - len(told)
    return "; ".join(told) + (f"; and {more} more" if more else "")


def _seals(answer: Json, part: Json, document: object) -> tuple[Claim, ...]:
    dwelling = part.get("dwelling")
    told, found = part[CERTIFICATE]["digests"], digests_of(answer, document, dwelling)
    of = "" if dwelling is None else f" for {dwelling}"
    return tuple(Claim(f"{name}{of}", told[name], found[name]) for name in SEALS)
