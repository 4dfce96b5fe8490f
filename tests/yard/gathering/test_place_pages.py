"""Every page and every action of places, by keeper, helper and stranger."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from tanwright.yard.gathering import services
from tanwright.yard.gathering.actions import ACTIONS
from tanwright.yard.gathering.models import Place
from tanwright.yard.journal.models import Entry
from tanwright.yard.people.models import Person
from tanwright.yard.plants.models import HomePlace
from tanwright.yard.stock.models import Lot

OAK = "quercus-robur-bark"
ClientOf = Callable[[Person | None], Client]
Sent = Callable[..., dict[str, Any]]

pytestmark = pytest.mark.django_db


def page(client: Client, place: Place) -> str:
    answer = client.get(place.get_absolute_url())
    assert answer.status_code == 200
    return answer.content.decode()


def test_an_empty_list_teaches(client_of: ClientOf, keeper: Person, helper: Person) -> None:
    shown = client_of(keeper).get(reverse("gathering:places")).content.decode()
    assert "No place yet" in shown
    assert reverse("gathering:new") in shown
    shown = client_of(helper).get(reverse("gathering:places")).content.decode()
    assert reverse("gathering:new") not in shown


@pytest.mark.usefixtures("on_network")
def test_a_stranger_sees_nothing(client_of: ClientOf, windfall: Place) -> None:
    before = Entry.objects.count()
    for url in (
        reverse("gathering:places"),
        reverse("gathering:calendar"),
        reverse("gathering:new"),
        windfall.get_absolute_url(),
        reverse("gathering:change", args=[windfall.pk]),
        reverse("gathering:take-in", args=[windfall.pk, uuid.uuid4()]),
        *(reverse("gathering:log", args=[windfall.pk, what]) for what in ACTIONS),
    ):
        for answer in (client_of(None).get(url), client_of(None).post(url, {"kg": "1"})):
            assert answer.status_code == 302
            assert reverse("people:sign-in") in answer["Location"]
    assert Entry.objects.count() == before


def test_a_keeper_adds_a_place(client_of: ClientOf, keeper: Person, sent: Sent) -> None:
    client = client_of(keeper)
    fallen = timezone.localdate() - timedelta(days=30)
    data = sent(
        what="windfall", plant="English oak bark", plant_2="paper birch", whose="the forest office",
        position="geo:51.2,9.4;u=30", permission="given", by_role="the forester",
        ended_on=str(fallen), note="below the path",
    )  # fmt: skip
    answer = client.post(reverse("gathering:new"), data)
    place = Place.objects.get()
    assert answer["Location"] == place.get_absolute_url()
    assert (place.latitude, place.longitude, place.ended_on) == (51.2, 9.4, fallen)
    assert place.plant_ids[0] == OAK
    assert len(place.plant_ids) == 2
    shown = page(client, place)
    assert 'href="geo:51.2,9.4"' in shown
    assert "Leave was given by the forester" in shown
    assert "below the path" in shown
    assert "windthrow" in shown
    assert client.post(reverse("gathering:new"), data).status_code == 302
    assert Place.objects.count() == 1


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"position": "behind the barn"}, "is no position"),
        ({"position": "95, 9"}, "not on the earth"),
        ({"plant": "moon bark"}, "moon bark"),
        ({"what": "castle"}, "castle"),
        ({"ended_on": "2999-01-01"}, "cannot be the day it fell"),
        ({"stools": "-3"}, "1"),
        ({"area_m2": "3 kg"}, "kg"),
        ({"name": "x" * 81}, "80"),
        ({"happened_at": "yesterday"}, ""),
        ({"until": "soon"}, ""),
    ],
)
def test_what_cannot_be_is_said_and_kept_in_the_box(
    client_of: ClientOf, keeper: Person, sent: Sent, wrong: dict[str, str], says: str
) -> None:
    data = sent(**{"what": "windfall", "permission": "not-asked", **wrong})
    answer = client_of(keeper).post(reverse("gathering:new"), data)
    assert answer.status_code == 200
    shown = answer.content.decode()
    assert "error-summary" in shown
    assert says in shown
    assert not Place.objects.exists()


def test_missing_leave_is_loud_on_page_and_forms(client_of: ClientOf, keeper: Person) -> None:
    place = services.open_place(keeper, "standing-dead", plants=OAK)
    client = client_of(keeper)
    assert "Nobody has asked for leave yet" in page(client, place)
    for what in ("gathered", "trunks"):
        shown = client.get(reverse("gathering:log", args=[place.pk, what])).content.decode()
        assert "Nobody has asked for leave yet" in shown
        assert 'class="caution"' in shown
    row = client.get(reverse("gathering:places")).content.decode()
    assert "ask for leave" in row


def test_trunks_are_measured_in_a_form(client_of: ClientOf, helper: Person, windfall: Place,
                                       sent: Sent) -> None:  # fmt: skip
    client = client_of(helper)
    url = reverse("gathering:log", args=[windfall.pk, "trunks"])
    data = sent(
        material_id="English oak bark", diameter_cm_0="32", length_m_0="4", count_0="3",
        diameter_cm_1="20 cm", length_m_1="250 cm",
    )  # fmt: skip
    assert client.post(url, data)["Location"] == windfall.get_absolute_url()
    entry = windfall.entries.get(kind="place.trunks")
    assert entry.data["trunks"] == [
        {"count": 3, "diameter_cm": 32.0, "length_m": 4.0},
        {"count": 1, "diameter_cm": 20.0, "length_m": 2.5},
    ]
    shown = page(client, windfall)
    assert "of dry bark" in shown
    assert "which tans about" in shown
    assert "3 of 32 cm across, 4 m long" in shown
    corrected = client.get(reverse("journal:correct", args=[entry.pk])).content.decode()
    assert 'value="32"' in corrected
    answer = client.post(
        reverse("journal:correct", args=[entry.pk]),
        sent(material_id="English oak bark", diameter_cm_0="16", length_m_0="4"),
    )
    assert answer.status_code == 302
    now = windfall.entries.get(kind="place.trunks", standing="live")
    assert now.data["bark_kg"][1] < 0.5 * entry.data["bark_kg"][1]


@pytest.mark.parametrize(
    "wrong",
    [
        {"diameter_cm_0": ""},
        {"diameter_cm_0": "thick"},
        {"diameter_cm_0": "32", "length_m_1": "4"},
        {"diameter_cm_0": "5", "length_m_0": "2", "bark_mm_0": "40"},
        {"diameter_cm_0": "390"},
        {"diameter_cm_0": "32", "material_id": "galls"},
        {"diameter_cm_0": "32", "count_0": "many"},
    ],
)
def test_trunks_that_cannot_be_measured_are_said(
    client_of: ClientOf, keeper: Person, windfall: Place, sent: Sent, wrong: dict[str, str]
) -> None:
    url = reverse("gathering:log", args=[windfall.pk, "trunks"])
    data = sent(**{"material_id": "English oak bark", **wrong})
    answer = client_of(keeper).post(url, data)
    assert answer.status_code == 200
    assert "error-summary" in answer.content.decode()
    assert not windfall.entries.filter(kind="place.trunks").exists()


def test_a_reader_of_us_units_reads_and_writes_them(
    client_of: ClientOf, keeper: Person, windfall: Place, sent: Sent
) -> None:
    keeper.system = "us"
    keeper.save()
    client = client_of(keeper)
    url = reverse("gathering:log", args=[windfall.pk, "trunks"])
    client.post(url, sent(material_id="English oak bark", diameter_cm_0="12", length_m_0="10"))
    (trunk,) = windfall.entries.get(kind="place.trunks").data["trunks"]
    assert trunk["diameter_cm"] == pytest.approx(30.48)
    assert trunk["length_m"] == pytest.approx(3.048)
    shown = page(client, windfall)
    assert "12 in across, 10 ft long" in shown
    assert " lb" in shown


def test_gathered_becomes_a_lot(client_of: ClientOf, keeper: Person, windfall: Place,
                                sent: Sent) -> None:  # fmt: skip
    client = client_of(keeper)
    services.log(windfall, "rained", {"rain": "days"}, keeper)
    url = reverse("gathering:log", args=[windfall.pk, "gathered"])
    assert 'value="yes" selected' in client.get(url).content.decode()
    data = sent(material_id=OAK, kg="9", state="fresh", into="new", where="loft", rained_on="yes")
    assert client.post(url, data).status_code == 302
    assert client.post(url, data).status_code == 302
    lot = Lot.objects.get()
    assert (lot.left_kg, lot.history) == (9.0, {"rained_on": True})
    assert lot.get_absolute_url() in page(client, windfall)
    shown = client.get(lot.get_absolute_url()).content.decode()
    assert windfall.get_absolute_url() in shown
    more = sent(material_id=OAK, kg="2", state="fresh", into=str(lot.pk))
    assert client.post(url, more).status_code == 302
    lot.refresh_from_db()
    assert lot.left_kg == 11.0


def test_a_helper_gathers_into_lots_or_leaves_it_waiting(
    client_of: ClientOf, helper: Person, keeper: Person, windfall: Place, sent: Sent
) -> None:
    client = client_of(helper)
    url = reverse("gathering:log", args=[windfall.pk, "gathered"])
    assert 'value="new"' not in client.get(url).content.decode()
    refused = client.post(url, sent(material_id=OAK, kg="9", state="fresh", into="new"))
    assert refused.status_code == 200
    assert client.post(url, sent(material_id=OAK, kg="9", state="fresh", into="later"))
    assert "A keeper takes it into stock" in page(client, windfall)
    entry = windfall.entries.get(kind="place.gathered")
    take_in = reverse("gathering:take-in", args=[windfall.pk, entry.pk])
    assert client.post(take_in).status_code == 403
    assert take_in in page(client_of(keeper), windfall)
    answer = client_of(keeper).post(take_in)
    lot = Lot.objects.get()
    assert answer["Location"] == lot.get_absolute_url()
    assert "Not in stock yet" not in page(client_of(keeper), windfall)


def test_a_helper_may_log_and_not_change(
    client_of: ClientOf, helper: Person, windfall: Place, sent: Sent
) -> None:
    client = client_of(helper)
    for what in ("visited", "rained", "note"):
        url = reverse("gathering:log", args=[windfall.pk, what])
        assert client.get(url).status_code == 200
        assert client.post(url, sent(rain="days", note="seen")).status_code == 302
    for url in (
        reverse("gathering:new"),
        reverse("gathering:change", args=[windfall.pk]),
        reverse("gathering:log", args=[windfall.pk, "permission"]),
    ):
        assert client.get(url).status_code == 403
        assert client.post(url, sent(permission="given", what="mill")).status_code == 403


def test_the_list_is_sifted(client_of: ClientOf, keeper: Person, windfall: Place) -> None:
    mill = services.open_place(keeper, "mill", name="upper mill", plants="picea-abies-bark")
    gone = services.open_place(keeper, "other", name="old heap", plants=OAK)
    services.log(gone, "gone", {}, keeper)
    client = client_of(keeper)

    def names(**asked: str) -> set[str]:
        shown = client.get(reverse("gathering:places"), asked).content.decode()
        return {one.name for one in (windfall, mill, gone) if f">{one.name}<" in shown}

    assert names() == {windfall.name, mill.name}
    assert names(show="all") == {windfall.name, mill.name, gone.name}
    assert names(what="mill") == {mill.name}
    assert names(plant=OAK) == {windfall.name}
    assert names(plant="robur-bark") == set()
    assert names(q="spruce") == {mill.name}
    assert names(q="forest office") == {windfall.name}
    assert names(q="\x00(", what="'", plant="|.*") == set()


def test_a_place_that_is_not_there_or_an_action_that_is_not(
    client_of: ClientOf, keeper: Person, windfall: Place
) -> None:
    client = client_of(keeper)
    assert client.get(reverse("gathering:place", args=[uuid.uuid4()])).status_code == 404
    assert client.get(reverse("gathering:log", args=[windfall.pk, "dance"])).status_code == 404
    url = reverse("gathering:take-in", args=[windfall.pk, uuid.uuid4()])
    assert client.post(url).status_code == 404
    assert client.get(url).status_code == 405


def test_facts_are_changed_on_a_page(client_of: ClientOf, keeper: Person, windfall: Place) -> None:
    client = client_of(keeper)
    url = reverse("gathering:change", args=[windfall.pk])
    shown = client.get(url).content.decode()
    assert 'value="51.2, 9.4"' in shown
    answer = client.post(url, {"what": "other", "plant": "paper birch", "position": ""})
    assert answer.status_code == 302
    windfall.refresh_from_db()
    assert (windfall.what, windfall.latitude, windfall.name) == ("other", None, "")


def test_it_tells_how_far_a_place_is(client_of: ClientOf, keeper: Person, windfall: Place) -> None:
    """A tenth of a degree of latitude is 11.1 km (the nautical mile was made as a minute)."""
    client = client_of(keeper)
    assert "as the crow flies" not in page(client, windfall)
    HomePlace.objects.create(latitude=51.1, longitude=9.4, by=keeper)
    assert "11 km away" in page(client, windfall)
    assert "11 km away" in client.get(reverse("gathering:places")).content.decode()
    keeper.system = "us"
    keeper.save()
    assert "6.9 miles away" in page(client, windfall)


def test_queries_do_not_grow_with_the_list(
    client_of: ClientOf,
    keeper: Person,
    windfall: Place,
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    client = client_of(keeper)
    for _ in range(6):
        services.open_place(keeper, "mill", plants=OAK)
    with django_assert_max_num_queries(9):
        client.get(reverse("gathering:places"))
    for _ in range(6):
        services.gather(windfall, keeper, OAK, kg=1.0, as_lot=True)
    with django_assert_max_num_queries(16):
        client.get(windfall.get_absolute_url())


def test_a_windfall_is_not_cut_like_a_stand(
    client_of: ClientOf, keeper: Person, windfall: Place
) -> None:
    client = client_of(keeper)
    assert client.get(reverse("gathering:log", args=[windfall.pk, "cut"])).status_code == 404
    assert client.get(reverse("gathering:log", args=[windfall.pk, "trunks"])).status_code == 200


def test_no_trunk_is_half_bark(
    client_of: ClientOf, keeper: Person, windfall: Place, sent: Sent
) -> None:
    url = reverse("gathering:log", args=[windfall.pk, "trunks"])
    data = sent(material_id=OAK, diameter_cm_0="40", bark_mm_0="140")
    assert "No trunk is half bark" in client_of(keeper).post(url, data).content.decode()


def test_a_share_with_a_comma_is_kept(client_of: ClientOf, keeper: Person, sent: Sent) -> None:
    stand = services.open_place(keeper, "coppice", plants=OAK, permission="given")
    url = reverse("gathering:log", args=[stand.pk, "cut"])
    client = client_of(keeper)
    assert "Write a number from 0.1 to 100." in (
        client.post(url, sent(share_pct="100,5")).content.decode()
    )
    client.post(url, sent(share_pct="12,5"))
    assert Entry.objects.get(record=stand, kind="place.cut").data["share_pct"] == 12.5
