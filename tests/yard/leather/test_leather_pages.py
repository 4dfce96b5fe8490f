"""The list and the page of a leather: who sees what, and how many queries it takes."""

from __future__ import annotations

import io
import uuid
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from tanwright.yard.journal.models import Entry, Photo, Record
from tanwright.yard.journal.services import open_record
from tanwright.yard.leather.models import Leather
from tanwright.yard.skins.models import Skin

LIST = reverse("leather:leathers")


@pytest.fixture
def many(keeper: Any, tannage: Any) -> None:
    for number in range(60):
        skin = open_record(Skin, Record.Kind.SKIN, keeper, animal="deer", name=f"Deer {number}")
        open_record(Leather, Record.Kind.LEATHER, keeper, tannage=tannage, skin=skin)


def test_an_empty_list_says_how_a_leather_comes_about(client_of: Any, helper: Any) -> None:
    assert "No leather yet" in client_of(helper).get(LIST).content.decode()


def test_sixty_are_shown_on_two_pages_with_few_queries(
    client_of: Any, helper: Any, many: None, django_assert_max_num_queries: Any
) -> None:
    client = client_of(helper)
    with django_assert_max_num_queries(6):
        page = client.get(LIST).content.decode()
    assert page.count('class="row"') == 50
    assert client.get(LIST, {"page": "2"}).content.decode().count('class="row"') == 10


@pytest.mark.parametrize("page", ["0", "-1", "x", "99999999999999", "1e3"])
def test_a_page_that_is_none_shows_one(client_of: Any, helper: Any, many: None, page: str) -> None:
    assert client_of(helper).get(LIST, {"page": page}).status_code == 200


@pytest.mark.parametrize(
    ("text", "count"), [("Deer 7", 1), ("leather-3", 1), ("zebra", 0), ("\x00", 50)]
)
def test_finding(client_of: Any, helper: Any, many: None, text: str, count: int) -> None:
    page = client_of(helper).get(LIST, {"q": text}).content.decode()
    assert page.count('class="row"') == count


def test_the_page_takes_few_queries_whatever_was_noted(
    client_of: Any, helper: Any, leather: Any, note: Any, django_assert_max_num_queries: Any
) -> None:
    for hour in range(40):
        note(leather, "measured", {"thickness_mm": 2.0}, hour)
        note(leather, "graded", {"test": "bend", "value": 4.0}, hour)
    note(leather, "stage_ended", {"stage": "stake", "looked": "done"}, 50)
    client = client_of(helper)
    with django_assert_max_num_queries(20):
        page = client.get(leather.get_absolute_url())
    assert page.status_code == 200
    assert len(page.content) < 150_000


def test_a_helper_sees_no_way_to_change_it(client_of: Any, helper: Any, leather: Any) -> None:
    page = client_of(helper).get(leather.get_absolute_url()).content.decode()
    change = reverse("leather:change", args=[leather.pk])
    assert change not in page
    assert client_of(helper).get(change).status_code == 403


def test_a_keeper_changes_name_and_kind_and_the_log_keeps_what_was(
    client_of: Any, keeper: Any, leather: Any
) -> None:
    client = client_of(keeper)
    url = reverse("leather:change", args=[leather.pk])
    page = client.post(url, {"name": "Strap", "aim": "firm"}, follow=True).content.decode()
    leather.refresh_from_db()
    assert (leather.name, leather.aim) == ("Strap", "firm")
    assert "not said → firm" in page
    assert "error-summary" in client.post(url, {"aim": "paper"}).content.decode()


def test_a_photo_and_a_note(client_of: Any, helper: Any, leather: Any) -> None:
    client, out = client_of(helper), io.BytesIO()
    Image.new("RGB", (40, 30), "brown").save(out, "PNG")
    sent = {"entry_id": str(uuid.uuid4()), "happened_at": "2026-05-21T09:00", "note": "The grain"}
    url = reverse("leather:log", args=[leather.pk, "photo"])
    client.post(url, {**sent, "photo": SimpleUploadedFile("a.png", out.getvalue())})
    assert Photo.objects.get().record_id == leather.pk
    empty = {**sent, "entry_id": str(uuid.uuid4()), "note": ""}
    note_url = reverse("leather:log", args=[leather.pk, "note"])
    assert "error-summary" in client.post(note_url, empty).content.decode()
    client.post(note_url, {**empty, "note": "<script>alert(1)</script>"})
    page = client.get(leather.get_absolute_url()).content.decode()
    assert "<script>alert(1)" not in page
    assert "&lt;script&gt;alert(1)" in page


def test_what_is_sent_twice_is_noted_once(client_of: Any, helper: Any, leather: Any) -> None:
    client = client_of(helper)
    url = reverse("leather:log", args=[leather.pk, "weighed"])
    sent = {"entry_id": str(uuid.uuid4()), "happened_at": "2026-05-21T09:00", "kg": "1",
            "state": "damp"}  # fmt: skip
    client.post(url, sent)
    client.post(url, sent)
    assert Entry.objects.filter(record=leather).count() == 1


@pytest.mark.parametrize("happened_at", ["", "yesterday", "1700-01-01T00:00", "2999-01-01T00:00"])
def test_a_time_that_cannot_be_is_told(
    client_of: Any, helper: Any, leather: Any, happened_at: str
) -> None:
    url = reverse("leather:log", args=[leather.pk, "weighed"])
    sent = {"entry_id": str(uuid.uuid4()), "happened_at": happened_at, "kg": "1", "state": "damp"}
    assert "error-summary" in client_of(helper).post(url, sent).content.decode()
    assert not Entry.objects.filter(record=leather).exists()


def test_something_else_to_note_is_not_found(client_of: Any, helper: Any, leather: Any) -> None:
    assert (
        client_of(helper).get(reverse("leather:log", args=[leather.pk, "burn"])).status_code == 404
    )
