"""What only shows over a real socket: chunked bodies, lengths that lie, big bodies, broken connections."""

from __future__ import annotations

import json
import re
import socket
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
import requests

from service import cli
from tests.api.fakes import SAMPLE, sample

Address = tuple[str, int]

HEAD = b"POST /v1/placements HTTP/1.1\r\nHost: test\r\nContent-Type: application/json\r\nConnection: close\r\n"


@pytest.fixture(scope="module")
def address() -> Iterator[Address]:
    """gunicorn with the service's own configuration on a free port, ended by a signal."""
    command = [sys.executable, "-m", "gunicorn", "--config", "python:service.gunicorn_conf"]
    command += ["--bind", "127.0.0.1:0", "tests.api.serving:made()"]
    root = Path(__file__).parents[2]
    with subprocess.Popen(command, stderr=subprocess.PIPE, text=True, cwd=root) as server:
        assert server.stderr is not None
        found = (re.search(r"Listening at: http://([\d.]+):(\d+)", line) for line in server.stderr)
        host, port = next(match for match in found if match).groups()
        try:
            yield host, int(port)
        finally:
            server.terminate()
            log = server.stderr.read()
            server.wait(20)
    assert '"error":' not in log
    assert all(json.loads(line)["level"] in ("info", "warning") for line in log.splitlines())
    assert server.returncode == 0


def said(address: Address, data: bytes, end: bool = True) -> tuple[int, str, bytes]:
    """Status, media type and body that come back for raw bytes."""
    with socket.create_connection(address, timeout=20) as wire:
        wire.sendall(data)
        if end:
            wire.shutdown(socket.SHUT_WR)
        answer = b"".join(iter(lambda: wire.recv(65536), b""))
    head, _, body = answer.partition(b"\r\n\r\n")
    media = re.search(rb"(?im)^content-type: *([^\r]*)", head)
    return int(head.split()[1]), media[1].decode() if media else "", body


def problem(address: Address, data: bytes) -> tuple[int, str]:
    """Status and type of the problem that comes back."""
    status, media, body = said(address, data, end=False)
    assert media == "application/problem+json"
    document = json.loads(body)
    assert document["status"] == status
    return status, document["type"].rsplit("/", 1)[-1]


def test_chunked_bodies_are_refused_not_cut(address: Address) -> None:
    """Also where the text up to the limit would be good JSON."""
    body = json.dumps(sample()).encode() + b" " * 2_000_000
    chunks = b"%x\r\n%s\r\n0\r\n\r\n" % (len(body), body)
    assert problem(address, HEAD + b"Transfer-Encoding: chunked\r\n\r\n" + chunks[:3000]) == (411, "length-required")


def test_a_body_without_length_is_refused(address: Address) -> None:
    """No length, no body."""
    assert problem(address, HEAD + b"\r\n") == (411, "length-required")


def test_twenty_megabytes_are_refused_before_they_are_read(address: Address) -> None:
    """The length is judged, not the body; nothing of it was sent."""
    assert problem(address, HEAD + b"Content-Length: 20000000\r\n\r\n") == (413, "limit-exceeded")


def test_twenty_megabytes_sent_in_full_are_refused(address: Address) -> None:
    """The caller gets the answer after sending all."""
    url = f"http://{address[0]}:{address[1]}/v1/placements"
    response = requests.post(url, b" " * 20_000_000, headers={"Content-Type": "application/json"}, timeout=20)
    assert response.status_code == 413
    assert response.headers["Content-Type"] == "application/problem+json"


def test_a_body_shorter_than_its_length_is_refused(address: Address) -> None:
    """The caller hangs up half-way."""
    status, media, _ = said(address, HEAD + b"Content-Length: 5000\r\n\r\n" + b'{"name": "half')
    assert (status, media) == (400, "application/problem+json")


@pytest.mark.parametrize(
    "lines",
    [
        b"Content-Length: -5\r\n",
        b"Content-Length: many\r\n",
        b"Content-Length: 2\r\nContent-Length: 3\r\n",
        b"Content-Length: 2\r\nTransfer-Encoding: chunked\r\n",
        b"Transfer-Encoding: gzip\r\n",
    ],
)
def test_lengths_that_lie_are_refused(address: Address, lines: bytes) -> None:
    """By gunicorn, which speaks before any application can, or by us."""
    status, _, _ = said(address, HEAD + lines + b"\r\n{}", end=False)
    assert 400 <= status < 500 or status == 501


def test_the_service_still_answers(address: Address) -> None:
    """After all of the above, readiness and a good survey."""
    url = f"http://{address[0]}:{address[1]}"
    assert requests.get(f"{url}/readyz", timeout=20).json() == {"status": "ready"}
    answer = requests.post(f"{url}/v1/placements", json=sample(), timeout=20)
    assert (answer.status_code, answer.json()["status"]) == (200, "optimal")


def test_the_command_line_asks_a_running_service(address: Address, capsys: pytest.CaptureFixture[str]) -> None:
    """Same answer, same exit codes; faults with their pointers."""
    url = f"http://{address[0]}:{address[1]}/"
    assert cli.main(["place", str(SAMPLE), "--json", "--server", url]) == 0
    by_hand = requests.post(f"{url}v1/placements", SAMPLE.read_bytes(), headers={"Content-Type": "application/json"},
                            timeout=20)  # fmt: skip
    assert json.loads(capsys.readouterr().out) == by_hand.json()


def test_the_command_line_tells_when_nobody_answers(capsys: pytest.CaptureFixture[str]) -> None:
    """A closed port is no fault of the input."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    assert cli.main(["place", str(SAMPLE), "--server", f"http://127.0.0.1:{port}"]) == 3
    assert "did not answer" in capsys.readouterr().err
