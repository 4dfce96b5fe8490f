"""A skin whose log is written, and pictures of every sort."""

from __future__ import annotations

import io
import uuid
from collections.abc import Callable
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from PIL import Image

from tanwright.yard.journal.models import Entry, Record
from tanwright.yard.journal.services import open_record, write
from tanwright.yard.people.models import Person
from tanwright.yard.skins.models import Skin

WriteAs = Callable[..., Entry]


@pytest.fixture
def skin(keeper: Person) -> Skin:
    return open_record(Skin, Record.Kind.SKIN, keeper, animal="goat")


@pytest.fixture
def weigh(skin: Skin) -> WriteAs:
    """Write a weight as this person."""

    def make(by: Person, kg: float = 2.0, **more: Any) -> Entry:
        return write(
            id=more.pop("id", uuid.uuid4()),
            record=skin,
            kind="skin.weighed",
            data={"kg": kg, "stage": "green"},
            happened_at=more.pop("happened_at", timezone.now()),
            by=by,
            **more,
        ).entry

    return make


def upload(data: bytes, name: str = "photo.jpg", kind: str = "image/jpeg") -> SimpleUploadedFile:
    """``data`` as a browser sends it."""
    return SimpleUploadedFile(name, data, kind)


def encoded(picture: Image.Image, form: str = "JPEG", **more: Any) -> bytes:
    """``picture`` as the bytes of a file."""
    out = io.BytesIO()
    picture.save(out, form, **more)
    return out.getvalue()
