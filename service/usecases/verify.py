"""Re-check a certified answer without the search: the seals, the designs, the bill, the proof."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import dataclass, replace

from service.building.build import build
from service.check.check import findings
from service.design import Design, Finding, Service
from service.phrases import text
from service.settings import Settings
from service.siting.certificate import Certificate
from service.siting.zones import Zones
from service.survey.model import Survey
from service.usecases.check_set import HandedIn, check_set
from service.usecases.checked import BROKEN
from service.verify.certificate import Recheck
from service.verify.results import Outcome, Step, Verification

DRAIN = Service.DRAIN
NO_DESIGN = "the answer holds no design to be proven"
NO_CERTIFICATE = (
    "the answer holds no certificate: ask for it with explain.certificate; none is given unless proven"
)
BESIDE_OTHERS = (
    "each certificate is of one dwelling's design while all others stay as they are; that no other set of designs "
    "costs less in all is not re-checked"
)


@dataclass(frozen=True, slots=True)
class Claim:
    """One figure of an answer and what it must be for the proof to be the answer's [cents], or one word of it."""

    name: str
    told: object
    wanted: object


@dataclass(frozen=True, slots=True)
class Proven:
    """A design and what proves it, None without a certificate; ``zones`` of the house as its heater sees it. ``of``:
    the dwelling, of several."""

    of: str
    zones: Zones
    design: Design
    certificate: Certificate | None


@dataclass(frozen=True, slots=True)
class VerifyRequest:
    """A survey and what an answer says of it. ``proven``: the first design, or one for each dwelling, none where they
    cannot be read: then ``unread`` tells why. ``seals`` are digests told and found; ``claims`` what the answer repeats
    of the proof. ``together``: the set of designs for several dwellings."""

    survey: Survey
    proven: tuple[Proven, ...]
    unread: tuple[str, ...] = ()
    seals: tuple[Claim, ...] = ()
    claims: tuple[Claim, ...] = ()
    together: HandedIn | None = None


def verify(request: VerifyRequest, settings: Settings) -> Verification:
    """All steps that can be taken within the time of ``verify_seconds``; each part that fails is told by itself."""
    certificates = [p.certificate for p in request.proven if p.certificate is not None]
    narrow = any(certificate.network for certificate in certificates)
    covers = "" if not certificates else "network" if narrow else "continuous"
    return Verification(tuple(_steps(request, time.monotonic() + settings.verify_seconds)), covers)


def _steps(request: VerifyRequest, deadline: float) -> Iterator[Step]:
    yield from (_same(f"digest of the {seal.name}", seal) for seal in request.seals)
    yield from (_same(f"{claim.name} of the answer", claim) for claim in request.claims)
    yield from (Step("what can be read", Outcome.REFUSED, why) for why in request.unread)
    if not request.proven and not request.unread:
        yield Step("what can be read", Outcome.NOT_CONFIRMED, NO_DESIGN)
    if request.together is not None:
        yield _lawful_together(request.survey, request.together)
    for proven in request.proven:
        yield from (_named(proven.of, step) for step in _proof(request, proven, deadline))
    if request.together is not None:
        yield Step("all designs together", Outcome.NOT_CONFIRMED, BESIDE_OTHERS)


def _proof(request: VerifyRequest, proven: Proven, deadline: float) -> Iterator[Step]:
    """What can be re-checked of one design, each of a set being judged with the set."""
    if request.together is None:
        yield _lawful(request.survey, proven.design)
    if proven.certificate is not None:
        yield from Recheck(proven.zones, proven.design, proven.certificate, deadline).steps()
    elif not request.unread:
        yield Step("certificate", Outcome.NOT_CONFIRMED, NO_CERTIFICATE)


def _named(dwelling: str, step: Step) -> Step:
    return replace(step, name=f"{dwelling}: {step.name}") if dwelling else step


def _same(name: str, claim: Claim) -> Step:
    if claim.told == claim.wanted:
        return Step(name, Outcome.CONFIRMED, str(claim.told))
    return Step(name, Outcome.REFUSED, f"{claim.told} told, {claim.wanted} found")


def _lawful(survey: Survey, design: Design) -> Step:
    """Whether the inspector passes the design, whole, its bill among it."""
    found = findings(survey, build(survey), design)
    broken = [*_broken(survey, found), *_pumped(design)]
    if not design.whole:
        broken.append("the design is not whole")
    return _judged("design", broken, len(found))


def _lawful_together(survey: Survey, told: HandedIn) -> Step:
    """Whether the inspector passes every design beside all others, and all of them together, with their bills."""
    report = check_set(survey, told)
    found = [*report.findings, *(f for _, own in report.designs for f in own)]
    broken = [*_broken(survey, found), *(fault for _, design in told.designs for fault in _pumped(design))]
    if not report.lawful and not broken:
        broken.append("a design is not whole")
    return _judged("designs together", broken, len(found))


def _judged(name: str, broken: list[str], count: int) -> Step:
    if broken:
        return Step(name, Outcome.REFUSED, "; ".join(broken))
    return Step(name, Outcome.CONFIRMED, f"{count} findings, none failed, none unknown")


def _broken(survey: Survey, found: tuple[Finding, ...] | list[Finding]) -> Iterator[str]:
    units = survey.units
    for f in found:
        if f.verdict in BROKEN:
            yield f"{f.rule_id} {f.verdict} {f.object_id}: {text(f.detail, units)}"


def _pumped(design: Design) -> Iterator[str]:
    return (f"the {r.service} run is said to be pumped" for r in design.routes if r.pumped and r.service != DRAIN)
