"""One bibliography: no key without an entry, no entry without a use."""

from __future__ import annotations

import re
from pathlib import Path

import bibtexparser
import pytest

from tanwright.errors import DataError
from tanwright.reference.loader import BIBLIOGRAPHY, schema_of, table, table_names
from tanwright.reference.sources import cite, source, sources

ROOT = Path(__file__).parents[2]


def keys_in_bibliography() -> list[str]:
    library = bibtexparser.parse_string(BIBLIOGRAPHY.read_text(encoding="utf-8"))
    assert not library.failed_blocks
    for entry in library.entries:
        assert {"author", "title", "note", "copyright"} <= set(entry.fields_dict), entry.key
    return [entry.key for entry in library.entries]


def keys_used_in_tables() -> set[str]:
    used: set[str] = set()
    for name in table_names():
        for column in schema_of(name).columns:
            if column.refers == "sources.key":
                for row in table(name):
                    used.update(row.words(column.name))
    return used


def text_of_code_and_docs() -> str:
    folders = (ROOT / "src" / "tanwright", ROOT / "docs")
    files = [
        path
        for folder in folders
        for path in sorted(folder.rglob("*"))
        if path.suffix in (".py", ".md") or "published" in path.parts
    ]
    named = " ".join(path.stem for path in files)
    return (
        named + " " + " ".join(path.read_text(encoding="utf-8") for path in files if path.is_file())
    )


def test_bibliography_and_table_of_sources_hold_the_same_keys() -> None:
    keys = keys_in_bibliography()
    assert len(keys) == len(set(keys))
    assert keys == [item.key for item in sources()]


def test_every_key_that_a_table_names_is_in_the_bibliography() -> None:
    assert keys_used_in_tables() <= set(keys_in_bibliography())


def test_every_entry_is_used_by_a_table_the_code_or_the_docs() -> None:
    text = text_of_code_and_docs()
    unused = [
        key
        for key in set(keys_in_bibliography()) - keys_used_in_tables()
        if not re.search(rf"(?<![\w-]){re.escape(key)}(?![\w-])", text)
    ]
    assert not unused


def test_keys_cited_in_docs_of_method_exist() -> None:
    known = set(keys_in_bibliography())
    pattern = re.compile(r"\b[a-z]+-?[a-z]*(?:18|19|20)\d\d\b")
    for path in sorted((ROOT / "docs" / "method").glob("*.md")):
        for key in pattern.findall(path.read_text(encoding="utf-8")):
            assert key in known, f"{path.name} cites {key}"


def test_sources_are_cited_in_one_line() -> None:
    assert cite(["procter1903", "memory", "procter1903"]) == (
        "H. R. Procter 1903, The Principles of Leather Manufacture",
        "from memory",
    )
    assert source("common-practice").short == "common practice"
    assert source("derived").short == "worked out here"
    assert all("\n" not in item.short for item in sources())


def test_an_unknown_key_is_refused() -> None:
    with pytest.raises(DataError, match='no source has the key "nobody1900"'):
        source("nobody1900")


def test_a_title_names_a_book_and_never_a_key() -> None:
    keys = re.compile(r"\b(" + "|".join(item.key for item in sources()) + r")\b")
    coded = {key for key in (item.key for item in sources()) if re.search(r"\d{4}", key)}
    for item in sources():
        assert not coded & set(keys.findall(item.title)), item.title
    assert "Principles of Leather Manufacture" in source("guthrie1901").short
