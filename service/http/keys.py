"""Keys of callers: a file holds their hashes, a request brings one as ``Authorization: Bearer KEY``.

A key is 256 random bits, so one fast hash without salt is enough: there is nothing to guess (NIST SP 800-63B section
5.1.2.2 on look-up secrets of 112 bits and more, from memory). Passwords of people's own choice do not belong here.
"""

from __future__ import annotations

import hmac
import re
import secrets
from collections.abc import Iterator
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from flask import Request

from service.http.problems import Problem

SCHEME = "Bearer"
_LINE = re.compile(r"(?P<name>[A-Za-z0-9._-]{1,64}) sha256 (?P<digest>[0-9a-f]{64})")
_GUARDED = ("/v1/", "/metrics")


@dataclass(frozen=True, slots=True)
class Keyring:
    """Names of callers with the hashes of their keys; it never holds a key."""

    digests: tuple[tuple[str, str], ...]

    def owner(self, key: str) -> str | None:
        """Whose key it is. Every hash is compared, each in constant time, so that time tells nothing."""
        given = _digest(key)
        found = [name for name, digest in self.digests if hmac.compare_digest(digest, given)]
        return found[0] if found else None


def new_key() -> str:
    """A fresh key; only its hash is to be kept."""
    return secrets.token_urlsafe(32)


def line_of(name: str, key: str) -> str:
    """The line of the file for a caller's key. ValueError if the name is not 1-64 letters, digits or ``._-``."""
    line = f"{name} sha256 {_digest(key)}"
    if not _LINE.fullmatch(line):
        raise ValueError(f"the name {name!r} is not 1 to 64 letters, digits, dots, dashes or underscores")
    return line


def read(path: Path) -> Keyring:
    """Keys of a file: a line ``NAME sha256 HEX`` each; empty lines and those that begin with # are passed over.

    Raises:
        OSError: the file cannot be read.
        ValueError: a line that is not understood, or a file without keys, which would shut everybody out.
    """
    digests = tuple(_digests(path))
    if not digests:
        raise ValueError(f"{path}: no key in it")
    return Keyring(digests)


def judge(request: Request, keyring: Keyring) -> str | None:
    """Whose request it is; None where no key is asked for (health, documentation, what a browser asks beforehand).

    Raises:
        Problem: unauthorised, the same for no key and a wrong one.
    """
    if not request.path.startswith(_GUARDED) or request.method == "OPTIONS":
        return None
    scheme, _, key = request.headers.get("Authorization", "").partition(" ")
    owner = keyring.owner(key.strip()) if scheme.lower() == SCHEME.lower() else None
    if owner is None:
        raise Problem("unauthorised", "a key is needed", headers={"WWW-Authenticate": f'{SCHEME} realm="siting"'})
    return owner


def _digests(path: Path) -> Iterator[tuple[str, str]]:
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
        if not line.strip() or line.startswith("#"):
            continue
        found = _LINE.fullmatch(line.strip())
        if found is None:
            raise ValueError(f"{path}, line {number}: NAME sha256 HEX is expected")
        yield found["name"], found["digest"]


def _digest(key: str) -> str:
    return sha256(key.encode("utf-8", errors="surrogateescape")).hexdigest()
