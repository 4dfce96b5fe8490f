"""A yard with something in it, and archives to spoil."""

from __future__ import annotations

import io
import uuid
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings as django_settings
from django.db import transaction
from django.test import override_settings
from PIL import Image

from tanwright.yard.exchange import demo
from tanwright.yard.exchange.package import export
from tanwright.yard.journal.models import Entry, Photo
from tanwright.yard.people.models import Person
from tanwright.yard.stock.services import keep_container, log, new_lot

Change = Callable[[dict[str, bytes]], None]


@pytest.fixture(autouse=True)
def own_yard(settings: Any, tmp_path: Path) -> Path:
    """Work rooms of imports and exports stay in the test's own folder too."""
    settings.YARD_FOLDER = tmp_path / "yard"
    settings.YARD_FOLDER.mkdir()
    settings.FORECASTS = "off"
    return settings.YARD_FOLDER


@pytest.fixture
def full_yard(keeper: Person) -> Person:
    """A lot, a container and a photo; hands back the keeper."""
    lot = new_lot(keeper, "quercus-robur-bark", name="oak", kg=5.0, where="loft")
    log(lot, "lot.note", {}, keeper, note='a "quoted", line\nand another\r\nüñ✓ =1+1')
    keep_container("bucket", "2 kg", keeper)
    add_photo_files()
    return keeper


@pytest.fixture(scope="module")
def package(
    django_db_setup: None, django_db_blocker: Any, tmp_path_factory: pytest.TempPathFactory
) -> Path:
    """An export of the demo with a photo; the yard of each test is empty."""
    folder = tmp_path_factory.mktemp("package")
    there = override_settings(YARD_FOLDER=folder, PHOTO_FOLDER=folder / "photos", FORECASTS="off")
    with django_db_blocker.unblock(), there, transaction.atomic():
        keeper = Person.objects.create_user("Keeper of the yard", "long enough a word", "keeper")
        demo.load(keeper)
        note = 'a "quoted", line\nand another\r\nüñ✓ =1+1'
        first = Entry.objects.order_by("id")[0]
        Entry.objects.filter(pk=first.pk).update(note=note)
        add_photo_files()
        done = export(folder / "yard.zip")
        transaction.set_rollback(True)
    return done.path


def add_photo_files() -> None:
    """A photo of the first entry, past the service: the exchange sees files, not pictures."""
    entry = Entry.objects.order_by("id")[0]
    photos = Path(django_settings.PHOTO_FOLDER) / "2026" / "11"
    photos.mkdir(parents=True)
    for name in ("one.jpg", "one-small.jpg"):
        (photos / name).write_bytes(picture())
    Photo.objects.create(
        id=uuid.UUID(int=7),
        entry=entry,
        record=entry.record,
        file="2026/11/one.jpg",
        thumbnail="2026/11/one-small.jpg",
        width=4,
        height=3,
        sha256="0" * 64,
    )


def picture() -> bytes:
    """A very small JPEG."""
    file = io.BytesIO()
    Image.new("RGB", (4, 3), "brown").save(file, "JPEG")
    return file.getvalue()


def files_of(path: Path) -> dict[str, bytes]:
    """What an archive holds, by name."""
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def archive_of(path: Path, files: dict[str, bytes]) -> Path:
    """Write ``files`` into an archive at ``path``."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return path


@pytest.fixture
def spoilt(tmp_path: Path) -> Callable[[Path, Change], Path]:
    """A copy of an archive in which something was changed."""

    def make(path: Path, change: Change) -> Path:
        files = files_of(path)
        change(files)
        return archive_of(tmp_path / "spoilt.zip", files)

    return make
