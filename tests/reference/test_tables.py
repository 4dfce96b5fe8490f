"""Every table loads, keeps its row count and sums, and its text is clean."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest

from tanwright.reference import check_all, data_version
from tanwright.reference.loader import FOLDER, schema_of, table, table_names
from tanwright.reference.materials import materials, observations

HERE = Path(__file__).parent
SLIPS = re.compile(r"\b[a-z]+[01][a-z]+\b|\b\d+[lO]\d*\b|\bteh\b|\.\.|,,| ,|\( | \)")
"""Digits read for letters, letters read for digits, and stray punctuation."""


def checksums() -> list[dict[str, str]]:
    with (HERE / "checksums.csv").open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(handle))


@pytest.mark.parametrize("row", checksums(), ids=lambda row: f"{row['table']}-{row['column']}")
def test_row_counts_and_column_sums_are_held(row: dict[str, str]) -> None:
    rows = table(row["table"])
    assert len(rows) == int(row["rows"])
    if row["column"]:
        total = sum(part.optional(row["column"]) or 0.0 for part in rows)
        assert total == pytest.approx(float(row["sum"]), abs=1e-6)


def test_every_table_is_counted() -> None:
    assert {row["table"] for row in checksums()} == set(table_names())
    assert set(check_all()) == set(table_names())


def test_every_table_has_a_side_file_that_explains_each_column() -> None:
    for name in table_names():
        schema = schema_of(name)
        assert schema.title
        assert schema.licence
        for column in schema.columns:
            assert column.meaning, (name, column.name)
    assert {path.stem for path in FOLDER.glob("*.toml")} == set(table_names())


@pytest.mark.parametrize("name", table_names())
def test_text_columns_hold_no_slips(name: str) -> None:
    for row in table(name):
        for column in schema_of(name).columns:
            if column.kind == "text":
                cell = row.text(column.name)
                found = SLIPS.search(cell)
                assert found is None, f"{name} line {row.line} {column.name}: {cell!r}"
                assert not re.search(r"[a-z]{25}", cell), f"{name} line {row.line}: {cell!r}"


def test_every_row_with_figures_names_a_source() -> None:
    for name in table_names():
        names = {column.name for column in schema_of(name).columns}
        if name != "sources":
            assert names & {"source", "sources"}, name


def test_scientific_names_have_a_genus_and_a_species_and_match_their_ids() -> None:
    for item in materials():
        words = item.scientific_name.split()
        assert re.fullmatch(r"[A-Z][a-z]+", words[0]), item.id
        assert re.fullmatch(r"[a-z-]+", words[1]), item.id
        assert item.id == f"{words[0].lower()}-{words[1]}-{item.part}"
        assert item.family.endswith("aceae")


def test_provenance_of_a_material_follows_from_its_sources() -> None:
    for item in materials():
        from_memory = "memory" in item.sources
        expected = "memory" if item.sources == ("memory",) else "mixed" if from_memory else "read"
        assert item.provenance == expected, item.id


def test_sources_of_the_figures_are_among_the_sources_of_the_material() -> None:
    for item in materials():
        assert {row.source for row in item.observations} <= set(item.sources), item.id


def test_figures_from_memory_say_so() -> None:
    for row in observations():
        assert (row.provenance == "memory") == (row.source == "memory"), row.id


def test_each_reading_has_the_figures_that_it_needs() -> None:
    for row in observations():
        if row.reading == "up-to":
            assert row.low_pct is None, row.id
            assert row.high_pct is not None, row.id
        elif row.reading == "at-least":
            assert row.low_pct is not None, row.id
            assert row.high_pct is None, row.id
        else:
            assert row.low_pct is not None, row.id
            assert row.high_pct is not None, row.id
        if row.reading in ("measured", "about", "average"):
            assert row.low_pct == row.high_pct, row.id
        assert (row.use == "context") == bool(row.why_not_used), row.id


def test_a_repeat_points_to_an_original_of_the_same_material() -> None:
    by_id = {row.id: row for row in observations()}
    for row in observations():
        if row.same_as:
            original = by_id[row.same_as]
            assert original.material_id == row.material_id
            assert not original.same_as
            assert original.use == "prior"


def test_a_family_of_books_that_copy_each_other_is_one_group() -> None:
    groups = {row.text("key"): row.text("group") for row in table("sources")}
    family = {"procter1885", "procter1903", "spons1882", "bailey"}
    assert {groups[key] for key in family} == {"procter"}
    assert groups["bennett1921"] != "procter"


def test_figures_marked_as_repeats_in_their_notes_do_not_count() -> None:
    marked = [row for row in observations() if "repeats procter1885" in row.note]
    assert len(marked) >= 9
    assert all(row.same_as for row in marked)


def test_poisonous_plants_stay_out_of_suggestions() -> None:
    for name in ("cleistanthus-collinus-bark", "coriaria-arborea-bark", "metopium-toxiferum-leaf"):
        item = next(part for part in materials() if part.id == name)
        assert not item.may_be_suggested
        assert item.cautions.startswith(("POISONOUS", "VERY POISONOUS"))
    for item in materials():
        if item.track_record == "avoid":
            assert set(item.hazards) & {"poisonous", "protected"}, item.id


def test_data_version_is_short_and_changes_with_the_data(tmp_path: Path) -> None:
    version = data_version()
    assert re.fullmatch(r"[0-9a-f]{12}", version)
    for path in FOLDER.iterdir():
        if path.is_file():
            (tmp_path / path.name).write_bytes(path.read_bytes())
    assert data_version(tmp_path) == version
    looks = tmp_path / "looks.csv"
    looks.write_text(looks.read_text(encoding="utf-8").replace("strong tea", "stiff tea"))
    data_version.cache_clear()
    assert data_version(tmp_path) != version
