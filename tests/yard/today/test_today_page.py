"""The front page: what to do now, and how a yard begins."""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from tanwright.yard.journal.models import Record
from tanwright.yard.journal.services import open_record, withdraw_record
from tanwright.yard.leather.models import Leather
from tanwright.yard.liquors.models import Liquor
from tanwright.yard.skins.models import Skin
from tanwright.yard.stock.models import Lot

URL = reverse("today:today")


def test_an_empty_yard_teaches_a_keeper_to_begin(client_of: Any, keeper: Any) -> None:
    page = client_of(keeper).get(URL).content.decode()
    assert "Three facts give a first answer" in page
    assert reverse("tannage:new") in page
    assert reverse("exchange:demo") in page


def test_a_yard_in_which_nothing_is_due_offers_the_next_tannage(
    client_of: Any, keeper: Any, helper: Any
) -> None:
    open_record(Liquor, Record.Kind.LIQUOR, keeper)
    Liquor.objects.update(state="gone")
    page = client_of(keeper).get(URL).content.decode()
    assert "Nothing has to be done today" in page
    assert reverse("tannage:new") in page
    assert reverse("tannage:new") not in client_of(helper).get(URL).content.decode()


def test_an_empty_yard_offers_a_helper_nothing_that_only_a_keeper_may(
    client_of: Any, helper: Any
) -> None:
    page = client_of(helper).get(URL).content.decode()
    assert "A keeper of the yard begins" in page
    assert reverse("tannage:new") not in page
    assert reverse("exchange:demo") not in page


def test_the_most_urgent_comes_first_with_reason_and_way(
    client_of: Any, helper: Any, vat: Any
) -> None:
    vat(3, "Deer in spruce")
    late = vat(-2, "Goat in oak")
    vat(0, "Sheep in willow")
    page = client_of(helper).get(URL).content.decode()
    first = page[page.index("next-headline") : page.index("next-do")]
    assert "Goat in oak: Strengthen with 5 L of liquor" in first
    assert "chip-late" in first
    assert late.get_absolute_url() in page
    assert page.index("Goat in oak") < page.index("Sheep in willow") < page.index("Deer in spruce")


def test_amounts_are_told_in_the_units_of_the_reader(client_of: Any, keeper: Any, vat: Any) -> None:
    keeper.system = "us"
    keeper.save()
    vat(0)
    page = client_of(keeper).get(URL).content.decode()
    assert "1.3 gal of liquor" in page
    assert "5 L" not in page


def test_a_reading_worth_taking_is_told(client_of: Any, helper: Any, vat: Any) -> None:
    best = vat(9, worth_what="A cut at the neck", worth_share=0.31)
    page = client_of(helper).get(URL).content.decode()
    assert "A cut at the neck" in page
    assert "31 %" in page
    assert best.get_absolute_url() in page
    assert "Nothing has to be done today" in page


def test_a_withdrawn_vat_asks_for_nothing(client_of: Any, keeper: Any, vat: Any) -> None:
    withdraw_record(vat(-2, "Goat in oak"), keeper)
    assert "Goat in oak" not in client_of(keeper).get(URL).content.decode()


def test_hostile_names_stay_text(client_of: Any, helper: Any, vat: Any) -> None:
    vat(0, "<img src=x onerror=alert(1)>")
    assert "<img src=x" not in client_of(helper).get(URL).content.decode()


def test_a_stranger_is_sent_to_sign_in(client_of: Any, vat: Any, on_network: None) -> None:
    vat(0, "Goat in oak")
    response = client_of(None).get(URL, secure=True)
    assert response["Location"].startswith(reverse("people:sign-in"))


@pytest.fixture
def big_yard(keeper: Any, vat: Any) -> None:
    """Thirty of everything, each with something due."""
    ago = timezone.now() - timezone.timedelta(days=40)
    for number in range(30):
        tannage = vat(number % 9 - 4, f"Vat {number}")
        skin = open_record(Skin, Record.Kind.SKIN, keeper, animal="goat")
        open_record(Leather, Record.Kind.LEATHER, keeper, tannage=tannage, skin=skin)
        open_record(Lot, Record.Kind.LOT, keeper, material_id="quercus-robur-bark")
        open_record(Liquor, Record.Kind.LIQUOR, keeper)
    Lot.objects.update(state="fresh", left_kg=5.0, state_since=ago)
    Liquor.objects.update(state="spent", spent_at=ago)


def test_a_big_yard_takes_at_most_sixteen_queries(
    client_of: Any, helper: Any, big_yard: None, django_assert_max_num_queries: Any
) -> None:
    client = client_of(helper)
    client.get(URL)
    with django_assert_max_num_queries(16):
        page = client.get(URL, {"all": "1"})
    assert page.status_code == 200
    assert "Vat 0" in page.content.decode()


def test_a_big_yard_shows_the_most_urgent_and_a_way_to_the_rest(
    client_of: Any, helper: Any, big_yard: None
) -> None:
    client = client_of(helper)
    some, whole = client.get(URL).context["day"], client.get(URL, {"all": "1"}).context["day"]
    assert len(some.things.everything) == 25
    assert some.things.everything == whole.things.everything[:25]
    assert some.more == len(whole.things.everything) - 25 > 0
    assert f"{some.more} more that can wait longer" in client.get(URL).content.decode()
    assert not whole.more
    assert "more that can wait" not in client.get(URL, {"all": "1"}).content.decode()
