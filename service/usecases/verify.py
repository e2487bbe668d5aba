"""Re-check a certified answer without the search: the seals, the design, the bill, the proof."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import dataclass

from service.building.build import build
from service.check.check import findings
from service.design import Design, Service
from service.phrases import text
from service.settings import Settings
from service.siting.certificate import Certificate
from service.survey.model import Survey
from service.usecases.checked import BROKEN
from service.verify.certificate import Recheck
from service.verify.results import Outcome, Step, Verification

DRAIN = Service.DRAIN


@dataclass(frozen=True, slots=True)
class Claim:
    """One figure of an answer and what it must be for the proof to be the answer's [cents], or one word of it."""

    name: str
    told: object
    wanted: object


@dataclass(frozen=True, slots=True)
class VerifyRequest:
    """A survey and what an answer says of it. ``unread``: why design or certificate cannot be read (then they are
    None). ``seals`` are digests told and found; ``claims`` what the answer repeats of the proof."""

    survey: Survey
    design: Design | None
    certificate: Certificate | None
    unread: tuple[str, ...] = ()
    seals: tuple[Claim, ...] = ()
    claims: tuple[Claim, ...] = ()


def verify(request: VerifyRequest, settings: Settings) -> Verification:
    """All steps that can be taken within the time of ``verify_seconds``; each part that fails is told by itself."""
    covers = "" if request.certificate is None else "network" if request.certificate.network else "continuous"
    return Verification(tuple(_steps(request, time.monotonic() + settings.verify_seconds)), covers)


def _steps(request: VerifyRequest, deadline: float) -> Iterator[Step]:
    yield from (_same(f"digest of the {seal.name}", seal) for seal in request.seals)
    yield from (_same(f"{claim.name} of the answer", claim) for claim in request.claims)
    yield from (Step("what can be read", Outcome.REFUSED, why) for why in request.unread)
    if request.survey.dwellings:
        told = "heaters of several dwellings are proven together, and of that there is no certificate"
        yield Step("what can be read", Outcome.NOT_CONFIRMED, told)
        return
    if request.design is None:
        if not request.unread:
            yield Step("what can be read", Outcome.NOT_CONFIRMED, "the answer holds no design to be proven")
        return
    yield _lawful(request.survey, request.design)
    if request.certificate is None:
        if not request.unread:
            told = "the answer holds no certificate: ask for it with explain.certificate; none is given unless proven"
            yield Step("certificate", Outcome.NOT_CONFIRMED, told)
        return
    yield from Recheck(request.survey, build(request.survey), request.design, request.certificate, deadline).steps()


def _same(name: str, claim: Claim) -> Step:
    if claim.told == claim.wanted:
        return Step(name, Outcome.CONFIRMED, str(claim.told))
    return Step(name, Outcome.REFUSED, f"{claim.told} told, {claim.wanted} found")


def _lawful(survey: Survey, design: Design) -> Step:
    """Whether the inspector passes the design, whole, its bill among it."""
    found = findings(survey, build(survey), design)
    units = survey.units
    broken = [f"{f.rule_id} {f.verdict} {f.object_id}: {text(f.detail, units)}" for f in found if f.verdict in BROKEN]
    if not design.whole:
        broken.append("the design is not whole")
    broken += [f"the {r.service} run is said to be pumped" for r in design.routes if r.pumped and r.service != DRAIN]
    if broken:
        return Step("design", Outcome.REFUSED, "; ".join(broken))
    return Step("design", Outcome.CONFIRMED, f"{len(found)} findings, none failed, none unknown")
