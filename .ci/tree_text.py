"""No text in the tree that belongs to one machine: absolute paths of somebody's disk, addresses of hosts, secrets."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from pathlib import Path

LEFT_OUT = {".git", ".venv", "__pycache__", "build"}
FORBIDDEN = {
    "path of one machine": re.compile(r"(?<![\w.}<)])/(?:work|tmp|root|home|Users|mnt|opt|srv)(?:/|\b(?![\w-]))"),
    "address of a host": re.compile(r"https?://(?!127\.0\.0\.1|localhost|www\.apache\.org/licenses|www\.w3\.org/2000/svg|[{(\\])[^\s]+"),
    "secret": re.compile(r"(?i)-----BEGIN|\b(?:api[_-]?key|access[_-]?token|password)\s*[:=]"),
}


def texts(root: Path) -> Iterator[tuple[Path, str]]:
    """Every text file below a directory."""
    for path in sorted(root.rglob("*")):
        parts = path.relative_to(root).parts
        if (
            path.is_file()
            and not LEFT_OUT.intersection(parts)
            and not any(p.endswith((".egg-info", "_cache")) or p == ".hypothesis" for p in parts)
        ):
            yield path.relative_to(root), path.read_text(encoding="utf-8")


def faults(root: Path) -> list[str]:
    """Place and kind of every forbidden text."""
    me = Path(__file__).name
    return [
        f"{path}:{number}: {kind}: {found.group()}"
        for path, text in texts(root)
        if path.name != me
        for number, line in enumerate(text.splitlines(), 1)
        for kind, pattern in FORBIDDEN.items()
        for found in pattern.finditer(line)
    ]


if __name__ == "__main__":
    wrong = faults(Path.cwd())
    print("\n".join(wrong) or "nothing that does not belong")
    sys.exit(bool(wrong))
