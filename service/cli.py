"""Command line: the same operations as over HTTP, in this process or on a running service.

Exit codes: 0 a lawful design (optimal or stopped early) or a confirmed proof, 1 infeasible, unlawful, too small or
refused, 2 bad input, 3 the service failed or has no answer, 4 a design given in part is lawful as far as it goes, or a
proof is neither confirmed nor refused,
141 whoever read the output went away (as a shell says of SIGPIPE).
"""

from __future__ import annotations

import argparse
import json
import logging
import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import requests

from service import cli_progress
from service.asking import Refused, ask, with_sheets
from service.demand_summary import demand_text
from service.errors import MalformedJson
from service.gas_summary import gas_text
from service.http import keys, problems, strict_json
from service.http.json_writer import json_bytes
from service.settings import Settings
from service.start_up_summary import start_up_text
from service.summary import check_text, clearances_text, placement_text
from service.verify_summary import verify_text

Json = dict[str, Any]

LAWFUL, UNLAWFUL, BAD_INPUT, FAILED, PARTLY, UNREAD = 0, 1, 2, 3, 4, 141
_EXIT_OF_VERDICT = {"confirmed": LAWFUL, "refused": UNLAWFUL, "not_confirmed": PARTLY}
_EXIT_OF_STATUS = {"optimal": LAWFUL, "feasible": LAWFUL, "infeasible": UNLAWFUL, "unknown": FAILED}


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; the exit code."""
    options = _parser().parse_args(arguments)
    logging.basicConfig(level=logging.WARNING, stream=sys.stderr)
    try:
        code: int = options.run(options)
        sys.stdout.flush()
    except Refused as refusal:
        return _tell(refusal.problem)
    except requests.RequestException as error:
        print(f"the server did not answer: {error}", file=sys.stderr)
        return FAILED
    except BrokenPipeError:
        return _unread()
    except OSError as error:
        print(f"cannot read: {error}", file=sys.stderr)
        return BAD_INPUT
    except Exception:
        logging.getLogger("service").exception("the service failed")
        return FAILED
    return code


def _unread() -> int:
    """Nobody reads on: send what is still buffered nowhere, lest the interpreter complain when it ends."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return UNREAD


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m service", description="Site a tankless water heater.")
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    serve = commands.add_parser("serve", help="answer over HTTP")
    serve.add_argument("--host", default="127.0.0.1")
    serve.add_argument("--port", type=int, default=8000)
    serve.set_defaults(run=_serve)
    key = commands.add_parser("new-key", help="make a key for a caller, and its line for the file of keys")
    key.add_argument("name", metavar="NAME", help="whose key it is; stands in the log")
    key.set_defaults(run=_new_key)
    place = commands.add_parser("place", help="find the cheapest lawful design of a survey")
    place.add_argument("survey", metavar="FILE", help="survey as JSON; - reads standard input")
    place.add_argument("--start-up", action="store_true", help="print the first design's start-up sheet")
    told = "tell on standard error what is being done, also where that is no terminal"
    place.add_argument("--progress", action="store_true", help=told)
    place.add_argument("--sheets", metavar="DIR", type=Path, help="write drawings and documents into a directory")
    _common(place, _place)
    check = commands.add_parser("check", help="judge a design")
    check.add_argument("survey", metavar="SURVEY", help="survey as JSON; - reads standard input")
    design = "design, any parts of one, or answer whose first design is meant, as JSON"
    check.add_argument("design", metavar="DESIGN", help=design)
    _common(check, _check)
    clearances = commands.add_parser("clearances", help="map what is free and what is forbidden, and by which rule")
    clearances.add_argument("survey", metavar="FILE", help="survey as JSON; - reads standard input")
    _common(clearances, _clearances)
    gas = commands.add_parser("gas", help="size a gas system and judge its pressures and meter")
    gas.add_argument("system", metavar="FILE", help="gas system, or survey, as JSON; - reads standard input")
    _common(gas, _gas)
    verify = commands.add_parser("verify", help="re-check a certified answer without the search")
    verify.add_argument("survey", metavar="FILE", help="survey and answer as one JSON object; or the survey alone")
    verify.add_argument("answer", metavar="ANSWER", nargs="?", help="answer with its certificate, where FILE lacks it")
    _common(verify, _verify)
    demand = commands.add_parser("demand", help="reckon the demand for hot water and hold heaters against it")
    demand.add_argument("fixtures", metavar="FILE", help="fixtures, or survey, as JSON; - reads standard input")
    _common(demand, _demand)
    return parser


def _common(command: argparse.ArgumentParser, run: Callable[[argparse.Namespace], int]) -> None:
    command.add_argument("--json", action="store_true", help="print the answer as JSON")
    command.add_argument("--server", metavar="URL", help="ask a running service instead of this process")
    command.set_defaults(run=run)


def _serve(options: argparse.Namespace) -> int:
    from service.server import serve

    serve(options.host, options.port)
    return LAWFUL


def _new_key(options: argparse.Namespace) -> int:
    """The key goes to its owner and is kept nowhere; the line goes into the file that EDGE_API_KEYS names."""
    key = keys.new_key()
    try:
        line = keys.line_of(options.name, key)
    except ValueError as error:
        print(error, file=sys.stderr)
        return BAD_INPUT
    print(f"key   {key}\nline  {line}")
    return LAWFUL


def _place(options: argparse.Namespace) -> int:
    body = _read(options.survey)
    with cli_progress.shown(sys.stderr, options.progress):
        if options.sheets is None:
            answer = ask("placements", body, options.server)
        else:
            answer = with_sheets(body, options.sheets, options.server)
    _print(answer, start_up_text if options.start_up else placement_text, options.json)
    return _EXIT_OF_STATUS[answer["status"]]


def _check(options: argparse.Namespace) -> int:
    answer = ask("checks", _check_body(options.survey, options.design), options.server)
    _print(answer, check_text, options.json)
    if answer["lawful"]:
        return LAWFUL
    return PARTLY if answer["lawful_as_far_as_given"] else UNLAWFUL


def _clearances(options: argparse.Namespace) -> int:
    _print(ask("clearances", _read(options.survey), options.server), clearances_text, options.json)
    return LAWFUL


def _verify(options: argparse.Namespace) -> int:
    body = _read(options.survey) if options.answer is None else _two(options.survey, options.answer)
    answer = ask("verifications", body, options.server)
    _print(answer, verify_text, options.json)
    return _EXIT_OF_VERDICT[answer["verdict"]]


def _gas(options: argparse.Namespace) -> int:
    answer = ask("gas-sizings", _read(options.system), options.server)
    _print(answer, gas_text, options.json)
    return LAWFUL if answer["lawful"] else UNLAWFUL


def _demand(options: argparse.Namespace) -> int:
    answer = ask("hot-water-demands", _read(options.fixtures), options.server)
    _print(answer, demand_text, options.json)
    return LAWFUL if any(heater["carries"] for heater in answer["heaters"]) else UNLAWFUL


def _print(answer: Json, summary: Callable[[Json], str], as_json: bool) -> None:
    print(json.dumps(answer, indent=2, allow_nan=False, ensure_ascii=False) if as_json else summary(answer))


def _read(name: str) -> bytes:
    return sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes()


def _check_body(survey: str, design: str) -> bytes:
    """Body of a check; of an answer with several designs the first is taken, or the set for all dwellings."""
    depth = Settings().depth
    try:
        given = strict_json.loads(_read(design), depth)
        member = "design"
        if isinstance(given, dict) and isinstance(given.get("dwellings"), dict):
            member, given = "dwellings", given["dwellings"]
        elif isinstance(given, dict) and isinstance(given.get("designs"), list) and given["designs"]:
            given = given["designs"][0]
        return json_bytes({"survey": strict_json.loads(_read(survey), depth), member: given})
    except MalformedJson as error:
        raise Refused(problems.document("malformed-json", error.detail)) from None


def _two(survey: str, answer: str) -> bytes:
    """Body of a re-check from a file each."""
    depth = Settings().depth
    try:
        given, told = (strict_json.loads(_read(name), depth) for name in (survey, answer))
        return json_bytes({"survey": given, "answer": told})
    except MalformedJson as error:
        raise Refused(problems.document("malformed-json", error.detail)) from None


def _tell(problem: Json) -> int:
    """Print a problem, every fault with its pointer; the exit code."""
    print(f"{problem.get('title')}: {problem.get('detail')}", file=sys.stderr)
    for fault in problem.get("errors", ()):
        print(f"  {fault['pointer']}: {fault['detail']} ({fault['code']})", file=sys.stderr)
    return BAD_INPUT if problem.get("status", 500) < 500 else FAILED
