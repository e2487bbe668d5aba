"""Solves in processes of their own: whatever becomes of one, nobody but its caller notices."""

from __future__ import annotations

import ctypes
import gc
import json
import os
import signal
import socket
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from types import SimpleNamespace
from typing import Any

import pytest
import requests

from service import gunicorn_conf
from service.errors import Busy, InvalidRequest, LimitExceeded, MalformedJson, SolveFailed
from service.http import apart
from service.http.apart import Apart
from service.http.exchange import Operations
from service.http.problems import Problem
from service.http.solving import Solved
from service.rules.tables import RULES, table
from service.settings import Settings
from tests.api.fakes import FAKES, sample
from tests.api.running import Server, running
from tests.api.test_processes import SLOW, WAIT_S, counted, eventually

SETTINGS = Settings(concurrent_solves=1, solver_mib=1024, solver_seconds=0.2)


def told(text: str) -> Solved:
    """An answer."""
    return Solved(text.encode(), "done", None)


def work(body: bytes, settings: Settings, operations: Operations) -> Solved:
    """What the body says; runs in the solver."""
    kind = body.decode()
    if kind == "who":
        return told(str(os.getpid()))
    if kind == "garbage":
        return told(json.dumps([gc.isenabled(), gc.get_freeze_count(), len(gc.get_objects())]))
    if kind == "tables":
        return told(str(table.cache_info().currsize))
    if kind == "crash":
        ctypes.string_at(0)
    if kind == "hang":
        time.sleep(60)
    if kind == "hog":
        return told(str(len(bytearray(2 << 30))))
    if kind == "fault":
        raise RuntimeError("of ours")
    if kind == "limit":
        raise LimitExceeded("rooms", 7, 5)
    raise MalformedJson("no such kind")


@pytest.fixture
def solver(monkeypatch: pytest.MonkeyPatch) -> Iterator[Apart]:
    """One process; a solve counts as hung soon."""
    monkeypatch.setattr(apart, "LATE_S", 0.3)
    made = Apart(SETTINGS, FAKES)
    yield made
    made.close()


def ask(solver: Apart, kind: str) -> str:
    """What comes back."""
    with solver.place() as place:
        return place(work, kind.encode(), 0.2).content.decode()


def test_one_process_does_one_task_after_the_other(solver: Apart) -> None:
    """Not this one."""
    first = ask(solver, "who")
    assert first == ask(solver, "who") != str(os.getpid())


def test_a_full_collection_walks_little_of_what_is_loaded() -> None:
    """It holds the interpreter's lock meanwhile. Garbage is collected, though."""
    solver = Apart(SETTINGS, FAKES)
    enabled, frozen, walked = json.loads(ask(solver, "garbage"))
    solver.close()
    assert enabled and 20 * walked < frozen


def test_a_worker_collects_once_it_has_loaded() -> None:
    """And only what has come since."""
    worker = SimpleNamespace(wsgi=SimpleNamespace(extensions={"siting_readiness": SimpleNamespace(ready=list)}))
    try:
        gunicorn_conf.post_fork(None, worker)
        assert not gc.isenabled()
        gunicorn_conf.post_worker_init(worker)
        assert gc.isenabled() and gc.get_freeze_count() > 20 * len(gc.get_objects())
    finally:
        gc.enable()
        gc.unfreeze()


def test_a_solver_need_read_no_table() -> None:
    """They were read for all solvers, though the process that answers has read none."""
    table.cache_clear()
    made = Apart(SETTINGS, FAKES)
    read = int(ask(made, "tables"))
    made.close()
    assert table.cache_info().currsize == 0
    assert read == len(list((RULES / "tables").glob("*.csv")))


def test_refusals_travel_whole(solver: Apart) -> None:
    """With all that the problem document tells, and the process goes on."""
    process = ask(solver, "who")
    with pytest.raises(LimitExceeded) as refused:
        ask(solver, "limit")
    assert (refused.value.name, refused.value.given, refused.value.limit) == ("rooms", 7, 5)
    with pytest.raises(MalformedJson, match="no such kind"):
        ask(solver, "other")
    assert ask(solver, "who") == process


def test_faults_of_a_survey_travel_whole() -> None:
    """Every one of them, through the real operation."""
    solver = Apart(SETTINGS, FAKES)
    with solver.place() as place, pytest.raises(InvalidRequest) as refused:
        place(of_placement, b"{}", 0.2)
    solver.close()
    assert {f.pointer for f in refused.value.faults} >= {"#/gas", "#/storeys"}


def of_placement(body: bytes, settings: Settings, operations: Operations) -> Solved:
    """The operation as the service runs it."""
    from service.http import exchange
    from service.http.solving import as_json

    return as_json(exchange.placement, body, settings, operations)


@pytest.mark.parametrize(
    ("kind", "error", "slug"),
    [
        ("crash", Problem, "interrupted"),
        ("hang", Problem, "overrun"),
        ("fault", SolveFailed, ""),
        ("hog", SolveFailed, ""),
    ],
)
def test_a_process_that_fails_is_replaced(solver: Apart, kind: str, error: type[Exception], slug: str) -> None:
    """Crash in a library, endless work, a fault of ours, memory beyond its limit: the next caller gets a fresh one."""
    process = ask(solver, "who")
    with pytest.raises(error) as failed:
        ask(solver, kind)
    if slug:
        assert failed.value.type.slug == slug  # type: ignore[attr-defined]
    assert ask(solver, "who") != process
    assert eventually(lambda: not os.path.exists(f"/proc/{process}"))  # noqa: PTH110


def test_a_process_is_renewed_after_many_tasks(solver: Apart, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever leaks in it goes with it."""
    monkeypatch.setattr(apart, "MOST_TASKS", 3)
    assert len({ask(solver, "who") for _ in range(9)}) == 3


def test_who_finds_no_place_is_turned_away(solver: Apart) -> None:
    """Without waiting."""
    with solver.place(), pytest.raises(Busy), solver.place():
        pass
    assert ask(solver, "who")


def test_all_processes_end_with_the_one_that_asked() -> None:
    """Also in mid-solve."""
    solver = Apart(SETTINGS, FAKES)
    process = ask(solver, "who")
    solver.close()
    assert eventually(lambda: not os.path.exists(f"/proc/{process}"))  # noqa: PTH110


@pytest.fixture(scope="module")
def server() -> Iterator[Server]:
    """The service over use cases that take as long as a plan's name says."""
    with running(SLOW, SITING_BODY_SECONDS="1") as found:
        requests.get(f"{found.url}/readyz", timeout=WAIT_S)
        yield found


def post(server: Server, name: str) -> requests.Response:
    """A plan of that name."""
    return requests.post(f"{server.url}/v1/placements", json=sample() | {"name": name}, timeout=WAIT_S)


def raw(server: Server, document: dict[str, Any], extra: int = 0) -> socket.socket:
    """A connection on which a plan was sent, and told to be so many bytes longer than it is."""
    host, _, port = server.url.removeprefix("http:").strip("/").partition(":")
    body = json.dumps(document).encode()
    head = "POST /v1/placements HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\n"
    head += f"Content-Length: {len(body) + extra}\r\n\r\n"
    wire = socket.create_connection((host, int(port)), timeout=WAIT_S)
    wire.sendall(head.encode() + body)
    return wire


def test_a_solve_whose_caller_has_left_is_stopped(server: Server) -> None:
    """Long before it would have ended: its place is free again at once, and the log tells why."""
    wire = raw(server, sample() | {"name": "15"})
    assert eventually(lambda: counted(server, "siting_gate_taken") == 1)
    began = time.monotonic()
    wire.close()
    assert eventually(lambda: counted(server, "siting_gate_taken") == 0)
    assert time.monotonic() - began < 10
    assert eventually(lambda: counted(server, "siting_rejected_total", reason="caller-gone") == 1)
    assert post(server, "0").status_code == 200


def test_a_caller_that_sends_its_next_request_early_has_not_left(server: Server) -> None:
    """Two requests on one connection, both answered."""
    with raw(server, sample() | {"name": "1"}) as wire:
        wire.sendall(b"GET /healthz HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n")
        answers = b"".join(iter(lambda: wire.recv(65536), b""))
    assert answers.count(b"HTTP/1.1 200 OK") == 2


def test_a_solver_killed_in_mid_solve_loses_that_request_alone(server: Server) -> None:
    """Its caller is told at once to ask again; the solve beside it is answered."""
    with ThreadPoolExecutor(2) as pool:
        both = [pool.submit(post, server, "3") for _ in range(2)]
        assert eventually(lambda: counted(server, "siting_gate_taken") == 2)
        os.kill(server.solvers()[0], signal.SIGKILL)
        statuses = sorted(b.result().status_code for b in both)
    assert statuses == [200, 503]
    assert eventually(lambda: counted(server, "siting_rejected_total", reason="interrupted") == 1)
    assert [post(server, "0").status_code for _ in range(3)] == [200] * 3


def test_a_worker_killed_in_mid_solve_loses_that_request_alone(server: Server) -> None:
    """The caller sees its connection end; the next request is answered by a new worker."""
    with ThreadPoolExecutor(1) as pool:
        lost = pool.submit(post, server, "9")
        assert eventually(lambda: counted(server, "siting_gate_taken") == 1)
        os.kill(server.workers()[0], signal.SIGKILL)
        with pytest.raises(requests.ConnectionError):
            lost.result()
        assert post(server, "0").status_code == 200
        assert counted(server, "siting_gate_taken") == 0


def test_a_body_that_drips_is_cut_off(server: Server) -> None:
    """However slowly it comes, it holds a thread for no longer than told."""
    with raw(server, sample(), extra=1000) as wire:
        began = time.monotonic()
        answer = b"".join(iter(lambda: wire.recv(65536), b""))
    assert answer.startswith(b"HTTP/1.1 408 ") and b"body-timeout" in answer
    assert time.monotonic() - began < 10


def test_a_worker_that_can_make_no_solvers_is_replaced(server: Server) -> None:
    """The quiet process that makes them is killed, and then a solver."""
    worker, solvers = server.workers()[0], server.solvers()
    os.kill(server.children(worker)[0], signal.SIGKILL)
    for solver in solvers:
        os.kill(solver, signal.SIGKILL)
    assert eventually(lambda: post_or_nothing(server) == 200 and server.workers() != [worker])


def post_or_nothing(server: Server) -> int:
    """Status, 0 where the connection was lost."""
    try:
        return post(server, "0").status_code
    except requests.ConnectionError:
        return 0
