"""Schema and builder of the dwellings of a survey that are each to have a heater."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from service.http.fields import Text
from service.http.schemas.base import AT_LEAST_ONE, ListOf, Strict, identifier
from service.http.schemas.notes import named
from service.survey.dwellings import Dwelling

MEMBERS = ("rooms", "heaters", "water_lines", "fixtures", "drains", "receptacles", "gas_taps")


def _ids() -> ListOf:
    return ListOf(Text(), validate=AT_LEAST_ONE)


class DwellingSchema(Strict):
    """What one of several heaters serves; of what is left out, it may use all. Heaters of one parallel name share a
    demand."""

    id = identifier()
    rooms = _ids()
    heaters = _ids()
    water_lines = _ids()
    fixtures = _ids()
    drains = _ids()
    receptacles = _ids()
    gas_taps = _ids()
    parallel = identifier()


def build_dwellings(entries: list[Mapping[str, Any]]) -> tuple[Dwelling, ...]:
    """Dwellings in the order of the document."""
    return tuple(_dwelling(e, i) for i, e in enumerate(entries))


def _dwelling(entry: Mapping[str, Any], index: int) -> Dwelling:
    given = {m: tuple(entry[m]) for m in MEMBERS if m in entry}
    return Dwelling(named(entry, "dwelling", index), **given, parallel=entry.get("parallel"))
