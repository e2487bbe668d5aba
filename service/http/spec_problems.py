"""The API's description: problem documents, one response for each status that they come with."""

from __future__ import annotations

from service.http.problems import MEDIA_TYPE, REGISTRY, ProblemType
from service.http.spec_words import Json, array, integer, number, obj, ref, text

_TOLD_APART = ("not-ready",)
"""Shares its status with others, but comes from a resource of its own."""
_SCHEMAS = {"invalid-request": "InvalidRequest", "limit-exceeded": "LimitExceeded", "internal-error": "Incident"}
_LATER = ("busy", "interrupted")


def problem_ref(slug: str) -> Json:
    """Reference to the response that holds a kind of problem."""
    return {"$ref": f"#/components/responses/{_group_of(slug)[0].slug}"}


def problem_refs(*slugs: str) -> Json:
    """Responses by status."""
    return {str(REGISTRY[slug].status): problem_ref(slug) for slug in slugs}


def problem_responses() -> Json:
    """A response for each status, named by the first kind of problem that comes with it."""
    groups = {_group_of(slug)[0].slug: _group_of(slug) for slug in REGISTRY}
    return {name: _response(kinds) for name, kinds in groups.items()}


def problem_schemas() -> Json:
    """Shapes of problem documents."""
    base = {
        "type": text("about:blank, or a path of this service that explains the problem"),
        "title": text("the same for every problem of the type"),
        "status": integer("HTTP status"),
        "detail": text("this occurrence, in words"),
    }
    fault = {
        "pointer": text("JSON Pointer to the place, as a URI fragment"),
        "code": text("kind of fault"),
        "detail": text("the fault in words"),
    }
    limit = {"name": text("limit"), "given": number("what was sent"), "limit": number("what is allowed")}
    return {
        "Problem": obj("Problem details (RFC 9457).", base),
        "InvalidRequest": obj("Every fault at once.", {**base, "errors": array(ref("Fault"))}),
        "Fault": obj("One thing wrong with a request.", fault),
        "LimitExceeded": obj("Something is too large.", {**base, **limit}),
        "Incident": obj("A fault of ours.", {**base, "incident": text("id that is in the log")}),
    }


def _group_of(slug: str) -> list[ProblemType]:
    """All kinds of problem that share a status."""
    if slug in _TOLD_APART:
        return [REGISTRY[slug]]
    status = REGISTRY[slug].status
    return [kind for kind in REGISTRY.values() if kind.status == status and kind.slug not in _TOLD_APART]


def _response(kinds: list[ProblemType]) -> Json:
    content = {MEDIA_TYPE: {"schema": ref(_SCHEMAS.get(kinds[0].slug, "Problem"))}}
    told = " ".join(f"{kind.uri}: {kind.title}. {kind.text}" for kind in kinds)
    response: Json = {"description": told, "content": content}
    if any(kind.slug in _LATER for kind in kinds):
        response["headers"] = {"Retry-After": {"schema": {"type": "integer"}}}
    return response
