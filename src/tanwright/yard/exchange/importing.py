"""Taking a package in: everything is checked first, then all of it is written or nothing."""

from __future__ import annotations

import shutil
import tempfile
import uuid
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.contrib.auth.hashers import make_password
from django.core.management.color import no_style
from django.db import IntegrityError, connection, models, transaction

from tanwright import errors
from tanwright.errors import InputError
from tanwright.yard.exchange.archive import PHOTOS, cannot_write, settle
from tanwright.yard.exchange.opening import unpack
from tanwright.yard.exchange.tables import name_of, points_to_itself, tables
from tanwright.yard.exchange.validating import Fault, Rows, belongs, validated
from tanwright.yard.people.models import Device, Person


@dataclass(frozen=True)
class Imported:
    """Rows taken in, by table, and photos."""

    rows: dict[str, int]
    photos: int


class PackageError(errors.PackageError):
    """A package with faults; ``faults`` lists them, one line each."""

    def __init__(
        self, what: str, *, place: str = "", remedy: str = "", faults: tuple[Fault, ...] = ()
    ) -> None:
        super().__init__(what, place=place, remedy=remedy)
        self.faults = faults


def import_package(path: Path) -> Imported:
    """Take the package at ``path`` into this yard, which must be empty.

    Raises
    ------
    PackageError
        With every fault found; nothing was written.
    InputError
        When the yard is not empty, the archive is unsafe, or the disk refuses.
    """
    must_be_empty()
    folder = Path(settings.YARD_FOLDER)
    try:
        workroom = tempfile.TemporaryDirectory(prefix=".import-", dir=folder)
    except OSError as error:
        raise cannot_write(folder, error) from None
    with workroom as room:
        unpacked = Path(room)
        unpack(path, unpacked, belongs)
        rows, faults = validated(unpacked)
        if faults:
            raise PackageError(
                f"{len(faults)} faults were found and nothing was taken in"
                if len(faults) > 1
                else str(faults[0]),
                place=str(path),
                remedy="mend them, or export the yard again",
                faults=tuple(faults),
            )
        photos = _write(rows, unpacked / PHOTOS, path)
    return Imported({name_of(model): len(table) for model, table in rows.items()}, photos)


def must_be_empty() -> None:
    """Raises InputError when the yard holds anything but people who have done nothing yet."""
    for model in tables():
        if model not in (Person, Device) and model._base_manager.exists():
            raise InputError(
                f"this yard is not empty (it has {model._meta.verbose_name_plural})",
                place="import",
                remedy="name an empty folder with --yard, or set this yard aside first",
            )


@transaction.atomic
def _write(rows: Rows, photos: Path, path: Path) -> int:
    must_be_empty()
    # The keeper that a fresh yard makes for whoever sits at it gives way to those who come.
    Person.objects.filter(devices=None, password__startswith="!").delete()
    Person.objects.filter(devices=None, password="").delete()
    try:
        with transaction.atomic():
            for model, table in rows.items():
                _insert(model, table)
            connection.check_constraints()
    except IntegrityError as error:
        raise PackageError(
            f"the database refuses it ({error})",
            place=str(path),
            remedy="a name or an id in it is taken, or a row breaks a rule of its table",
        ) from None
    _count_on(list(rows))
    return _lay_photos(photos)


def _insert(model: type[models.Model], table: list[dict[str, object]]) -> None:
    later = [column.attname for column in points_to_itself(model)]
    made = []
    for row in table:
        fields = {name: value for name, value in row.items() if name not in later}
        if model is Person:
            fields |= {"password": make_password(None), "calendar_token": uuid.uuid4()}
        made.append(model(**fields))
    # Multi-table children are written by their own columns only, which bulk_create refuses.
    if model._meta.parents:
        for item in made:
            item.save_base(raw=True, force_insert=True)
    else:
        model._base_manager.bulk_create(made, batch_size=500)
    for name in later:
        for row in table:
            if row[name] is not None:
                key = model._meta.pk.attname
                model._base_manager.filter(pk=row[key]).update(**{name: row[name]})


def _count_on(models_: list[type[models.Model]]) -> None:
    """PostgreSQL: its counters go on after the numbers that were written."""
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), models_):
            cursor.execute(statement)


def _lay_photos(photos: Path) -> int:
    target = Path(settings.PHOTO_FOLDER)
    count = 0
    for path in sorted(photos.rglob("*")) if photos.is_dir() else ():
        if path.is_file():
            place = target / path.relative_to(photos)
            try:
                place.parent.mkdir(parents=True, exist_ok=True)
                shutil.copyfile(path, place)
            except OSError as error:
                raise cannot_write(place, error) from None
            settle(place.parent)
            count += 1
    return count
