"""The demo: once, only into an empty yard, marked as invented; and the big yard."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from tanwright.errors import InputError
from tanwright.yard.exchange import big_yard, demo
from tanwright.yard.journal.models import Entry, Record
from tanwright.yard.people.models import Person
from tanwright.yard.skins.models import Skin
from tanwright.yard.stock.services import new_lot
from tanwright.yard.tannage.models import Forecast, Tannage

pytestmark = pytest.mark.django_db


def test_it_holds_every_kind_of_record_and_is_marked_as_demo(keeper: Person) -> None:
    done = demo.load(keeper)
    assert done.new
    assert set(Record.objects.values_list("kind", flat=True)) == set(Record.Kind.values)
    for record in Record.objects.all():
        assert record.name.endswith(" (demo)"), record.title
    assert len(set(Skin.objects.values_list("stage", flat=True))) >= 4
    assert set(Tannage.objects.values_list("state", flat=True)) == {"running", "ended"}
    assert Entry.objects.filter(happened_at__gt=timezone.now()).count() == 0
    lately = timezone.now() - timedelta(days=4)
    assert Entry.objects.filter(kind="tannage.strength", happened_at__gt=lately).exists()


def test_loading_it_again_changes_nothing(keeper: Person) -> None:
    first = demo.load(keeper)
    entries = Entry.objects.count()
    again = demo.load(keeper)
    assert not again.new
    assert (again.records, Entry.objects.count()) == (first.records, entries)


def test_it_stays_out_of_a_yard_with_records(
    keeper: Person, client_of: Callable[[Person | None], Client], on_network: None
) -> None:
    new_lot(keeper, "quercus-robur-bark", kg=1.0)
    with pytest.raises(InputError, match="only into an empty yard"):
        demo.load(keeper)
    page = client_of(keeper).post("/keeping/demo/", follow=True).content.decode()
    assert "only into an empty yard" in page
    assert Record.objects.count() == 1


def test_a_keeper_loads_it_from_the_page_which_then_says_how_to_start_ones_own(
    keeper: Person, client_of: Callable[[Person | None], Client], on_network: None
) -> None:
    client = client_of(keeper)
    assert "Load the demo yard" in client.get("/keeping/").content.decode()
    assert client.post("/keeping/demo/").status_code == 302
    assert "start your own" in client.get("/keeping/").content.decode()


def test_the_big_yard_has_what_was_asked_for_and_the_engines_answers(settings: Any) -> None:
    made = big_yard.fill(big_yard.Size(skins=12, tannages=10, readings=103), seed=3)
    assert (made["skins"], made["tannages"], made["readings"]) == (12, 10, 103)
    assert Entry.objects.filter(kind__startswith="tannage.").count() == 103
    assert Tannage.objects.exclude(next_headline="").count() == 10
    assert Forecast.objects.filter(problem__isnull=True).count() == 10
    twins = Tannage.objects.filter(number__in=(1, 6)).values_list("finish_likely", flat=True)
    assert len(set(twins)) == 1


def test_the_big_yard_stays_out_of_a_yard_with_records(keeper: Person) -> None:
    new_lot(keeper, "quercus-robur-bark", kg=1.0)
    with pytest.raises(InputError, match="not empty"):
        big_yard.fill(big_yard.Size(skins=1, tannages=1, readings=1))
