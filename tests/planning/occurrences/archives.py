"""Occurrence files of our own, built to the Darwin Core Text Guide (TDWG), whole and broken."""

from __future__ import annotations

import zipfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from xml.sax.saxutils import quoteattr

DWC = "http://rs.tdwg.org/dwc/terms/"
OCCURRENCE = f"{DWC}Occurrence"
HEADS = ("occurrenceID", "scientificName", "decimalLatitude", "decimalLongitude", "eventDate")
OAKS: Sequence[Sequence[str]] = (
    ("a", "Quercus robur L.", "51.2012", "9.4031", "2024-05-03"),
    ("b", "Quercus pedunculata Ehrh.", "51.2049", "9.3951", "2025-05-20"),
    ("c", "Quercus palustris L.", "51.25", "9.41", "2023-07"),
    ("d", "Vulpes vulpes", "51.2", "9.4", "2024-05-03"),
    ("e", "Castanea sativa Mill.", "51.31", "9.4", "2022-10-01/09"),
)
EML = """<?xml version="1.0" encoding="UTF-8"?>
<eml:eml xmlns:eml="https://eml.ecoinformatics.org/eml-2.2.0">
 <dataset><title>Trees round a yard</title>
  <intellectualRights><para>To whom it may serve: <ulink url="x"><citetitle>CC0</citetitle></ulink>
  </para></intellectualRights></dataset>
 <additionalMetadata><metadata><gbif><citation>A keeper (2026): Trees round a yard.</citation>
 </gbif></metadata></additionalMetadata>
</eml:eml>"""


def table(heads: Sequence[str], rows: Sequence[Sequence[str]], sign: str = "\t") -> str:
    """A table as text, its heads first."""
    return "".join(sign.join(cells) + "\n" for cells in (heads, *rows))


def section(
    kind: str,
    location: str,
    heads: Sequence[str],
    *,
    row_type: str = OCCURRENCE,
    defaults: Mapping[str, str] | None = None,
    **told: str,
) -> str:
    """A ``<core>`` or ``<extension>`` of ``meta.xml``; the first column is its id."""
    written = {
        "encoding": "UTF-8", "fieldsTerminatedBy": "\\t", "linesTerminatedBy": "\\n",
        "fieldsEnclosedBy": "", "ignoreHeaderLines": "1", "rowType": row_type, **told,
    }  # fmt: skip
    attributes = " ".join(f"{name}={quoteattr(value)}" for name, value in written.items())
    id_tag = "id" if kind == "core" else "coreid"
    fields = "".join(
        f'<field index="{at}" term="{head if "/" in head else DWC + head}"/>'
        for at, head in enumerate(heads)
        if at
    )
    fields += "".join(
        f'<field term="{DWC}{term}" default={quoteattr(text)}/>'
        for term, text in (defaults or {}).items()
    )
    return (
        f"<{kind} {attributes}><files><location>{location}</location></files>"
        f'<{id_tag} index="0"/>{fields}</{kind}>'
    )


def meta(*sections: str) -> str:
    """``meta.xml``."""
    return (
        '<archive xmlns="http://rs.tdwg.org/dwc/text/" metadata="eml.xml">'
        + "".join(sections)
        + "</archive>"
    )


def packed(path: Path, members: Mapping[str, str | bytes]) -> Path:
    """A zip at ``path``."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in members.items():
            archive.writestr(name, text)
    return path


def archive_of_oaks(path: Path) -> Path:
    """A whole archive of :data:`OAKS`."""
    return packed(
        path,
        {
            "meta.xml": meta(section("core", "occurrence.txt", HEADS)),
            "eml.xml": EML,
            "occurrence.txt": table(HEADS, OAKS),
        },
    )
