"""What is known against the packages of an environment: ``python .ci/audit.py [--strict] [PYTHON]``.

Ends with 1 if any package has a known vulnerability. The index answers for each version by itself; one that it does
not answer for is counted and named as not looked up, never as clean; with ``--strict`` (a release) that is a 1 too.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

SHOWN = 5
Found = dict[str, Any]


def installed(python: str) -> str:
    """Packages of an environment as a requirements file; the project itself is on no index."""
    command = [python, "-m", "pip", "freeze", "--exclude-editable", "--exclude", "heater-siting"]
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout


def audited(requirements: str) -> list[Found]:
    """What the auditor says of each package. RuntimeError if it could not run at all."""
    with tempfile.TemporaryDirectory() as scratch:
        listed = Path(scratch) / "requirements.txt"
        listed.write_text(requirements, encoding="utf-8")
        command = [sys.executable, "-m", "pip_audit", "--no-deps", "--disable-pip", "-r", str(listed)]
        command += ["-f", "json", "--progress-spinner", "off"]
        done = subprocess.run(command, capture_output=True, text=True)
    if not done.stdout.startswith("{"):
        raise RuntimeError(done.stderr[-1000:])
    found: list[Found] = json.loads(done.stdout)["dependencies"]
    return found


def main() -> int:
    """Print what was found; the exit code."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--strict", action="store_true", help="every package must have been looked up")
    parser.add_argument("python", nargs="?", default=sys.executable)
    options = parser.parse_args()
    try:
        packages = audited(installed(options.python))
    except RuntimeError as error:
        print(f"nothing was looked up: {error}")
        return int(options.strict)
    skipped = [p for p in packages if "skip_reason" in p]
    known = [f"{p['name']} {p['version']}: {v['id']}" for p in packages for v in p.get("vulns", ())]
    print(f"{len(packages)} packages, {len(packages) - len(skipped)} looked up, {len(known)} known vulnerabilities")
    for package in skipped[:SHOWN]:
        print(f"not looked up: {package['skip_reason']}")
    if len(skipped) > SHOWN:
        print(f"not looked up: {len(skipped) - SHOWN} more")
    print("\n".join(known))
    return int(bool(known) or (options.strict and bool(skipped)))


if __name__ == "__main__":
    raise SystemExit(main())
