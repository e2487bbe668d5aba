"""What can go wrong, in words of the domain; HTTP statuses are chosen elsewhere."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with a request. ``pointer`` is a JSON Pointer as a fragment (``#/gas/nodes/0``)."""

    pointer: str
    code: str
    detail: str


class ServiceError(Exception):
    """Root of everything this service raises on purpose."""


class MalformedJson(ServiceError):  # noqa: N818 - the name of the problem, as callers see it
    """The bytes are not one strict JSON text."""

    def __init__(self, detail: str) -> None:
        """Keep a sentence that is fit for the caller."""
        super().__init__(detail)
        self.detail = detail


class InvalidRequest(ServiceError):  # noqa: N818
    """The document breaks the schema or contradicts itself; holds every fault found."""

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        """Keep the faults in the order they are to be told."""
        super().__init__("; ".join(f"{f.pointer}: {f.detail}" for f in faults))
        self.faults = faults

    def __reduce__(self) -> tuple[type[InvalidRequest], tuple[object, ...]]:
        """As it travels between processes."""
        return type(self), (self.faults,)


class LimitExceeded(ServiceError):  # noqa: N818
    """Something is larger than the service takes; ``name`` is the setting's."""

    def __init__(self, name: str, given: float, limit: float) -> None:
        """Keep which limit, what was given, and what is allowed."""
        super().__init__(f"{name}: {given} given, at most {limit} allowed")
        self.name = name
        self.given = given
        self.limit = limit

    def __reduce__(self) -> tuple[type[LimitExceeded], tuple[object, ...]]:
        """As it travels between processes."""
        return type(self), (self.name, self.given, self.limit)


class Busy(ServiceError):  # noqa: N818
    """Too many solves are under way."""


class SolveFailed(ServiceError):  # noqa: N818
    """A process that solved has failed; ``kind`` is that of the exception in it."""

    def __init__(self, kind: str) -> None:
        """Keep the kind; where it happened is in the log."""
        super().__init__(kind)
        self.kind = kind


class CheckFailed(ServiceError):  # noqa: N818
    """The independent checker refused an answer of our own."""
