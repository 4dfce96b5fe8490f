"""The calendar: an iCalendar object that any program can subscribe to."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone
from icalendar import Calendar

from tanwright.yard.journal.models import Record
from tanwright.yard.journal.services import open_record, refresh, withdraw_record
from tanwright.yard.leather.models import Leather
from tanwright.yard.people.services import new_calendar_address
from tanwright.yard.skins.models import Skin
from tanwright.yard.tannage.models import Tannage


def fetched(client_of: Any, person: Any, **headers: str) -> Any:
    """The feed as a calendar program gets it: nobody is signed in."""
    url = reverse("today:feed", args=[person.calendar_token])
    return client_of(None).get(url, headers=headers)


def events(response: Any) -> list[Any]:
    assert response.status_code == 200
    return Calendar.from_ical(response.content).walk("VEVENT")


def test_it_is_an_icalendar_object_by_the_rules(client_of: Any, keeper: Any, vat: Any) -> None:
    vat(1, "Ziegenfell in Eichenlohe, grüne Kufe; sehr langer Name")
    vat(4, "狐の皮、二枚。" * 6, finish_likely=timezone.localdate() + timedelta(days=30))
    response = fetched(client_of, keeper)
    assert response["Content-Type"] == "text/calendar; charset=utf-8"
    body: bytes = response.content
    assert body.endswith(b"END:VCALENDAR\r\n")
    assert body.count(b"\n") == body.count(b"\r\n")
    for line in body.split(b"\r\n"):
        assert len(line) <= 75, "RFC 5545, 3.1: lines of at most 75 octets"
        line.decode()  # folding must not cut a letter in two
    calendar = Calendar.from_ical(body)
    assert calendar["VERSION"] == "2.0"
    assert calendar["PRODID"]
    for event in calendar.walk("VEVENT"):
        for name in ("UID", "DTSTAMP", "DTSTART", "SUMMARY", "DESCRIPTION", "LAST-MODIFIED",
                     "SEQUENCE", "URL"):  # fmt: skip
            assert name in event, name
        assert event["DTSTAMP"].dt.utcoffset() == timedelta(0)
        assert not event.errors
    assert len({str(event["UID"]) for event in calendar.walk("VEVENT")}) == 3


def test_summary_reason_and_way_survive_the_trip(client_of: Any, keeper: Any, vat: Any) -> None:
    tannage = vat(1, "Fell; grün, \\ 2")
    (event,) = events(fetched(client_of, keeper))
    assert str(event["SUMMARY"]) == "Fell; grün, \\ 2: Strengthen with 5 L of liquor"
    assert str(event["URL"]) == f"http://testserver{tannage.get_absolute_url()}"
    assert str(event["URL"]) in str(event["DESCRIPTION"])
    assert event["DTSTART"].dt == timezone.localdate() + timedelta(days=1)


def test_a_person_with_us_units_reads_them(client_of: Any, helper: Any, vat: Any) -> None:
    helper.system = "us"
    helper.save()
    vat(1)
    (event,) = events(fetched(client_of, helper))
    assert "1.3 gal of liquor" in str(event["SUMMARY"])


def test_a_plan_that_moves_moves_the_same_event(client_of: Any, keeper: Any, vat: Any) -> None:
    tannage = vat(2)
    (before,) = events(fetched(client_of, keeper))
    Tannage.objects.filter(pk=tannage.pk).update(
        next_on=timezone.localdate() + timedelta(days=5), next_headline="Look at a cut"
    )
    refresh_kept(tannage)
    (after,) = events(fetched(client_of, keeper))
    assert after["UID"] == before["UID"]
    assert after["DTSTART"].dt == before["DTSTART"].dt + timedelta(days=3)
    assert int(after["SEQUENCE"]) > int(before["SEQUENCE"])
    assert "Look at a cut" in str(after["SUMMARY"])


def refresh_kept(tannage: Tannage) -> None:
    """As an entry would: count a change; the columns that the test set stay."""
    kept = Tannage.objects.values("state", "next_on", "next_headline", "last_logged_at")
    columns = kept.get(pk=tannage.pk)
    refresh([tannage.pk])
    Tannage.objects.filter(pk=tannage.pk).update(**columns)


def test_what_is_done_goes(client_of: Any, keeper: Any, vat: Any) -> None:
    ended, withdrawn = vat(1, "One"), vat(1, "Two")
    assert len(events(fetched(client_of, keeper))) == 2
    Tannage.objects.filter(pk=ended.pk).update(state=Tannage.State.ENDED)
    withdraw_record(withdrawn, keeper)
    assert events(fetched(client_of, keeper)) == []


def test_what_is_late_stands_on_today(client_of: Any, keeper: Any, vat: Any) -> None:
    vat(-9)
    (event,) = events(fetched(client_of, keeper))
    assert event["DTSTART"].dt == timezone.localdate()
    assert isinstance(event["DTSTART"].dt, date)


def test_a_bath_or_a_drying_has_an_hour_and_an_alarm(client_of: Any, keeper: Any, vat: Any) -> None:
    tannage = vat(60)
    skin = open_record(Skin, Record.Kind.SKIN, keeper, animal="goat")
    leather = open_record(Leather, Record.Kind.LEATHER, keeper, tannage=tannage, skin=skin)
    begun = timezone.now()
    Leather.objects.filter(pk=leather.pk).update(step="dry", step_since=begun)
    found = events(fetched(client_of, keeper))
    event = next(part for part in found if "look at it (dry slowly)" in str(part["SUMMARY"]))
    start = event["DTSTART"].dt
    assert isinstance(start, datetime)
    assert timedelta(days=4) < start - begun < timedelta(days=6)
    assert [alarm["ACTION"] for alarm in event.walk("VALARM")] == ["DISPLAY"]


def test_it_says_when_a_vat_is_likely_leather(client_of: Any, keeper: Any, vat: Any) -> None:
    likely = timezone.localdate() + timedelta(days=40)
    vat(1, finish_from=likely - timedelta(days=9), finish_likely=likely, finish_to=None)
    found = events(fetched(client_of, keeper))
    (event,) = [part for part in found if part["DTSTART"].dt == likely]
    assert "most likely leather" in str(event["SUMMARY"])
    assert "it may take far longer" in str(event["DESCRIPTION"])


def test_unchanged_it_is_not_sent_again(client_of: Any, keeper: Any, vat: Any) -> None:
    vat(1)
    first = fetched(client_of, keeper)
    assert first["Last-Modified"]
    again = fetched(client_of, keeper, if_none_match=first["ETag"])
    assert (again.status_code, again.content) == (304, b"")
    vat(2)
    assert fetched(client_of, keeper, if_none_match=first["ETag"]).status_code == 200


def test_a_new_address_closes_the_old_one(client_of: Any, keeper: Any, vat: Any) -> None:
    old = reverse("today:feed", args=[keeper.calendar_token])
    new_calendar_address(keeper)
    assert client_of(None).get(old).status_code == 404
    assert fetched(client_of, keeper).status_code == 200


def test_a_person_who_left_reads_no_more(client_of: Any, helper: Any) -> None:
    helper.is_active = False
    helper.save()
    assert fetched(client_of, helper).status_code == 404


@pytest.mark.parametrize("token", ["0f6b2f0e-7c1a-4a53-9d55-3f0a5a0c9a11", "x", "../../etc/passwd"])
def test_a_guessed_address_is_not_found(client_of: Any, token: str, keeper: Any) -> None:
    assert client_of(None).get(f"/calendar/{token}.ics").status_code == 404


def test_an_empty_yard_gives_an_empty_calendar(client_of: Any, keeper: Any) -> None:
    assert events(fetched(client_of, keeper)) == []


def test_nothing_can_be_sent_to_it(client_of: Any, keeper: Any) -> None:
    url = reverse("today:feed", args=[keeper.calendar_token])
    assert client_of(None).post(url).status_code == 405


def test_the_page_tells_the_address_and_offers_the_file(
    client_of: Any, helper: Any, vat: Any
) -> None:
    vat(1)
    client = client_of(helper)
    page = client.get(reverse("today:calendar")).content.decode()
    assert f"http://testserver/calendar/{helper.calendar_token}.ics" in page
    file = client.get(reverse("today:download"))
    assert file["Content-Disposition"] == 'attachment; filename="yard.ics"'
    assert len(events(file)) == 1


def test_a_stranger_gets_neither_page_nor_file(
    client_of: Any, keeper: Any, on_network: None
) -> None:
    for name in ("today:calendar", "today:download"):
        response = client_of(None).get(reverse(name), secure=True)
        assert response.status_code == 302


def test_the_yards_own_address_is_told_when_it_has_one(
    client_of: Any, keeper: Any, vat: Any, settings: Any
) -> None:
    settings.ADDRESS = "https://yard.local:8000"
    vat(1)
    (event,) = events(fetched(client_of, keeper))
    assert str(event["URL"]).startswith("https://yard.local:8000/tannages/")


def test_it_takes_few_queries(
    client_of: Any, keeper: Any, vat: Any, django_assert_max_num_queries: Any
) -> None:
    for number in range(40):
        vat(number)
    with django_assert_max_num_queries(18):
        assert len(events(fetched(client_of, keeper))) == 40
