"""What a request says of its body and of the answer it wants: media types and lengths."""

from __future__ import annotations

from flask import Request
from werkzeug.exceptions import ClientDisconnected

from service.errors import LimitExceeded
from service.http.problems import Problem
from service.http.wire import closing_after, wire_of
from service.settings import Settings

DXF = "image/vnd.dxf"
PDF = "application/pdf"
JSON = "application/json"


def read_body(request: Request, settings: Settings) -> bytes:
    """Body of a POST, after its headers have been judged.

    The media type comes first, since a wrong one makes every other message misleading. A chunked
    body is refused: the server would cut it at the limit without a word.

    Raises:
        Problem: unsupported-media-type, length-required, body-timeout or caller-gone.
        LimitExceeded: more than ``body_bytes`` announced or sent.
    """
    body_bytes = settings.body_bytes
    _check_media_type(request)
    if request.content_length is None or request.headers.get("Transfer-Encoding"):
        raise Problem("length-required", "the request needs a Content-Length header")
    if request.content_length > body_bytes:
        raise LimitExceeded("body_bytes", request.content_length, body_bytes)
    with closing_after(wire_of(request), settings.body_seconds) as closed:
        body = _received(request, body_bytes + 1)
    if len(body) < request.content_length:
        late = closed.is_set()
        raise Problem("body-timeout" if late else "caller-gone", f"{len(body)} bytes of {request.content_length} came")
    if len(body) > body_bytes:
        raise LimitExceeded("body_bytes", len(body), body_bytes)
    return body


def _received(request: Request, most: int) -> bytes:
    """What came before the caller stopped sending."""
    try:
        return request.stream.read(most)
    except ClientDisconnected:
        return b""


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
