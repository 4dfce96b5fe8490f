"""A full or read-only disk: told in words, nothing broken, and it goes on once there is room."""

from __future__ import annotations

import errno
import uuid
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.db import OperationalError, connection
from django.http import HttpRequest, HttpResponse
from django.test import Client, RequestFactory

from tanwright.yard.exchange.disk import BUSY, FULL, GONE, READ_ONLY, DiskTrouble, failed, told_of
from tanwright.yard.journal.models import Entry
from tanwright.yard.people.models import Person
from tanwright.yard.stock.models import Lot
from tanwright.yard.stock.services import new_lot

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def lot(keeper: Person) -> Lot:
    return new_lot(keeper, "quercus-robur-bark", kg=5.0)


@pytest.fixture
def phone(keeper: Person, client_of: Callable[[Person | None], Client]) -> Client:
    client = client_of(keeper)
    client.raise_request_exception = False
    return client


def pragma(statement: str) -> int:
    """Set something of SQLite; what it is then."""
    with connection.cursor() as cursor:
        row = cursor.execute(f"PRAGMA {statement}").fetchone()
        return int(row[0]) if row else 0


def note(client: Client, lot: Lot, text: str) -> Any:
    form = {"entry_id": str(uuid.uuid4()), "happened_at": "2026-01-05T10:00", "note": text}
    return client.post(f"/stock/{lot.pk}/log/note/", form)


@pytest.fixture
def no_more_pages(lot: Lot) -> Iterator[None]:
    """SQLite gets no page more than it has: what it says then is what it says on a full disk."""
    most = pragma("max_page_count")
    pragma(f"max_page_count={pragma('page_count')}")
    yield
    pragma(f"max_page_count={most}")


@pytest.fixture
def read_only(lot: Lot) -> Iterator[None]:
    """SQLite refuses to write, in the words that it has for a read-only file."""
    pragma("query_only=1")
    yield
    pragma("query_only=0")


def test_a_full_disk_is_told_and_what_was_acknowledged_stays(
    lot: Lot, phone: Client, no_more_pages: None, caplog: pytest.LogCaptureFixture
) -> None:
    for number in range(400):
        kept = Entry.objects.count()
        answer = note(phone, lot, f"{number} " + "x" * 1900)
        if answer.status_code != 302:
            break
    page = answer.content.decode()
    assert answer.status_code == 507
    assert "disk of the yard is full" in page
    assert "Free some space" in page
    assert "disk of the yard is full" in caplog.text
    assert Entry.objects.count() == kept
    with connection.cursor() as cursor:
        assert cursor.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    pragma("max_page_count=1000000")
    assert note(phone, lot, "room again").status_code == 302
    assert Entry.objects.count() == kept + 1


def test_a_read_only_disk_is_told_and_pages_can_still_be_read(
    lot: Lot, phone: Client, read_only: None
) -> None:
    before = Entry.objects.count()
    answer = note(phone, lot, "never")
    assert answer.status_code == 503
    assert "may not write to its folder" in answer.content.decode()
    assert phone.get(f"/stock/{lot.pk}/").status_code == 200
    pragma("query_only=0")
    assert note(phone, lot, "written").status_code == 302
    assert Entry.objects.count() == before + 1


@pytest.mark.parametrize(
    ("error", "trouble"),
    [
        (OperationalError("database or disk is full"), FULL),
        (OperationalError("attempt to write a readonly database"), READ_ONLY),
        (OperationalError("database is locked"), BUSY),
        (OperationalError("unable to open database file"), GONE),
        (OperationalError('could not extend file "base/1": No space left on device'), FULL),
        (OSError(errno.ENOSPC, "No space left on device"), FULL),
        (OSError(errno.EROFS, "Read-only file system"), READ_ONLY),
        (OperationalError("no such table: x"), None),
        (OSError(errno.ENOENT, "No such file"), None),
        (ValueError("another"), None),
    ],
)
def test_each_refusal_of_a_disk_has_its_words_and_nothing_else_has(
    error: Exception, trouble: object
) -> None:
    assert told_of(error) == trouble


def test_a_fault_of_ours_is_not_told_as_one_of_the_disk(keeper: Person) -> None:
    def respond(request: HttpRequest) -> HttpResponse:
        return HttpResponse()

    request = RequestFactory().get("/")
    assert DiskTrouble(respond).process_exception(request, ValueError("ours")) is None


def test_the_last_error_page_tells_a_full_disk_too(keeper: Person) -> None:
    request = RequestFactory().get("/")
    request.user = keeper
    try:
        raise OperationalError("database or disk is full")
    except OperationalError:
        answer = failed(request)
    assert answer.status_code == 507
    try:
        raise ValueError("ours")
    except ValueError:
        answer = failed(request)
    assert answer.status_code == 500
