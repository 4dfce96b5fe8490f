"""Writing is safe to repeat, nothing is lost, and a log is read with few queries."""

from __future__ import annotations

import uuid
from datetime import UTC, datetime, timedelta

import pytest
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from tanwright.errors import InputError
from tanwright.yard.journal import services
from tanwright.yard.journal.changes import change
from tanwright.yard.journal.kinds import Kind, all_kinds, declare, kind_of
from tanwright.yard.journal.models import Entry, Record
from tanwright.yard.journal.photos import add_photo, opened
from tanwright.yard.journal.queries import label_of, log_of, words_of
from tanwright.yard.people.models import Device, Person
from tanwright.yard.skins.models import Skin
from tests.yard.journal.conftest import WriteAs, encoded, upload

pytestmark = pytest.mark.django_db


def test_the_same_id_again_changes_nothing(keeper: Person, weigh: WriteAs, skin: Skin) -> None:
    id = uuid.uuid4()
    first, again = weigh(keeper, 2.0, id=id), weigh(keeper, 9.0, id=id)
    assert first == again
    skin.refresh_from_db()
    assert (skin.weight_kg, Entry.objects.count(), skin.version) == (2.0, 1, 1)


def test_an_id_of_another_record_is_refused(keeper: Person, weigh: WriteAs) -> None:
    entry = weigh(keeper)
    other = services.open_record(Skin, Record.Kind.SKIN, keeper)
    with pytest.raises(InputError, match="about something else"):
        services.write(
            id=entry.pk, record=other, kind="skin.weighed", data={}, by=keeper,
            happened_at=timezone.now(),
        )  # fmt: skip


def test_a_kind_of_another_area_is_refused(keeper: Person, skin: Skin) -> None:
    with pytest.raises(InputError, match="is not noted of a skin"):
        services.write(
            id=uuid.uuid4(), record=skin, kind="lot.note", data={}, by=keeper,
            happened_at=timezone.now(),
        )  # fmt: skip


@pytest.mark.parametrize(
    "when", [datetime(2999, 1, 1, tzinfo=UTC), datetime(1812, 6, 1, tzinfo=UTC)]
)
def test_a_time_that_cannot_be_is_refused(keeper: Person, weigh: WriteAs, when: datetime) -> None:
    with pytest.raises(InputError, match="cannot be the time"):
        weigh(keeper, happened_at=when)
    assert not Entry.objects.exists()


def test_a_phones_clock_may_be_hours_ahead(keeper: Person, weigh: WriteAs) -> None:
    assert weigh(keeper, happened_at=timezone.now() + timedelta(hours=20)).standing == "live"


def test_numbers_count_within_a_kind(keeper: Person) -> None:
    made = [services.open_record(Skin, Record.Kind.SKIN, keeper) for _ in range(3)]
    assert [record.code for record in made] == ["skin-1", "skin-2", "skin-3"]
    assert services.open_record(Skin, Record.Kind.SKIN, keeper, id=made[0].pk) == made[0]


def test_a_withdrawn_record_counts_and_comes_back(keeper: Person, skin: Skin) -> None:
    services.withdraw_record(skin, keeper, "sold")
    skin.refresh_from_db()
    services.withdraw_record(skin, keeper)
    assert (skin.withdrawn_at is not None, skin.marks.count()) == (True, 1)
    services.restore_record(skin, keeper)
    skin.refresh_from_db()
    assert (skin.withdrawn_at, skin.marks.count()) == (None, 2)


def test_a_change_keeps_before_and_after(keeper: Person, skin: Skin) -> None:
    entry = {"id": uuid.uuid4(), "happened_at": timezone.now(), "by": keeper}
    assert change(skin, fields={"origin": ""}, **entry) is None  # type: ignore[arg-type]
    written = change(skin, fields={"origin": "north", "name": ""}, **entry)  # type: ignore[arg-type]
    assert written is not None
    assert written.entry.data == {"before": {"origin": ""}, "after": {"origin": "north"}}
    assert words_of(written.entry, "metric") == "where from: not said → north"


def test_a_line_of_an_unknown_kind_still_shows(keeper: Person, skin: Skin) -> None:
    entry = Entry.objects.create(
        id=uuid.uuid4(), record=skin, kind="skin.blessed_by", happened_at=timezone.now(),
        by=keeper, data={"saint": "Crispin"},
    )  # fmt: skip
    assert (label_of(entry), words_of(entry, "metric")) == ("Blessed by", "saint: Crispin")


def test_a_kind_is_declared_once() -> None:
    known = kind_of("skin.weighed")
    declare(known)
    twin = Kind(known.name, "Other", "skin", known.clean, known.say)
    with pytest.raises(ValueError, match="declared twice"):
        declare(twin)
    assert [kind.name for kind in all_kinds()] == sorted(kind.name for kind in all_kinds())


def test_a_long_log_is_read_with_few_queries(
    keeper: Person,
    helper: Person,
    weigh: WriteAs,
    skin: Skin,
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    from PIL import Image

    device = Device.objects.create(person=helper, name="phone")
    picture = opened(upload(encoded(Image.new("RGB", (20, 20)))))
    for number in range(60):
        entry = weigh(helper, 2.0 + number / 100.0, device=device)
        if number % 10 == 0:
            add_photo(entry, picture)
            services.correct(
                entry, id=uuid.uuid4(), data=entry.data, happened_at=entry.happened_at, by=keeper
            )
    with django_assert_num_queries(3):
        page = log_of(skin, "us", 1)
        lines = [(line.words, line.by, line.device, line.instead, line.photos) for line in page]
    assert len(lines) == 50
    assert page.paginator.num_pages == 2
    assert any(instead for *_, instead, _ in lines)
    assert all("lb" in words for words, *_ in lines)
