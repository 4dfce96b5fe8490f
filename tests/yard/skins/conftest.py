"""A skin to work with, and forms as a browser sends them."""

from __future__ import annotations

import io
import uuid
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from PIL import Image

from tanwright.yard.people.models import Person
from tanwright.yard.skins import services
from tanwright.yard.skins.models import Skin


@pytest.fixture
def skin(keeper: Person) -> Skin:
    """A salted goat skin of 3 kg."""
    return services.new_skin(keeper, "goat", keeping="salted", weight_kg=3.0, place="salt tub")


def sent(**fields: Any) -> dict[str, Any]:
    """A form as a browser sends it."""
    now = timezone.localtime().strftime("%Y-%m-%dT%H:%M")
    return {"entry_id": str(uuid.uuid4()), "happened_at": now, **fields}


def a_photo() -> SimpleUploadedFile:
    """A small JPEG as a phone sends it."""
    out = io.BytesIO()
    Image.new("RGB", (40, 30), (90, 60, 30)).save(out, "JPEG")
    return SimpleUploadedFile("photo.jpg", out.getvalue(), "image/jpeg")
