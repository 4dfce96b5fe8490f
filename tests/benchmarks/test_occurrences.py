"""The files that the benchmark of occurrence records makes are what they are said to be."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from benchmarks.occurrences import records
from tanwright.planning.occurrences import read


def test_a_table_and_its_archive_tell_the_same(tmp_path: Path) -> None:
    table = records.table(tmp_path / "records.tsv", 3_000)
    by_table = read(table, date(2026, 11, 28))
    by_archive = read(records.archive(tmp_path / "records.zip", table), date(2026, 11, 28))
    assert (by_table.kind, by_archive.kind) == ("tsv", "dwca")
    assert by_table.rows == by_archive.rows == 3_000
    assert by_table.matched == by_archive.matched
    assert abs(by_table.matched / 3_000 - records.KNOWN) < 0.05
    assert by_table.refused == 0
    # Nearly every record in a cell of its own: the worst case for memory.
    assert len(by_table.tallies) > 0.99 * by_table.matched
    assert list(by_table.tallies.rows()) == list(by_archive.tallies.rows())
