"""What a request says of its body and of the answer it wants: media types and lengths."""

from __future__ import annotations

from flask import Request

from service.errors import LimitExceeded
from service.http.problems import Problem

JSON = "application/json"


def read_body(request: Request, body_bytes: int) -> bytes:
    """Body of a POST, after its headers have been judged.

    The media type comes first, since a wrong one makes every other message misleading. A chunked
    body is refused: the server would cut it at the limit without a word.

    Raises:
        Problem: unsupported-media-type or length-required.
        LimitExceeded: more than ``body_bytes`` announced or sent.
    """
    _check_media_type(request)
    if request.content_length is None or request.headers.get("Transfer-Encoding"):
        raise Problem("length-required", "the request needs a Content-Length header")
    if request.content_length > body_bytes:
        raise LimitExceeded("body_bytes", request.content_length, body_bytes)
    body = request.stream.read(body_bytes + 1)
    if len(body) > body_bytes:
        raise LimitExceeded("body_bytes", len(body), body_bytes)
    return body


def _check_media_type(request: Request) -> None:
    charset = request.mimetype_params.get("charset", "utf-8").lower()
    if request.mimetype != JSON or charset not in ("utf-8", "utf8"):
        raise Problem("unsupported-media-type", f"the body must be {JSON} in UTF-8", headers={"Accept": JSON})
    if request.headers.get("Content-Encoding", "identity").lower() != "identity":
        raise Problem("unsupported-media-type", "the body must come without a content coding")


def check_accept(request: Request, *produced: str) -> None:
    """Refuse when the caller takes nothing that this resource is produced in.

    Raises:
        Problem: not-acceptable.
    """
    accepted = request.accept_mimetypes
    if accepted and not any(accepted.quality(media) for media in produced):
        raise Problem("not-acceptable", f"the answer is {' or '.join(produced)}")


def preferred(request: Request, *produced: str) -> str:
    """The media type that the caller likes best (RFC 9110 12.5.1), among equals the first; it must like one."""
    accepted = request.accept_mimetypes
    return max(produced, key=accepted.quality) if accepted else produced[0]
