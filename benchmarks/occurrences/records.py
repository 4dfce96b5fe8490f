"""Files of occurrence records of our own, as large as asked for and the same in every run."""

from __future__ import annotations

import random
import zipfile
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

from tanwright.reference.materials import materials

HEADS = (
    "gbifID", "datasetKey", "occurrenceID", "kingdom", "phylum", "class", "order", "family",
    "genus", "species", "taxonRank", "scientificName", "verbatimScientificName", "countryCode",
    "locality", "stateProvince", "occurrenceStatus", "individualCount", "publishingOrgKey",
    "decimalLatitude", "decimalLongitude", "coordinateUncertaintyInMeters", "elevation",
    "eventDate", "day", "month", "year", "taxonKey", "speciesKey", "basisOfRecord",
    "institutionCode", "collectionCode", "catalogNumber", "identifiedBy", "dateIdentified",
    "license", "rightsHolder", "recordedBy", "lastInterpreted", "mediaType", "issue",
)  # fmt: skip
"""About the columns, and the 500 bytes a row, with which portals hand records out."""
KNOWN = 0.6
"""Share of rows of plants that the reference knows; the rest are of 3000 others."""
FIRST_DAY = date(1990, 1, 1)
DWC = "http://rs.tdwg.org/dwc/terms/"


def lines(rows: int) -> Iterator[str]:
    """The table, its heads first: records spread evenly over 8 by 9 degrees, so that nearly every
    one lies in a cell of its own, which is the worst case for memory."""
    draw = random.Random(5)
    known = sorted({item.scientific_name for item in materials()})
    others = [f"Alienus planta{number} Auct." for number in range(3000)]
    yield "\t".join(HEADS) + "\n"
    for number in range(rows):
        name = draw.choice(known if draw.random() < KNOWN else others)
        when = FIRST_DAY + timedelta(days=draw.randrange(13_000))
        genus, species = name.split()[:2]
        yield "\t".join(
            (
                str(4_000_000_000 + number), "50c9509d-22c7-4a22-a47d-8c48425ef4a7",
                f"urn:records:{number}", "Plantae", "Tracheophyta", "Magnoliopsida", "Fagales",
                "Fagaceae", genus, f"{genus} {species}", "SPECIES", f"{name} L.", name, "DE",
                "some wood near a river", "Hessen", "PRESENT", "",
                "28eb1a3f-1c15-4a95-931a-4af90ecb574d", f"{draw.uniform(47, 55):.6f}",
                f"{draw.uniform(6, 15):.6f}", "25.0", "", f"{when.isoformat()}T12:31",
                str(when.day), str(when.month), str(when.year), "2878688", "2878688",
                "HUMAN_OBSERVATION", "a society", "Observations", str(number), "an observer",
                "2021-05-03T10:00:00", "CC_BY_NC_4_0", "an observer", "an observer",
                "2024-01-02T05:03:02.123Z", "StillImage", "COORDINATE_ROUNDED",
            )
        ) + "\n"  # fmt: skip


def table(path: Path, rows: int) -> Path:
    """One table with tabs."""
    with path.open("w", encoding="utf-8") as file:
        file.writelines(lines(rows))
    return path


def archive(path: Path, of: Path) -> Path:
    """A Darwin Core Archive of the table ``of``."""
    fields = "".join(
        f'<field index="{at}" term="{DWC}{head}"/>' for at, head in enumerate(HEADS) if at
    )
    meta = (
        '<archive xmlns="http://rs.tdwg.org/dwc/text/"><core encoding="UTF-8" '
        'fieldsTerminatedBy="\\t" linesTerminatedBy="\\n" fieldsEnclosedBy="" '
        f'ignoreHeaderLines="1" rowType="{DWC}Occurrence">'
        "<files><location>occurrence.txt</location></files>"
        f'<id index="0"/>{fields}</core></archive>'
    )
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=3) as packed:
        packed.writestr("meta.xml", meta)
        packed.write(of, "occurrence.txt")
    return path
