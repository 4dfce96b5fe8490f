"""Photos: opened with care, turned upright, made smaller, and rid of place and camera data."""

from __future__ import annotations

import hashlib
import io
import struct
import warnings
import zlib
from typing import Any, Final

from django import forms
from django.conf import settings
from django.core.files.base import ContentFile
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from PIL import Image, ImageOps, UnidentifiedImageError

from tanwright.errors import InputError
from tanwright.yard.journal.models import Entry, Photo

LONG_SIDE_PX: Final = 2048
THUMBNAIL_PX: Final = 320
MOST_PIXELS: Final = 80_000_000
"""Larger than any phone's camera; what claims more is made to fill the memory."""
FORMATS: Final = ("JPEG", "PNG", "WEBP", "GIF", "TIFF")

_UNREADABLE: Final = (
    UnidentifiedImageError, OSError, EOFError, SyntaxError, ValueError, TypeError, LookupError,
    ArithmeticError, struct.error, zlib.error,
)  # fmt: skip
"""What Pillow's readers raise on files that are broken, on purpose or not."""


class PhotoField(forms.FileField):
    """A photo from the camera or the gallery; checked and opened when the form is."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("label", "Photo")
        kwargs.setdefault("required", False)
        kwargs.setdefault(
            "widget",
            forms.ClearableFileInput(attrs={"accept": "image/*", "capture": "environment"}),
        )
        super().__init__(**kwargs)

    def clean(self, data: Any, initial: Any = None) -> Any:
        upload = super().clean(data, initial)
        if not upload:
            return None
        try:
            return opened(upload)
        except InputError as error:
            raise forms.ValidationError(f"{error.what}; {error.remedy}") from None


def opened(upload: UploadedFile) -> Image.Image:
    """The picture in ``upload``, upright and in RGB. Its name and declared type are not believed.

    Raises
    ------
    InputError
        For a file that is too large, no picture, or one that unpacks to far too much.
    """
    if (upload.size or 0) > settings.MOST_PHOTO_BYTES:
        raise InputError(
            f"the photo is larger than {settings.MOST_PHOTO_BYTES // 1_000_000} MB",
            place="photo",
            remedy="take it again with a smaller size",
        )
    try:
        with warnings.catch_warnings():
            # Broken camera data is no reason to refuse the pixels; it is thrown away anyway.
            warnings.simplefilter("ignore")
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            picture: Image.Image = Image.open(upload, formats=FORMATS)
            if picture.width * picture.height > MOST_PIXELS:
                raise InputError(
                    "the photo has more pixels than a camera makes",
                    place="photo",
                    remedy="choose another one",
                )
            picture.draft("RGB", (LONG_SIDE_PX, LONG_SIDE_PX))
            picture.load()
            return ImageOps.exif_transpose(picture).convert("RGB")
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise InputError(
            "the photo has more pixels than a camera makes",
            place="photo",
            remedy="choose another one",
        ) from None
    except _UNREADABLE:
        raise InputError(
            "this is not a photo that can be read",
            place="photo",
            remedy="send a JPEG, PNG or WebP picture",
        ) from None


@transaction.atomic
def add_photo(entry: Entry, picture: Image.Image, caption: str = "") -> Photo:
    """Keep ``picture`` (from :func:`opened`) with ``entry``; the same one twice is kept once."""
    full, small = picture.copy(), picture.copy()
    full.thumbnail((LONG_SIDE_PX, LONG_SIDE_PX))
    small.thumbnail((THUMBNAIL_PX, THUMBNAIL_PX))
    data = _encoded(full, 85)
    digest = hashlib.sha256(data).hexdigest()
    known = Photo.objects.filter(entry=entry, sha256=digest).first()
    if known is not None:
        return known
    photo = Photo(
        entry=entry,
        record_id=entry.record_id,
        width=full.width,
        height=full.height,
        sha256=digest,
        caption=caption.strip()[:200],
    )
    photo.file.save(f"{photo.pk}.jpg", ContentFile(data), save=False)
    photo.thumbnail.save(f"{photo.pk}-small.jpg", ContentFile(_encoded(small, 75)), save=False)
    photo.save(force_insert=True)
    return photo


def _encoded(picture: Image.Image, quality: int) -> bytes:
    """As JPEG with nothing beside the pixels: no place, no camera, no time."""
    bare = Image.new("RGB", picture.size)
    bare.paste(picture)
    out = io.BytesIO()
    bare.save(out, "JPEG", quality=quality, optimize=True)
    return out.getvalue()
