"""Files that are broken, or were made to harm: refused in one plain line, nothing left behind."""

from __future__ import annotations

import os
import zipfile
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tanwright.errors import InputError
from tanwright.planning.occurrences import read
from tanwright.planning.occurrences import rows as rows_module
from tests.planning.occurrences.archives import (
    DWC,
    HEADS,
    OAKS,
    archive_of_oaks,
    meta,
    packed,
    section,
    table,
)

TODAY = date(2026, 11, 28)
RECORDS = {"occurrence.txt": table(HEADS, OAKS)}
CORE = section("core", "occurrence.txt", HEADS)


def written(path: Path, content: bytes | dict[str, str | bytes]) -> Path:
    if isinstance(content, dict):
        return packed(path, content)
    path.write_bytes(content)
    return path


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "is empty"),
        (b"PK\x05\x06" + bytes(18), "no meta.xml"),
        (b"PK\x03\x04 and nothing more", "damaged or no zip"),
        (b"\x89PNG\r\n\x1a\n\x00\x00", "no column is called scientificName"),
        (b"name,where\noak,here\n", "no column is called scientificName or decimalLatitude"),
        (b"scientificName,decimalLatitude,decimalLongitude\n", "no column is called eventDate"),
        (table(HEADS, ()).encode(), "no record is in it"),
        (b"x" * 1_100_000, "no column is called"),
        (table(HEADS, OAKS).encode() + b"x" * 1_100_000, "line 7 has more than a million letters"),
        ({"meta.xml": meta(CORE)}, '"occurrence.txt", which meta.xml names, is not in it'),
        ({**RECORDS, "more.txt": "x"}, "no meta.xml in it but more than one table"),
        ({"readme.md": "x"}, "no meta.xml"),
        ({**RECORDS, "meta.xml": "<archive"}, "meta.xml: it cannot be understood"),
        ({**RECORDS, "meta.xml": "<archive/>"}, "meta.xml: it cannot be understood"),
        ({**RECORDS, "meta.xml": "<!DOCTYPE a [<!ENTITY b 'c'>]>" + meta(CORE)}, "understood"),
        ({**RECORDS, "meta.xml": meta(section("core", "/etc/passwd", HEADS))}, "no file of the"),
        ({**RECORDS, "meta.xml": meta(section("core", "../x.txt", HEADS))}, "no file of the"),
        ({**RECORDS, "meta.xml": meta(section("core", "occurrence.txt", HEADS,
                                              encoding="klingon"))}, "understood|not known"),
        ({**RECORDS, "meta.xml": meta(section("core", "occurrence.txt", HEADS,
                                              fieldsTerminatedBy="||"))}, "set apart"),
        ({**RECORDS, "meta.xml": meta(CORE.replace('index="1"', 'index="9999999"'))}, "cannot be"),
        ({**RECORDS, "meta.xml": meta(section("core", "occurrence.txt", HEADS[:2]))},
         "no column is called decimalLatitude"),
        ({**RECORDS, "meta.xml": meta(section("core", "occurrence.txt", ("id", "locality"),
                                              row_type=f"{DWC}Event"))}, "only Event"),
        ({"meta.xml": meta(CORE), "occurrence.txt": ""}, "is empty"),
        ({"meta.xml": meta(CORE), "occurrence.txt": b"\0" * 30_000_000}, "would unpack to 30 MB"),
        ({"meta.xml": b"\xff\xfe\x00", **RECORDS}, "understood"),
    ],
)  # fmt: skip
def test_it_is_refused_in_one_line(
    tmp_path: Path, content: bytes | dict[str, str | bytes], said: str
) -> None:
    with pytest.raises(InputError, match=said) as refused:
        read(written(tmp_path / "it.zip", content), TODAY)
    assert "\n" not in str(refused.value)
    assert "it.zip" in refused.value.place


def test_names_that_lead_elsewhere_are_never_written(tmp_path: Path) -> None:
    inside = tmp_path / "inside"
    inside.mkdir()
    members = {"../escaped.txt": "x", "/escaped.txt": "x", "meta.xml": meta(CORE), **RECORDS}
    path = packed(inside / "it.zip", members)
    assert read(path, TODAY).matched == 4
    assert [item.name for item in tmp_path.rglob("*")] == ["inside", "it.zip"]


def test_a_file_that_breaks_off_gives_nothing(tmp_path: Path) -> None:
    path = tmp_path / "it.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_STORED) as archive:
        archive.writestr("meta.xml", meta(CORE))
        archive.writestr("occurrence.txt", table(HEADS, [*OAKS] * 20_000))
    content = bytearray(path.read_bytes())
    content[len(content) // 2] ^= 0xFF  # one byte of the records, so that their checksum is wrong
    path.write_bytes(content)
    with pytest.raises(InputError, match="damaged"):
        read(path, TODAY)


def test_an_archive_with_a_password(tmp_path: Path) -> None:
    path = archive_of_oaks(tmp_path / "it.zip")
    content = bytearray(path.read_bytes())
    for mark, at in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        start = content.find(mark)
        while start >= 0:
            content[start + at] |= 1
            start = content.find(mark, start + 4)
    path.write_bytes(content)
    with pytest.raises(InputError, match="locked with a password"):
        read(path, TODAY)


def test_the_words_are_ours_not_those_of_a_library(tmp_path: Path) -> None:
    path = tmp_path / "it.zip"
    path.write_bytes(b"PK\x03\x04 and nothing more")
    with pytest.raises(InputError) as caught:
        read(path, TODAY)
    assert str(caught.value) == "it.zip: it is damaged or no zip archive; download it again"


def test_a_folder_or_no_file(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="is a folder"):
        read(tmp_path, TODAY)
    with pytest.raises(InputError, match="no such file"):
        read(tmp_path / "none.zip", TODAY)


def test_a_core_too_long_for_memory_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(rows_module, "MOST_CORE_ROWS", 10)
    heads = ("id", "scientificName")
    seen = ("coreid", *HEADS[2:])
    told = meta(
        section("core", "t.txt", heads, row_type=f"{DWC}Taxon"),
        section("extension", "o.txt", seen),
    )
    taxa = [(str(at), "Quercus robur") for at in range(11)]
    members = {"meta.xml": told, "t.txt": table(heads, taxa), "o.txt": table(seen, ())}
    members["o.txt"] += "1\t51\t9\t2024-05-03\n"
    with pytest.raises(InputError, match="more than"):
        read(packed(tmp_path / "it.zip", members), TODAY)


@given(st.binary(max_size=400))
def test_any_bytes_are_read_or_refused(
    tmp_path_factory: pytest.TempPathFactory, raw: bytes
) -> None:
    path = tmp_path_factory.getbasetemp() / f"any-{os.getpid()}.bin"
    for content in (raw, table(HEADS, OAKS).encode() + raw, b"PK" + raw):
        path.write_bytes(content)
        try:
            found = read(path, TODAY)
        except InputError:
            continue
        assert found.rows == found.matched + found.others + found.refused
