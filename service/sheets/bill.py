"""Bill of materials as CSV (RFC 4180), made so that no spreadsheet takes a name for a formula."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from typing import Any

from service.sheets.letters import END_ISOLATE, ISOLATE, harmless

MEDIA_TYPE = "text/csv"
Json = dict[str, Any]
Cell = str | float | None
HEADS = ("kind", "trade", "key", "item", "quantity", "per", "unit_price", "amount", "currency", "where", "citation",
         "dwelling")  # fmt: skip
SHARED = "shared by all"
_OWN = (("vent_system", "vent"), ("condensate", "drain"), ("water_quality", "water"), ("relief_and_scald", "water"))
_COMMON = (("gas_system", "gas"),)
_MEMBERS = (*_COMMON, *_OWN)
"""Reports that tell parts, and their trades; those of the gas system are of the whole of it."""
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\N{FULLWIDTH EQUALS SIGN}", "\N{FULLWIDTH PLUS SIGN}",
            "\N{FULLWIDTH HYPHEN-MINUS}", "\N{FULLWIDTH COMMERCIAL AT}", "'", '"')  # fmt: skip
"""What a spreadsheet takes for the beginning of a formula, or of a way round the quote set before one."""


def bill_csv(answer: Json) -> bytes:
    """Priced lines of the first design, which add up to its total, then parts that rules ask for along with them; of
    several dwellings each one's, named last in each row, then what they share."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(HEADS)
    writer.writerows([_safe(c) for c in row] for row in _rows(answer))
    return out.getvalue().encode("utf-8")


def _rows(answer: Json) -> Iterator[tuple[Cell, ...]]:
    together = answer.get("dwellings")
    if together is None:
        for design in answer["designs"][:1]:
            yield from ((*row, None) for row in (*_priced(design.get("cost")), *_parts(design, _MEMBERS)))
        return
    for design in together["designs"]:
        rows = (*_priced(design["cost"]), *_parts(design, _OWN))
        yield from ((*row, design["dwelling"]) for row in rows)
    shared = together["shared"]
    yield from ((*row, SHARED) for row in (*_priced(shared["cost"]), *_parts(shared, _COMMON)))


def _priced(told: Json | None) -> Iterator[tuple[Cell, ...]]:
    cost: Json = told or {"lines": []}
    for line in cost["lines"]:
        yield (
            "priced", line["trade"], line["key"], line["description"], line["quantity"], line["per"],
            line["unit_price"], line["amount"], cost["currency"], None, None,
        )  # fmt: skip


def _parts(design: Json, members: tuple[tuple[str, str], ...]) -> Iterator[tuple[Cell, ...]]:
    """What codes and listings ask for: in the prices of the lines above, or to be had besides."""
    for member, trade in members:
        report = design.get(member)
        for part in report.get("parts", ()) if report else ():
            yield (
                "asked for", trade, part.get("price_key"), part["item"], part["quantity"], part.get("per", "each"),
                None, None, None, part["where"], part["citation"],
            )  # fmt: skip


def _safe(cell: Cell) -> Cell:
    """Numbers as they are; words with a quote before what could be a formula."""
    if not isinstance(cell, str):
        return cell
    text = harmless(cell).strip()
    begins = text.lstrip(f" {ISOLATE}{END_ISOLATE}")
    return f"'{text}" if begins.startswith(_FORMULA) else text
