"""Asking the service from the command line: in this process, or a running one over HTTP; refusals are the same."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, TypeVar

import requests

from service import progress
from service.errors import InvalidRequest, LimitExceeded, MalformedJson
from service.http import exchange, keys, problems
from service.http.exchange import Operations
from service.http.media import JSON
from service.settings import Settings

Json = dict[str, Any]
T = TypeVar("T")
Files = Iterator[tuple[str, bytes]]

_SERVER_TIMEOUT_S = 120
_KEY_VARIABLE = "CALLER_KEY"
"""Holds the key that a running service asks for."""
_IN_PROCESS: dict[str, Callable[[bytes, Settings, Operations], Json]] = {
    "placements": exchange.placement,
    "checks": exchange.check_report,
    "clearances": exchange.clearance_map,
    "gas-sizings": exchange.gas_sizing,
    "hot-water-demands": exchange.hot_water_demand,
    "verifications": exchange.verification,
}


class Refused(Exception):  # noqa: N818 - what happened, in the service's own words
    """The request was refused; holds the problem document."""

    def __init__(self, problem: Json) -> None:
        """Keep the problem document."""
        super().__init__(problem.get("detail", ""))
        self.problem = problem


def ask(operation: str, body: bytes, server: str | None) -> Json:
    """The answer of an operation, from the server of that address or from this process (None). Raises Refused, and
    requests' exceptions where a server does not answer."""
    return _ask_server(operation, body, server) if server else _here(_IN_PROCESS[operation], body)


def with_sheets(body: bytes, directory: Path, server: str | None) -> Json:
    """A placement's answer, after its sheets were written into a directory, which is made if need be. Raises as
    ``ask``, and OSError where nothing can be written."""
    from service.http import sheet_files

    files: Files
    if server:
        answer, files = _ask_server("placements", body, server), _files_of(body, server)
    else:
        book = _here(exchange.sheet_book, body)
        answer, files = book.answer, sheet_files.files(book)
    directory.mkdir(parents=True, exist_ok=True)
    for name, content in files:
        progress.step(f"writing {name}")
        (directory / name).write_bytes(content)
    return answer


def _files_of(body: bytes, server: str) -> Files:
    """Name and content of every file, each form asked for by itself; a service's word makes no path."""
    from service.http import sheet_files

    for sheet in _ask_server("sheets", body, server)["sheets"]:
        yield sheet_files.file_of(sheet["name"]), sheet["svg"].encode()
    for media, name in sheet_files.NAMES.items():
        yield name, _fetched("sheets", body, server, media).content


def _here(work: Callable[[bytes, Settings, Operations], T], body: bytes) -> T:
    """What a piece of work gives in this process. Raises Refused as a running service would refuse."""
    from service.app import real_operations

    settings = Settings.from_environment()
    try:
        if len(body) > settings.body_bytes:
            raise LimitExceeded("body_bytes", len(body), settings.body_bytes)
        return work(body, settings, real_operations())
    except MalformedJson as error:
        raise Refused(problems.document("malformed-json", error.detail)) from None
    except InvalidRequest as error:
        raise Refused(problems.invalid(error.faults)) from None
    except LimitExceeded as error:
        raise Refused(problems.limit_exceeded(error)) from None


def _ask_server(operation: str, body: bytes, server: str) -> Json:
    answer: Json = _fetched(operation, body, server, JSON).json()
    return answer


def _fetched(operation: str, body: bytes, server: str, media: str) -> requests.Response:
    """A running service's answer in some form. Raises Refused with its problem document."""
    url = f"{server.rstrip('/')}/v1/{operation}"
    progress.step(f"asking {url} for {media}")
    headers = {"Content-Type": JSON, "Accept": media}
    if key := os.environ.get(_KEY_VARIABLE):
        headers["Authorization"] = f"{keys.SCHEME} {key}"
    response = requests.post(url, body, headers=headers, timeout=_SERVER_TIMEOUT_S)
    if response.status_code != 200:
        raise Refused(response.json())
    return response
