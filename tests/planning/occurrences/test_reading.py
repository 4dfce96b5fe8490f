"""Files of occurrence records read through: archives, tables, and what is refused by line."""

from __future__ import annotations

import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest
from dwca.darwincore.utils import qualname
from dwca.read import DwCAReader

from tanwright.planning.occurrences import MOST_SHOWN, Read, near, read
from tanwright.planning.occurrences import reading as r
from tanwright.planning.occurrences.rows import ORPHAN, RAGGED
from tests.planning.occurrences.archives import (
    DWC,
    EML,
    HEADS,
    OAKS,
    archive_of_oaks,
    meta,
    packed,
    section,
    table,
)

TODAY = date(2026, 11, 28)


def counts(found: Read) -> tuple[int, int, int, int, int]:
    return found.rows, found.matched, found.genus_only, found.others, found.refused


def test_an_archive_built_to_the_standard(tmp_path: Path) -> None:
    found = read(archive_of_oaks(tmp_path / "oaks.zip"), TODAY)
    assert (found.kind, counts(found)) == ("dwca", (5, 4, 1, 1, 0))
    assert found.licence == "To whom it may serve: CC0"
    assert found.citation == "A keeper (2026): Trees round a yard."
    assert (found.first_day, found.last_day) == (date(2022, 10, 9), date(2025, 5, 20))
    oak, chestnut, genus = near(found.tallies, 51.2, 9.4, 20)
    # The synonym counts for the oak; both records lie in cells beside the position.
    assert (oak.taxon, oak.count, oak.months[4]) == ("Quercus robur", 2, 2)
    assert oak.latest == date(2025, 5, 20)
    assert oak.nearest_km == pytest.approx(0.0, abs=1e-9)
    assert (chestnut.taxon, chestnut.months[9]) == ("Castanea sativa", 1)
    assert (genus.taxon, genus.level, genus.count) == ("Quercus", "genus", 1)


def test_the_library_reads_the_same_archive_alike(tmp_path: Path) -> None:
    """Reference library: python-dwca-reader's own rows, cell by cell."""
    path = archive_of_oaks(tmp_path / "oaks.zip")
    with DwCAReader(str(path)) as archive:
        by_library = [tuple(row.data[qualname(head)] for head in HEADS[1:]) for row in archive.rows]
    assert by_library == [tuple(row[1:]) for row in OAKS]
    assert read(path, TODAY).rows == len(by_library)


@pytest.mark.parametrize("sign", ["\t", ",", ";", "|"])
@pytest.mark.parametrize("spelled", [str, str.upper, lambda head: DWC + head])
def test_one_table_whatever_sets_its_columns_apart(tmp_path: Path, sign: str, spelled) -> None:
    path = tmp_path / "records"
    path.write_text(table([spelled(head) for head in HEADS], OAKS, sign), "utf-8-sig")
    found = read(path, TODAY)
    assert counts(found) == (5, 4, 1, 1, 0)
    assert found.kind == ("tsv" if sign == "\t" else "csv")


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "utf-16-le"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_encodings_and_ends_of_lines(tmp_path: Path, encoding: str, end: str) -> None:
    path = tmp_path / "records.csv"
    text = ("\ufeff" if encoding == "utf-16-le" else "") + table(HEADS, OAKS, ",")
    path.write_bytes(text.replace("\n", end).encode(encoding))
    assert counts(read(path, TODAY)) == (5, 4, 1, 1, 0)


def test_quotes_hold_signs_and_lines_together_in_a_table_with_commas(tmp_path: Path) -> None:
    path = tmp_path / "records.csv"
    path.write_text(
        "scientificName,locality,decimalLatitude,decimalLongitude,eventDate\n"
        '"Quercus robur L.","wood, by the ""mill""\nbehind",51.2,9.4,2024-05-03\n'
        "Quercus robur,field,51.2,9.4,never\n"
    )
    found = read(path, TODAY)
    assert (found.matched, found.first) == (1, ((4, "its date cannot be read"),))


def test_a_stray_quote_in_a_table_with_tabs_swallows_nothing(tmp_path: Path) -> None:
    path = tmp_path / "records.tsv"
    heads = (*HEADS, "locality")
    rows = [(*row, '"by the mill' if row[0] == "a" else "wood") for row in OAKS]
    path.write_text(table(heads, rows))
    assert counts(read(path, TODAY)) == (5, 4, 1, 1, 0)


def test_a_zip_with_one_table(tmp_path: Path) -> None:
    path = packed(tmp_path / "0001.zip", {"0001.csv": table(HEADS, OAKS)})
    found = read(path, TODAY)
    assert (found.kind, counts(found)) == ("tsv", (5, 4, 1, 1, 0))


def test_a_table_that_is_only_called_zip(tmp_path: Path) -> None:
    path = tmp_path / "records.zip"
    path.write_text(table(HEADS, OAKS))
    assert read(path, TODAY).matched == 4


def test_an_archive_in_a_folder_of_its_own(tmp_path: Path) -> None:
    members = {
        "mine/meta.xml": meta(section("core", "occurrence.txt", HEADS)),
        "mine/eml.xml": EML,
        "mine/occurrence.txt": table(HEADS, OAKS),
        "__MACOSX/mine/._meta.xml": b"\x00\x05",
    }
    found = read(packed(tmp_path / "mine.zip", members), TODAY)
    assert (found.matched, found.licence) == (4, "To whom it may serve: CC0")


def test_constants_of_the_metafile_fill_what_has_no_column(tmp_path: Path) -> None:
    heads, rows = HEADS[:4], [row[:4] for row in OAKS]
    told = section("core", "o.txt", heads, defaults={"eventDate": "2020-09", "kingdom": "Plantae"})
    path = packed(tmp_path / "a.zip", {"meta.xml": meta(told), "o.txt": table(heads, rows)})
    found = read(path, TODAY)
    assert counts(found) == (5, 4, 1, 1, 0)
    assert set(found.tallies.month.tolist()) == {9}


def test_taxon_and_event_cores_are_joined_with_their_occurrences(tmp_path: Path) -> None:
    taxa = (("1", "Quercus robur L."), ("2", "Vulpes vulpes"))
    seen_heads = ("coreid", "decimalLatitude", "decimalLongitude", "eventDate")
    seen = (("1", "51.2", "9.4", "2024-05-03"), ("2", "51.2", "9.4", "2024-05-03"),
            ("3", "51.2", "9.4", "2024-05-03"))  # fmt: skip
    path = packed(
        tmp_path / "taxa.zip",
        {
            "meta.xml": meta(
                section("core", "t.txt", ("id", "scientificName"), row_type=f"{DWC}Taxon"),
                section("extension", "o.txt", seen_heads),
            ),
            "t.txt": table(("id", "scientificName"), taxa),
            "o.txt": table(seen_heads, seen),
        },
    )
    found = read(path, TODAY)
    assert (counts(found), found.first) == ((3, 1, 0, 1, 1), ((4, ORPHAN),))

    event_heads = ("id", "eventDate", "decimalLatitude", "decimalLongitude")
    path = packed(
        tmp_path / "events.zip",
        {
            "meta.xml": meta(
                section("core", "e.txt", event_heads, row_type=f"{DWC}Event"),
                section("extension", "o.txt", ("coreid", "scientificName")),
            ),
            "e.txt": table(event_heads, [("v1", "2024-05-03", "51.2", "9.4")]),
            "o.txt": table(("coreid", "scientificName"), [("v1", "Quercus robur")] * 2),
        },
    )
    assert counts(read(path, TODAY)) == (2, 2, 0, 0, 0)


HEADS_OF_BAD = (*HEADS, "coordinateUncertaintyInMeters", "basisOfRecord", "occurrenceStatus",
                "individualCount")  # fmt: skip
GOOD = (
    "x",
    "Quercus robur",
    "51.2",
    "9.4",
    "2024-05-03",
    "25",
    "HUMAN_OBSERVATION",
    "present",
    "3",
)


def bad(**changed: str) -> tuple[str, ...]:
    return tuple(changed.get(head, cell) for head, cell in zip(HEADS_OF_BAD, GOOD, strict=True))


@pytest.mark.parametrize(
    ("row", "cause"),
    [
        (bad(decimalLatitude=""), r.NO_PLACE),
        (bad(decimalLatitude="0", decimalLongitude="0.0"), r.NOUGHT),
        (bad(decimalLatitude="91"), r.OFF_EARTH),
        (bad(decimalLongitude="-180.5"), r.OFF_EARTH),
        (bad(decimalLatitude="nan"), r.OFF_EARTH),
        (bad(decimalLatitude="fifty"), r.NO_NUMBER),
        (bad(coordinateUncertaintyInMeters="10001"), r.TOO_VAGUE),
        (bad(occurrenceStatus="ABSENT"), r.NOT_SEEN),
        (bad(individualCount="0"), r.NOT_SEEN),
        (bad(basisOfRecord="FossilSpecimen"), r.NOT_WILD),
        (bad(basisOfRecord="LIVING_SPECIMEN"), r.NOT_WILD),
        (bad(eventDate=""), "it has no date"),
        (bad(eventDate="2031-01-01"), "its date is still to come"),
        (bad(eventDate="2024"), "its date does not tell the month"),
        (GOOD[:-1], RAGGED),
        ((*GOOD, "more"), RAGGED),
    ],
)
def test_a_bad_row_is_told_by_its_line(tmp_path: Path, row: tuple[str, ...], cause: str) -> None:
    path = tmp_path / "records.tsv"
    path.write_text(table(HEADS_OF_BAD, [GOOD, row, GOOD]))
    found = read(path, TODAY)
    assert counts(found) == (3, 2, 0, 0, 1)
    assert (found.first, found.causes) == (((3, cause),), {cause: 1})


@pytest.mark.parametrize(
    "row",
    [
        bad(decimalLatitude="51,2", decimalLongitude="9,4"),
        bad(coordinateUncertaintyInMeters="10000"),
        bad(coordinateUncertaintyInMeters="not known"),
        bad(decimalLatitude="0", decimalLongitude="9.4"),
        bad(decimalLongitude="180"),
        bad(individualCount=""),
    ],
)
def test_a_row_at_the_edge_of_what_will_do(tmp_path: Path, row: tuple[str, ...]) -> None:
    path = tmp_path / "records.tsv"
    path.write_text(table(HEADS_OF_BAD, [row]))
    assert counts(read(path, TODAY)) == (1, 1, 0, 0, 0)


def test_the_first_fifty_bad_rows_are_shown_and_all_counted(tmp_path: Path) -> None:
    path = tmp_path / "records.tsv"
    path.write_text(table(HEADS_OF_BAD, [bad(eventDate="")] * 300 + [GOOD]))
    found = read(path, TODAY)
    assert (found.refused, found.matched) == (300, 1)
    assert [line for line, _ in found.first] == list(range(2, 2 + MOST_SHOWN))


def test_bytes_that_are_not_utf_8_spoil_no_other_row(tmp_path: Path) -> None:
    path = tmp_path / "records.tsv"
    text = table((*HEADS, "recordedBy"), [(*row, "Zoé") for row in OAKS])
    path.write_bytes(text.encode("latin-1"))
    assert counts(read(path, TODAY)) == (5, 4, 1, 1, 0)


def test_an_animal_or_a_fungus_of_the_same_genus_is_no_plant(tmp_path: Path) -> None:
    path = tmp_path / "records.tsv"
    heads = (*HEADS, "kingdom", "genus")
    path.write_text(table(heads, [("x", "Quercus robur", "51.2", "9.4", "2024-05-03", kingdom, "")
                                  for kingdom in ("Animalia", "Plantae", "")]))  # fmt: skip
    assert counts(read(path, TODAY)) == (3, 2, 0, 1, 0)


def test_progress_is_told_and_ends_at_all(tmp_path: Path) -> None:
    path = tmp_path / "records.tsv"
    path.write_text(table(HEADS, [OAKS[0]] * 45_000))
    told: list[r.Progress] = []
    read(path, TODAY, progress=told.append)
    assert [item.rows for item in told] == [20_000, 40_000, 45_000]
    assert [item.share for item in told] == sorted(item.share for item in told)
    assert 0.3 < told[0].share < 0.7 < told[1].share <= told[2].share == 1.0


PEAK = """
import resource, sys
from datetime import date
from pathlib import Path
from tanwright.planning.occurrences import read
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
read(Path(sys.argv[1]), date(2026, 11, 28))
print((resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024)
"""


def test_memory_does_not_grow_with_the_file(tmp_path: Path) -> None:
    """40 MB of records, each in a cell of its own, are read in less room than they take."""
    path = tmp_path / "records.tsv"
    with path.open("w") as file:
        file.write(table((*HEADS, "locality"), ()))
        for at in range(150_000):
            latitude, longitude = f"{40 + at // 1000 / 100:.2f}", f"{at % 1000 / 100:.2f}"
            row = (str(at), "Quercus robur L.", latitude, longitude, "2024-05-03", "wood " * 45)
            file.write("\t".join(row) + "\n")
    assert path.stat().st_size > 40_000_000
    done = subprocess.run(
        [sys.executable, "-c", PEAK, str(path)], capture_output=True, text=True, check=True
    )
    assert float(done.stdout) < 40
