"""The whole yard as an open package (Frictionless Data Package): CSV tables, schemas, photos.

Anybody can read it without this program; ``tanwright import`` reads it back into an empty yard.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from django.conf import settings
from django.db import connection, models, transaction
from django.utils import timezone

from tanwright.yard.exchange.archive import PHOTOS, program, put_down
from tanwright.yard.exchange.tables import columns, name_of, schema, tables, to_cell

DESCRIPTOR: Final = "datapackage.json"
DATA: Final = "data"
FORMAT_VERSION: Final = "1"
_DAY_ZERO: Final = (1980, 1, 1, 0, 0, 0)
"""Of every file in the archive, so that an unchanged yard gives unchanged files."""

DESCRIPTION: Final = (
    "Everything a tanning yard keeps: one table for each kind of record, the entries as they were "
    "written (corrected and withdrawn ones too), people and the photos. Amounts are in kg, L, mm, "
    "m2 and degrees Celsius; strengths as they were read, with their scale. Which columns "
    "hold JSON is said in their table's description. Passwords, sessions and calendar addresses "
    "are not in it: after an import people get new ones from the keeper."
)


@dataclass(frozen=True)
class Exported:
    """What an export wrote: rows by table, number of photos, photos that were not to be found."""

    path: Path
    rows: dict[str, int]
    photos: int
    missing: tuple[str, ...]


def export(target: Path) -> Exported:
    """Write the yard into the archive ``target``; the yard may be in use meanwhile.

    Raises InputError when the disk refuses.
    """
    with put_down(target) as file, zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        resources, rows = [], {}
        with _one_state():
            for model in tables():
                name = name_of(model)
                text, rows[name] = _csv(model)
                resources.append(_resource(model, text))
                archive.writestr(_info(f"{DATA}/{name}.csv"), text)
            names = sorted(_photo_names())
        photos, missing = [], []
        for name in names:
            path = Path(settings.PHOTO_FOLDER) / name
            if path.is_file():
                picture = path.read_bytes()
                photos.append(_photo(f"{PHOTOS}/{name}", picture))
                archive.writestr(
                    _info(f"{PHOTOS}/{name}"), picture, compress_type=zipfile.ZIP_STORED
                )
            else:
                missing.append(name)
        archive.writestr(_info(DESCRIPTOR), _descriptor([*resources, *photos]))
    return Exported(target, rows, len(photos), tuple(missing))


@contextmanager
def _one_state() -> Iterator[None]:
    """All tables as they were at one moment: no writer comes between two of them."""
    outermost = not connection.in_atomic_block
    with transaction.atomic():
        if outermost and connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
        yield


def _csv(model: type[models.Model]) -> tuple[bytes, int]:
    wanted = columns(model)
    names = [column.attname for column in wanted]
    text = io.StringIO(newline="")
    # All cells in quotes: a lone carriage return must not end a row (Python before 3.13 leaves it
    # bare).
    writer = csv.writer(text, lineterminator="\n", quoting=csv.QUOTE_ALL)
    writer.writerow(names)
    count = 0
    for row in model._base_manager.order_by("pk").values_list(*names).iterator(chunk_size=500):
        writer.writerow([to_cell(column, value) for column, value in zip(wanted, row, strict=True)])
        count += 1
    return text.getvalue().encode(), count


def _resource(model: type[models.Model], text: bytes) -> dict[str, Any]:
    json_columns = [
        column.attname for column in columns(model) if isinstance(column, models.JSONField)
    ]
    about = (model.__doc__ or "").strip().split("\n")[0]
    if json_columns:
        about += f" As JSON: {', '.join(json_columns)}."
    name = name_of(model)
    return {
        "name": name,
        "type": "table",
        "path": f"{DATA}/{name}.csv",
        "description": about,
        "scheme": "file",
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "hash": f"sha256:{hashlib.sha256(text).hexdigest()}",
        "bytes": len(text),
        "schema": schema(model),
    }


def _photo(name: str, picture: bytes) -> dict[str, Any]:
    digest = hashlib.sha256(picture).hexdigest()
    return {
        "name": "photo-" + hashlib.sha256(name.encode()).hexdigest()[:16],
        "path": name,
        "mediatype": "image/jpeg",
        "hash": f"sha256:{digest}",
        "bytes": len(picture),
    }


def _photo_names() -> Iterator[str]:
    for model in tables():
        for column in columns(model):
            if isinstance(column, models.FileField):
                for name in model._base_manager.values_list(column.attname, flat=True):
                    if name:
                        yield str(name)


def _descriptor(resources: list[dict[str, Any]]) -> str:
    told = {
        "name": "tanwright-yard",
        "title": "A tanning yard",
        "description": DESCRIPTION,
        "created": timezone.now().isoformat(timespec="seconds"),
        "version": FORMAT_VERSION,
        "tanwright": program(),
        "resources": resources,
    }
    return json.dumps(told, indent=1, ensure_ascii=False)


def _info(name: str) -> zipfile.ZipInfo:
    info = zipfile.ZipInfo(name, _DAY_ZERO)
    info.compress_type = zipfile.ZIP_DEFLATED
    info.external_attr = 0o600 << 16
    return info
