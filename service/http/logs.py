"""The log: one JSON object a line on standard error. No part of a plan is in it unless an operator asks for it."""

from __future__ import annotations

import json
import logging
import re
import secrets
import sys
import traceback
from datetime import UTC, datetime
from time import monotonic
from types import TracebackType
from typing import Any

from flask import Flask, Response, g, has_request_context, request

from service.http.edge import Edge

ID_HEADER = "X-Request-Id"
_ID = re.compile(r"[A-Za-z0-9._-]{1,64}")
_log = logging.getLogger("service.request")

Json = dict[str, Any]


class JsonLines(logging.Formatter):
    """A record as JSON. Of an exception the kinds and the lines of code are told; its text only if ``full``, as it
    may quote what a caller sent."""

    def __init__(self, full: bool = False) -> None:
        """``full``: log the text of exceptions too."""
        super().__init__()
        self._full = full

    def format(self, record: logging.LogRecord) -> str:
        """One line."""
        told: Json = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "process": record.process,
            "message": record.getMessage(),
        }
        if has_request_context() and "request_id" in g:
            told["request"] = g.request_id
        told.update(getattr(record, "facts", {}))
        if record.exc_info and record.exc_info[1] is not None:
            told["error"] = _chain(record.exc_info[1])
            if self._full:
                told["text"] = "".join(traceback.format_exception(record.exc_info[1]))
        return json.dumps(told, ensure_ascii=True, default=str)


def configuration(edge: Edge) -> Json:
    """For ``logging.config.dictConfig``: the service's lines and the server's own, all to standard error."""
    lines = {"()": f"{__name__}.JsonLines", "full": edge.log_errors == "full"}
    handler = {"class": "logging.StreamHandler", "stream": "ext://sys.stderr", "formatter": "lines"}
    logger = {"handlers": ["out"], "level": edge.log_level, "propagate": False}
    silent = {"handlers": [], "level": "CRITICAL", "propagate": False}  # its lines hold addresses and whole paths
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {"lines": lines},
        "handlers": {"out": handler},
        "root": {"handlers": ["out"], "level": "WARNING"},
        "loggers": {"service": logger, "gunicorn.error": logger, "gunicorn.access": silent},
    }


def register(app: Flask) -> None:
    """Give every request an id, its caller's own if it is fit to be one, and a line when it is answered."""
    app.before_request(_begin)
    app.after_request(_end)


def note(**facts: object) -> None:
    """Add to the line of the request under way. Never anything that a caller wrote."""
    g.setdefault("facts", {}).update(facts)


def seconds_so_far() -> float:
    """Time since the request under way came in [s]."""
    began: float = g.began
    return monotonic() - began


def _begin() -> None:
    g.began = monotonic()
    given = request.headers.get(ID_HEADER, "")
    g.request_id = given if _ID.fullmatch(given) else secrets.token_hex(8)


def _end(response: Response) -> Response:
    response.headers[ID_HEADER] = g.request_id
    facts = {
        "method": request.method,
        "endpoint": request.endpoint or "none",
        "status": response.status_code,
        "seconds": round(seconds_so_far(), 4),
        "bytes_in": request.content_length or 0,
        "bytes_out": response.calculate_content_length() or 0,
        **g.get("facts", {}),
    }
    _log.info("answered", extra={"facts": facts})
    return response


def _chain(error: BaseException) -> list[Json]:
    """Kinds and places of an error and of what led to it, the last first."""
    told: list[Json] = []
    at: BaseException | None = error
    while at is not None and len(told) < 10:
        told.append({"kind": type(at).__name__, "at": _places(at.__traceback__)})
        at = at.__cause__ or (None if at.__suppress_context__ else at.__context__)
    return told


def _places(trace: TracebackType | None) -> list[str]:
    """Module, line and function of each frame, without the source lines."""
    frames = traceback.extract_tb(trace)
    return [f"{_module(f.filename)}:{f.lineno} {f.name}" for f in frames]


def _module(filename: str) -> str:
    """Path below the directory that it was imported from, lest the log tell how a disk is laid out."""
    bases = (p.rstrip("/") + "/" for p in sys.path if p)
    base = max((b for b in bases if filename.startswith(b)), key=len, default="")
    return filename.removeprefix(base)
