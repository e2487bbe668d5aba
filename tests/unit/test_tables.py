"""The loader refuses every kind of slip, and every shipped table is sound and cited."""

from __future__ import annotations

import csv
import hashlib
from pathlib import Path

import pytest

from service.rules.sources import sources
from service.rules.tables import RULES, UNITS, TableError, load, table

CSV = "size,bore,known_from\nsmall,1.5,read\nlarge,2.5,memory\n"
TOML = """title = "Bores"
standard = "S"
edition = "1"
section = "T"
known_from = "mixed"
note = ""
sha256 = "DIGEST"
key = ["size"]

[columns]
size = { kind = "text" }
bore = { kind = "number", unit = "in", order = "increasing" }
known_from = { kind = "text" }
"""


def write(folder: Path, csv_text: str = CSV, toml_text: str = TOML) -> Path:
    """A table on disk with the right digest unless the TOML text brings its own."""
    path = folder / "bores.csv"
    path.write_text(csv_text, encoding="utf-8")
    digest = hashlib.sha256(path.read_bytes()).hexdigest()
    path.with_suffix(".toml").write_text(toml_text.replace("DIGEST", digest), encoding="utf-8")
    return path


def test_a_sound_table_loads_typed_and_in_si(tmp_path: Path) -> None:
    """1.5 in is 38.1 mm."""
    loaded = load(write(tmp_path))
    row = loaded.where(size="small")
    assert (row.text("size"), row.printed("bore")) == ("small", 1.5)
    assert row.si("bore") == pytest.approx(0.0381, rel=1e-12)


@pytest.mark.parametrize("key", ["title", "standard", "edition", "section", "known_from", "note", "sha256", "key"])
def test_missing_toml_key_is_refused(tmp_path: Path, key: str) -> None:
    """No table without its full citation."""
    lines = [line for line in TOML.splitlines() if not line.startswith(f"{key} =") or line.startswith("known_from = {")]
    with pytest.raises(TableError, match=key):
        load(write(tmp_path, toml_text="\n".join(lines)))


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('sha256 = "DIGEST"', 'sha256 = "0"', "sha256 is"),
        ('unit = "in"', 'unit = "furlong"', "unknown unit"),
        ('order = "increasing"', 'order = "decreasing"', "not decreasing"),
        ('order = "increasing"', 'order = "sideways"', "unknown kind or order"),
        ('kind = "number"', 'kind = "complex"', "unknown kind"),
        ('note = ""', 'note = ""\nremark = ""', "unknown"),
        ('key = ["size"]', 'key = ["colour"]', "names no column"),
        ('"mixed"', '"hearsay"', "unknown mark"),
        ('size = { kind = "text" }', 'size = { kind = "text", unit = "in" }', "only a number"),
        ('size = { kind = "text" }', 'size = { kind = "text", width = 3 }', "unknown"),
        ("[columns]", "[columns", "bores.toml"),
    ],
)
def test_faulty_toml_is_refused(tmp_path: Path, old: str, new: str, message: str) -> None:
    """Each slip in the sidecar stops the load with a message that names it."""
    with pytest.raises(TableError, match=message):
        load(write(tmp_path, toml_text=TOML.replace(old, new)))


@pytest.mark.parametrize(
    ("csv_text", "message"),
    [
        (CSV.replace("2.5", "1.5"), "not increasing"),
        (CSV.replace("2.5", "0.5"), "not increasing"),
        (CSV.replace("1.5", "wide"), "bore"),
        (CSV.replace("1.5", "nan"), "not finite"),
        (CSV.replace("1.5", ""), "empty"),
        (CSV.replace("large", "small"), "two rows"),
        (CSV.replace("memory", "rumour"), "unknown mark"),
        (CSV.replace(",memory", ""), "number of cells"),
        (CSV.replace(",memory", ",memory,x"), "number of cells"),
        (CSV.replace("bore", "hole"), "columns are"),
        ("size,bore,known_from\n", "no rows"),
    ],
)
def test_faulty_csv_is_refused(tmp_path: Path, csv_text: str, message: str) -> None:
    """Each slip in the data stops the load even when the digest fits."""
    with pytest.raises(TableError, match=message):
        load(write(tmp_path, csv_text))


def test_order_is_asked_only_among_rows_of_one_group(tmp_path: Path) -> None:
    """Two materials may each begin small."""
    toml = TOML.replace('key = ["size"]', 'key = ["known_from", "size"]')
    assert load(write(tmp_path, "size,bore,known_from\na,1,read\nb,2,read\na,1,memory\n", toml)).rows


def test_unknown_unit_in_a_row_is_refused(tmp_path: Path) -> None:
    """A column may take its unit from each row; the list of units is closed all the same."""
    toml = TOML.replace('unit = "in", order = "increasing"', 'unit = "@size"')
    with pytest.raises(TableError, match="unknown unit"):
        load(write(tmp_path, toml_text=toml))


def test_missing_files_are_refused(tmp_path: Path) -> None:
    """A CSV without its TOML is no table."""
    path = write(tmp_path)
    path.with_suffix(".toml").unlink()
    with pytest.raises(TableError):
        load(path)


def test_getters_refuse_the_wrong_kind(tmp_path: Path) -> None:
    """Text is no number and a number is no text."""
    row = load(write(tmp_path)).where(size="small")
    for getter, column in ((row.printed, "size"), (row.integer, "bore"), (row.text, "bore"), (row.flag, "size")):
        with pytest.raises(TableError):
            getter(column)


def test_lookup_of_nothing_is_a_key_error() -> None:
    """A missing row never turns into a default."""
    with pytest.raises(KeyError):
        table("water_pipe").where(nominal="9")


def test_sources_list_every_table_with_its_mark() -> None:
    """One entry for each CSV under rules, with a title and the least sure mark of its rows, which are all counted."""
    listed = sources()
    assert [s.name for s in listed] == sorted(p.stem for p in RULES.rglob("*.csv"))
    assert all(s.title and s.standard for s in listed)
    for s in listed:
        assert s.known_from == max(s.marks, key=("read", "memory", "common_practice", "invented").index), s.name
        path = next(RULES.rglob(f"{s.name}.csv"))
        with path.open(encoding="utf-8", newline="") as file:
            assert sum(s.marks.values()) == len(list(csv.DictReader(file))), s.name
    assert next(s for s in listed if s.name == "gas_pipe").known_from == "read"
    assert next(s for s in listed if s.name == "demo").known_from == "invented"


@pytest.mark.parametrize(
    ("unit", "si"),
    [
        ("psi", 6894.757293),
        ("in w.c.", 249.08891),
        ("Btu/h", 0.29307107),
        ("Btu/ft3", 37258.9458),
        ("cfh", 7.8657907e-6),
        ("gpm", 6.30901964e-5),
        ("in/ft", 1 / 12),
        ("gpg", 17.11806),
        ("grains", 6.479891e-2),
        ("gal/day", 4.381264e-8),
        ("Btu/(h gpm degF)", 4186.8 * 0.45359237 / (60 * 3.785411784e-3)),  # 1 Btu/(lb degF) is 4186.8 J/(kg K)
    ],
)
def test_unit_factors(unit: str, si: float) -> None:
    """SI factors as published in the standard tables of conversion factors (memory)."""
    assert UNITS[unit] == pytest.approx(si, rel=1e-7)
