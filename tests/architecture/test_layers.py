"""The layer rule, read from the imports: arrows point down, each library stays where it belongs, code stays short."""

from __future__ import annotations

import ast
import subprocess
import sys
from functools import cache
from itertools import chain
from pathlib import Path
from statistics import median

SERVICE = Path(__file__).resolve().parents[2] / "service"
STEPS = {"building", "clearance", "routing", "piping", "siting", "check"}
BELOW = {"trades", "rules"}
DATA = {"survey", "design", "errors", "settings", "units", "deadline", "progress", "phrases"}
ALLOWED = {
    "rules": {"rules", *DATA},
    "trades": {*BELOW, *DATA},
    "survey": DATA,
    "building": {"building", *BELOW, *DATA},
    "clearance": {"clearance", "building", *BELOW, *DATA},
    "routing": {"routing", "building", *BELOW, *DATA},
    "piping": {"piping", *BELOW, *DATA},
    "siting": {"siting", "piping", "routing", "clearance", "building", *BELOW, *DATA},
    "check": {"check", "building", *BELOW, *DATA},
    "verify": {"verify", *STEPS, *BELOW, *DATA},
    "usecases": {"usecases", "verify", *STEPS, *BELOW, *DATA},
    "sheets": {"sheets", "usecases", *STEPS, *BELOW, *DATA},
    "design": {"design", "phrases", "survey"},
    "errors": set(),
    "settings": set(),
    "progress": set(),
    "deadline": set(),
    "units": {"survey"},
    "phrases": {"survey", "units"},
}
"""What each package may import of our own. The two edges, ``http`` and the programs, may import everything."""
HOME = {
    "flask": ("http/", "app.py", "cli.py"),
    "marshmallow": ("http/", "app.py", "cli.py"),
    "ortools": ("siting/", "piping/"),
    "pint": ("units.py",),
    "reportlab": ("sheets/", "report/"),
    "ezdxf": ("sheets/",),
    "pymupdf_fonts": ("sheets/",),
    "bidi": ("sheets/",),
    "arabic_reshaper": ("sheets/",),
    "jinja2": ("report/",),
    "shapely": (
        "building/", "clearance/", "routing/", "check/", "sheets/", "verify/", "survey/end_checks.py",
        "survey/plan_checks.py", "survey/question_checks.py", "survey/roof_checks.py",
    ),
}
MOST_LINES = 300
MEDIAN_FUNCTION_LINES = 9
MOST_FUNCTION_LINES = 40


@cache
def parsed() -> dict[str, ast.Module]:
    """Every module by its path below ``service``."""
    return {p.relative_to(SERVICE).as_posix(): ast.parse(p.read_text("utf-8")) for p in sorted(SERVICE.rglob("*.py"))}


def imports(tree: ast.Module) -> set[str]:
    """Dotted names that a module imports, wherever in it."""
    plain = (a.name for n in ast.walk(tree) if isinstance(n, ast.Import) for a in n.names)
    froms = (
        f"{n.module}.{a.name}" if n.module == "service" else str(n.module)
        for n in ast.walk(tree)
        if isinstance(n, ast.ImportFrom)
        for a in n.names
    )
    return set(chain(plain, froms))


def package(path: str) -> str:
    """First part of a path below ``service``, or of a dotted name below it."""
    return path.removeprefix("service.").replace("/", ".").removesuffix(".py").split(".")[0]


def test_imports_are_absolute() -> None:
    """Relative imports would slip past this file."""
    relative = [p for p, t in parsed().items() for n in ast.walk(t) if isinstance(n, ast.ImportFrom) and n.level]
    assert relative == []


def test_arrows_point_down() -> None:
    """No package imports from a layer above its own, or from a step that it must not know."""
    wrong = [
        f"{path} imports {name}"
        for path, tree in parsed().items()
        if package(path) in ALLOWED
        for name in sorted(imports(tree))
        if name.startswith("service.") and package(name) not in ALLOWED[package(path)] | {package(path)}
    ]
    assert wrong == []


def test_every_package_has_a_rule() -> None:
    """A new package must say what it may import."""
    edges = {
        "http", "report", "app", "cli", "server", "summary", "air_summary", "demand_summary", "gas_summary",
        "__init__", "__main__", "asking", "cli_progress", "dwellings_summary", "explain_summary", "gunicorn_conf",
        "differs_summary", "here_summary", "power_summary", "start_up_summary", "sureness_summary", "verify_summary",
        "waiting_summary", "water_summary", "words", "worker",
    }  # fmt: skip
    assert {package(p) for p in parsed()} - set(ALLOWED) - edges == set()


def test_checker_shares_nothing_with_the_search() -> None:
    """The checker knows neither clearance zones nor routes nor gas sizing nor siting, so it can contradict them."""
    known = {package(n) for p, t in parsed().items() if p.startswith("check/") for n in imports(t) if "service." in n}
    assert known & {"clearance", "routing", "piping", "siting", "usecases", "http"} == set()


SEARCH = (
    "ortools", "service.routing.fields", "service.routing.labels", "service.siting.search", "service.siting.stage",
    "service.siting.offers", "service.siting.master", "service.siting.ways", "service.siting.services",
    "service.siting.eager", "service.siting.broken", "service.siting.bounds", "service.siting.assemble",
    "service.siting.certify", "service.siting.variants", "service.siting.paired", "service.siting.table",
    "service.siting.corners",
)  # fmt: skip
"""The search and what only it computes with."""


def test_the_recheck_does_not_reach_the_search() -> None:
    """Nothing that re-checks a certificate imports the search or the solver, however many imports lie between."""
    names = {p: f"service.{p.removesuffix('.py').replace('/', '.').removesuffix('.__init__')}" for p in parsed()}
    modules = {names[p]: tree for p, tree in parsed().items()}
    reached = {name for name in modules if name.startswith("service.verify.")}
    front = sorted(reached)
    while front:
        found = {n for n in imports(modules[front.pop()]) if n in modules} - reached
        reached |= found
        front += sorted(found)
    libraries = {n.split(".")[0] for name in reached for n in imports(modules[name])}
    assert {"service.verify.certificate", "service.check.prices"} <= reached
    assert sorted((reached | libraries) & set(SEARCH)) == []


def test_the_recheck_loads_no_part_of_the_search() -> None:
    """The same, of what a fresh interpreter has in memory when all of it is imported."""
    code = "import sys, service.verify.certificate; print(*sorted(sys.modules))"
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=SERVICE.parent)
    loaded = told.stdout.split()
    assert "service.verify.bounds" in loaded
    assert [m for m in loaded if m in SEARCH or m.split(".")[0] == "ortools"] == []


def test_libraries_stay_at_home() -> None:
    """Web framework and schemas at the edge, solver where things are chosen, units in one module, geometry in five."""
    wrong = [
        f"{path} imports {name}"
        for path, tree in parsed().items()
        for name in sorted(imports(tree))
        if (home := HOME.get(name.split(".")[0])) and not path.startswith(home)
    ]
    assert wrong == []


def test_files_are_short() -> None:
    """No module reaches the most lines that a file may have."""
    lengths = {p: len((SERVICE / p).read_text("utf-8").splitlines()) for p in parsed()}
    assert {p: n for p, n in lengths.items() if n >= MOST_LINES} == {}


def functions() -> dict[str, int]:
    """Lines of each function, its head and docstring counted."""
    return {
        f"{path}:{n.name}:{n.lineno}": (n.end_lineno or n.lineno) - n.lineno + 1
        for path, tree in parsed().items()
        for n in ast.walk(tree)
        if isinstance(n, ast.FunctionDef | ast.AsyncFunctionDef)
    }


def test_functions_are_short() -> None:
    """Half of all functions are short, none is long."""
    lengths = functions()
    assert {name: n for name, n in lengths.items() if n > MOST_FUNCTION_LINES} == {}
    assert median(lengths.values()) <= MEDIAN_FUNCTION_LINES
