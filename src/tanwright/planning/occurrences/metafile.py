"""``meta.xml`` of a Darwin Core Archive (how its tables are laid out) and who is to be cited.

The text of the Darwin Core Text Guide (TDWG) says what stands in it; it is read with the library
python-dwca-reader.
"""

from __future__ import annotations

import codecs
import xml.etree.ElementTree as ET
from dataclasses import dataclass
from pathlib import PurePosixPath
from typing import Any, Final

from tanwright.errors import InputError
from tanwright.planning.occurrences import terms

OCCURRENCE: Final = "Occurrence"
MOST_COLUMNS: Final = 5_000
_FOLDED: Final = {"\\t": "\t", "\\n": "\n", "\\r": "\r"}


@dataclass(frozen=True)
class Layout:
    """How a table is written and where its wanted terms stand.

    Attributes
    ----------
    row_type:
        Last word of the class of its rows: ``"Occurrence"``, ``"Taxon"``, ``"Event"``.
    columns:
        Column (from 0) of each wanted term.
    constants:
        What holds for a wanted term where its cell is empty or it has no column.
    id_column:
        Column that joins core and extension, if any.
    width:
        Cells that a row must have; just as many when ``exact``, else at least.
    """

    row_type: str
    location: str
    encoding: str
    separator: str
    quote: str
    line_end: str
    heads: int
    columns: dict[str, int]
    constants: dict[str, str]
    id_column: int | None
    width: int
    exact: bool

    @property
    def terms(self) -> set[str]:
        return {*self.columns, *self.constants}


@dataclass(frozen=True)
class Told:
    """What ``meta.xml`` tells: the table of occurrences, its core if that is another table."""

    records: Layout
    core: Layout | None
    about: str
    """Name of the file with the metadata, may be empty."""


@dataclass(frozen=True)
class About:
    """From the metadata (EML): terms of use and how to cite, each may be empty."""

    licence: str
    citation: str


def layouts(meta: bytes, place: str) -> Told:
    """The layout that ``meta.xml`` tells. Raises InputError when it cannot be used."""
    from dwca.descriptors import ArchiveDescriptor
    from dwca.exceptions import InvalidArchive

    where = f"{place}, meta.xml"
    try:
        root = _parsed(meta)
        for element in root.iter():
            element.tag = element.tag.rpartition("}")[2]
            if element.tag in ("core", "extension") and not element.get("encoding"):
                element.set("encoding", "UTF-8")  # what the guide gives for a missing one
        told = ArchiveDescriptor(ET.tostring(root, encoding="unicode"))
        core = _layout(told.core)
        extensions = [_layout(item) for item in told.extensions]
    except (InvalidArchive, ET.ParseError, AttributeError, TypeError, ValueError, LookupError):
        raise InputError(
            "it cannot be understood", place=where, remedy="take a Darwin Core Archive"
        ) from None
    for layout in (core, *extensions):
        _check(layout, where)
    about_file = told.metadata_filename or ""
    records = next((item for item in extensions if item.row_type == OCCURRENCE), None)
    if core.row_type == OCCURRENCE or (records is None and set(terms.NAMES) & core.terms):
        terms.need(core.terms, where)
        return Told(core, None, about_file)
    if records is None:
        raise InputError(
            f"it holds no occurrence records, only {core.row_type or 'something else'}",
            place=where, remedy="take an archive of occurrence records",
        )  # fmt: skip
    terms.need(core.terms | records.terms, where)
    return Told(records, core, about_file)


def about(metadata: bytes) -> About:
    """Licence and citation from a file of metadata; empty when it does not tell or is broken."""
    try:
        root = _parsed(metadata)
    except (ET.ParseError, ValueError, LookupError):
        return About("", "")
    found = {"licenseName": "", "intellectualRights": "", "citation": "", "title": ""}
    for element in root.iter():
        name = str(element.tag).rpartition("}")[2]
        if name in found and not found[name]:
            found[name] = " ".join(" ".join(element.itertext()).split())
    return About(
        (found["licenseName"] or found["intellectualRights"])[:500],
        (found["citation"] or found["title"])[:2000],
    )


def _parsed(text: bytes) -> ET.Element:
    """Raises ValueError for a document that declares a type: entities could fill the memory."""
    if b"<!DOCTYPE" in text or b"<!ENTITY" in text:
        raise ValueError("a document type")
    return ET.fromstring(text.strip())


def _layout(item: Any) -> Layout:
    """From the library's description of a table."""
    columns: dict[str, int] = {}
    constants: dict[str, str] = {}
    for told in item.fields:
        term = terms.term_of(told["term"] or "")
        if term is None or term in columns or term in constants:
            continue
        if told["index"] is not None:
            columns[term] = int(told["index"])
        if told["default"]:
            constants[term] = told["default"]
    key = item.id_index if item.represents_corefile else item.coreid_index
    indexes = [*columns.values(), *([key] if key is not None else [])]
    return Layout(
        row_type=(item.type or "").rpartition("/")[2],
        location=item.file_location or "",
        encoding=item.file_encoding,
        separator=_FOLDED.get(item.fields_terminated_by, item.fields_terminated_by),
        quote=item.fields_enclosed_by,
        line_end=_FOLDED.get(item.lines_terminated_by, item.lines_terminated_by),
        heads=item.lines_to_ignore,
        columns=columns,
        constants=constants,
        id_column=key,
        width=max(indexes, default=-1) + 1,
        exact=False,
    )


def _check(layout: Layout, where: str) -> None:
    path = PurePosixPath(layout.location)
    if not layout.location or path.is_absolute() or ".." in path.parts or "\\" in layout.location:
        raise InputError(f'"{layout.location[:80]}" is no file of the archive', place=where)
    try:
        codecs.lookup(layout.encoding)
    except LookupError:
        raise InputError(
            f'the encoding "{layout.encoding[:30]}" is not known', place=where
        ) from None
    signs = (layout.separator, layout.quote or "x")
    if any(len(sign) != 1 or sign in "\r\n" for sign in signs) or layout.heads < 0:
        raise InputError("its columns are set apart in a way that cannot be read", place=where)
    if layout.width > MOST_COLUMNS or min(layout.columns.values(), default=0) < 0:
        raise InputError("it names a column that cannot be", place=where)
