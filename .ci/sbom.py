"""Bill of the software that runs: ``python .ci/sbom.py PYTHON [FILE]`` (CycloneDX JSON, validated as it is written).

Ends with 1 unless every package of the environment, and the project with each of its dependencies, is in it.
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
PROJECT = "heater-siting"


def plain(name: str) -> str:
    """A package's name as indexes compare it (PEP 503)."""
    return re.sub(r"[-_.]+", "-", name).lower()


def written(python: str, file: Path) -> None:
    """Write the bill of an environment; fails if it is not valid."""
    command = [sys.executable, "-m", "cyclonedx_py", "environment", "--pyproject", str(ROOT / "pyproject.toml")]
    command += ["--validate", "--output-reproducible", "--of", "JSON", "-o", str(file), python]
    subprocess.run(command, check=True)


def wanted(python: str) -> set[str]:
    """Packages that must be in it."""
    code = "from importlib.metadata import distributions as d; print(*{x.metadata['Name'] for x in d()})"
    there = subprocess.run([python, "-I", "-c", code], check=True, capture_output=True, text=True).stdout.split()
    with (ROOT / "pyproject.toml").open("rb") as project:
        named = tomllib.load(project)["project"]["dependencies"]
    return {plain(name) for name in there} | {plain(re.split(r"[<>=!~ \[]", name)[0]) for name in named}


def main(python: str, file: Path) -> int:
    """Write, read back, compare; the exit code."""
    written(python, file)
    bill = json.loads(file.read_text(encoding="utf-8"))
    listed = {plain(c["name"]) for c in bill["components"]} | {plain(bill["metadata"]["component"]["name"])}
    missing = sorted(wanted(python) - listed)
    print(f"CycloneDX {bill['specVersion']}: {len(bill['components'])} components; missing: {missing or 'none'}")
    return int(bool(missing))


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as scratch:
        target = Path(sys.argv[2]) if len(sys.argv) > 2 else Path(scratch) / "sbom.json"
        sys.exit(main(sys.argv[1], target))
