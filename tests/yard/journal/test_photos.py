"""Photos: what is taken, what is refused, and that nothing but pixels is kept."""

from __future__ import annotations

import hashlib
import io
import struct
import zipfile
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image
from PIL.ExifTags import GPS, IFD, Base

from tanwright.errors import InputError
from tanwright.yard.journal.models import Photo
from tanwright.yard.journal.photos import add_photo, opened
from tanwright.yard.people.models import Person
from tests.yard.journal.conftest import WriteAs, encoded, upload

pytestmark = pytest.mark.django_db
MAKER = "Camera of the left hand"


def from_a_phone(turn: int = 6) -> bytes:
    """A JPEG lying on its side, which says where and with what it was taken."""
    picture = Image.new("RGB", (400, 300), (40, 90, 40))
    picture.paste((250, 0, 0), (0, 0, 100, 300))
    exif = Image.Exif()
    exif[Base.Orientation] = turn
    exif[Base.Make] = MAKER
    place = exif.get_ifd(IFD.GPSInfo)
    place[GPS.GPSLatitudeRef] = "N"
    place[GPS.GPSLatitude] = (47.0, 30.0, 15.0)
    return encoded(picture, exif=exif, comment=b"in my yard")


@pytest.fixture
def kept(weigh: WriteAs, keeper: Person) -> Callable[[bytes], Photo]:
    def make(data: bytes, name: str = "photo.jpg") -> Photo:
        return add_photo(weigh(keeper), opened(upload(data, name)), "left flank")

    return make


def read_back(file: Any) -> Image.Image:
    """The picture in a kept file."""
    return Image.open(io.BytesIO(Path(file.path).read_bytes()))


def test_place_and_camera_are_gone_and_it_stands_upright(
    kept: Callable[[bytes], Photo], tmp_path: Path
) -> None:
    before = from_a_phone()
    assert Image.open(io.BytesIO(before)).getexif().get_ifd(IFD.GPSInfo)
    photo = kept(before)
    for file in (photo.file, photo.thumbnail):
        data = Path(file.path).read_bytes()
        after = Image.open(io.BytesIO(data))
        assert after.format == "JPEG"
        assert not dict(after.getexif())
        assert MAKER.encode() not in data
        assert b"in my yard" not in data
        assert b"Exif" not in data
        assert after.height > after.width
        top = after.getpixel((after.width // 2, 2))
        assert isinstance(top, tuple)
        assert top[0] > 200  # the red edge was on the left and is on top now
    assert (photo.width, photo.height) == (300, 400)
    assert photo.sha256 == hashlib.sha256(Path(photo.file.path).read_bytes()).hexdigest()
    assert Path(photo.file.path).is_relative_to(tmp_path)


def test_a_large_one_is_made_smaller(kept: Callable[[bytes], Photo]) -> None:
    photo = kept(encoded(Image.new("RGB", (5000, 1000))))
    assert max(photo.width, photo.height) == 2048
    assert max(read_back(photo.thumbnail).size) == 320


@pytest.mark.parametrize("mode", ["RGB", "RGBA", "L", "P", "LA", "1"])
def test_every_sort_of_png_is_taken(kept: Callable[[bytes], Photo], mode: str) -> None:
    photo = kept(encoded(Image.new(mode, (30, 20)), "PNG"))
    assert read_back(photo.file).mode == "RGB"


def test_a_name_is_not_believed(kept: Callable[..., Photo]) -> None:
    photo = kept(encoded(Image.new("RGB", (30, 20)), "PNG"), "../../etc/x.svg")
    assert photo.file.name.endswith(f"{photo.pk}.jpg")


def test_the_same_photo_twice_is_kept_once(weigh: WriteAs, keeper: Person) -> None:
    entry, data = weigh(keeper), from_a_phone()
    assert add_photo(entry, opened(upload(data))) == add_photo(entry, opened(upload(data)))
    assert Photo.objects.count() == 1


def a_zip() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("a.txt", "not a picture")
    return out.getvalue()


def a_bomb(width: int, height: int) -> bytes:
    """A PNG of a few bytes that claims ``width`` by ``height`` pixels."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return (
            struct.pack(">I", len(data)) + kind + data
            + struct.pack(">I", zlib.crc32(kind + data))
        )  # fmt: skip

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    rows = zlib.compress(b"\x00" * 1000)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


BAD = {
    "nothing": b"",
    "a zip": a_zip(),
    "a page": b"<!doctype html><script>alert(1)</script>",
    "a drawing": b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>',
    "heic": b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic" + b"\x7f" * 400,
    "half a photo": from_a_phone()[:600],
    "bomb": a_bomb(60_000, 60_000),
    "small bomb": a_bomb(12_000, 9_000),
    "postscript": b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\n%%EOF",
}


@pytest.mark.parametrize("data", BAD.values(), ids=BAD.keys())
def test_what_is_no_photo_is_refused_in_words(data: bytes) -> None:
    with pytest.raises(InputError) as refused:
        opened(upload(data))
    assert refused.value.place == "photo"
    assert refused.value.remedy


def test_a_page_hidden_in_a_photo_does_not_come_through(kept: Callable[[bytes], Photo]) -> None:
    hidden = b"<html><script>alert(document.cookie)</script>"
    data = encoded(Image.new("RGB", (30, 20)), comment=hidden) + hidden
    assert b"<script>" not in Path(kept(data).file.path).read_bytes()


def test_too_many_bytes_are_refused(settings: Any) -> None:
    settings.MOST_PHOTO_BYTES = 2_000_000
    with pytest.raises(InputError, match="larger than 2 MB"):
        opened(upload(b"\xff\xd8" + b"\x00" * 2_000_001))


@settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.data())
def test_a_photo_with_broken_bytes_is_read_or_refused(data: st.DataObject) -> None:
    """Bytes of the head, where orientation and sizes stand, changed at will."""
    raw = bytearray(from_a_phone())
    for _ in range(data.draw(st.integers(1, 8))):
        raw[data.draw(st.integers(0, 500))] = data.draw(st.integers(0, 255))
    try:
        picture = opened(upload(bytes(raw)))
    except InputError:
        return
    assert picture.mode == "RGB"


def test_a_photo_is_served_as_a_picture_and_nothing_else(
    kept: Callable[[bytes], Photo], client_of: Callable[[Person], Client], helper: Person
) -> None:
    photo = kept(from_a_phone())
    for name in ("photo", "thumbnail"):
        answer = client_of(helper).get(reverse(f"journal:{name}", args=[photo.pk]))
        assert answer.status_code == 200
        assert answer["Content-Type"] == "image/jpeg"
        assert answer["X-Content-Type-Options"] == "nosniff"
        assert answer["Content-Disposition"].startswith("inline")
        assert "private" in answer["Cache-Control"]
        assert answer.getvalue()[:2] == b"\xff\xd8"
    page = client_of(helper).get(reverse("journal:photo-page", args=[photo.pk])).content.decode()
    assert "left flank" in page
    assert 'alt="left flank"' in page


@pytest.mark.usefixtures("on_network")
def test_a_stranger_sees_no_photo(
    kept: Callable[[bytes], Photo], client_of: Callable[[None], Client]
) -> None:
    photo = kept(from_a_phone())
    for name in ("photo", "thumbnail", "photo-page"):
        answer = client_of(None).get(reverse(f"journal:{name}", args=[photo.pk]))
        assert answer.status_code == 302
        assert reverse("people:sign-in") in answer["Location"]


def test_a_lost_file_is_not_found(
    kept: Callable[[bytes], Photo], client_of: Callable[[Person], Client], keeper: Person
) -> None:
    photo = kept(from_a_phone())
    Path(photo.file.path).unlink()
    url = reverse("journal:photo", args=[photo.pk])
    assert client_of(keeper).get(url).status_code == 404
