"""The whole way of one skin through the pages: plan, start, readings, gate, out, liquor kept."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from uuid import uuid4

from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tanwright.planning.renewal import sheet_of
from tanwright.yard.journal.models import Entry, Record
from tanwright.yard.journal.services import open_record
from tanwright.yard.liquors.models import Liquor
from tanwright.yard.people.models import Person
from tanwright.yard.skins.coming import due
from tanwright.yard.skins.models import Skin
from tanwright.yard.skins.services import new_skin
from tanwright.yard.stock.models import Lot
from tanwright.yard.tannage.models import Forecast, Tannage
from tanwright.yard.tannage.services import pour_in, set_skins, start
from tanwright.yard.tannage.sheet import tables_of

from .conftest import days_ago, form_of

ClientOf = Callable[[Person | None], Client]


def test_from_nothing_to_a_kept_liquor(
    keeper: Person, client_of: Callable[[Person | None], Client]
) -> None:
    client = client_of(keeper)
    first = client.get(reverse("tannage:new"), follow=True)
    assert b"Which skins" in first.content
    assert not Tannage.objects.exists()  # a page that is only looked at opens nothing
    at = first.redirect_chain[-1][0]

    page = client.post(at, {"animal": "goat", "kg": "2.2", "count": "1"}, follow=True)
    vat = Tannage.objects.get()
    assert b"Which plants" in page.content
    page = client.post(page.request["PATH_INFO"], {"plant": "quercus-robur-bark", "kg": "6"},
                       follow=True)  # fmt: skip
    assert b"how cold" in page.content
    assert b"It could go either way" in page.content or b"in 100" in page.content
    page = client.post(page.request["PATH_INFO"],
                       {"vat": "blue tub", "vat_volume_l": "40", "temperature_c": "12"},
                       follow=True)  # fmt: skip
    page = client.post(page.request["PATH_INFO"], {"leather": "soft"}, follow=True)
    assert b"Day by day" in page.content
    vat.refresh_from_db()
    assert vat.state == Tannage.State.PLANNED
    assert vat.finish_likely is not None

    page = client.post(reverse("tannage:start", args=[vat.pk]), form_of(), follow=True)
    vat.refresh_from_db()
    assert vat.state == Tannage.State.RUNNING
    lot = vat.materials.get().lot
    assert lot is not None
    for what, said in (
        ("cook", {"lot": str(lot.pk), "kg": "3", "in_litres": "20"}),
        ("strength", {"value": "8", "scale": "bk"}),
        ("look", {"look": "coffee"}),
        ("cut", {"share": "0.25", "place": "neck"}),
        ("turned", {}),
    ):
        page = client.post(reverse("tannage:log", args=[vat.pk, what]), form_of(**said),
                           follow=True)  # fmt: skip
        assert b"Noted." in page.content, what
    lot.refresh_from_db()
    assert lot.left_kg == 3.0
    assert "cut" in page.content.decode().lower()
    assert Forecast.objects.filter(tannage=vat, what="forecast", answer__isnull=False).exists()

    gate = {"thick": "no", "raw": "no", "bend": "no"}
    page = client.post(reverse("tannage:gate", args=[vat.pk]), form_of(**gate), follow=True)
    assert Entry.objects.filter(record=vat, kind="tannage.done").count() == 1
    skin = vat.skins.get()
    page = client.post(reverse("tannage:log", args=[vat.pk, "taken_out"]),
                       form_of(skins=[str(skin.pk)]), follow=True)  # fmt: skip
    assert b"It is out of the vat" in page.content
    vat.refresh_from_db()
    assert vat.state == Tannage.State.ENDED

    page = client.post(reverse("tannage:keep-liquor", args=[vat.pk]), form_of(litres="30"),
                       follow=True)  # fmt: skip
    assert Liquor.objects.get().strength_bk == 8.0


def test_the_first_page_sent_twice_opens_one_draft(
    keeper: Person, client_of: Callable[[Person | None], Client]
) -> None:
    client = client_of(keeper)
    at = reverse("tannage:step", args=[uuid4(), "skins"])
    for _ in range(2):
        client.post(at, {"animal": "goat", "count": "1"})
    assert Tannage.objects.count() == 1


def test_a_draft_is_left_and_gone_on_with(
    keeper: Person, client_of: Callable[[Person | None], Client]
) -> None:
    client = client_of(keeper)
    at = reverse("tannage:step", args=[uuid4(), "skins"])
    client.post(at, {"animal": "deer", "count": "2"})
    vat = Tannage.objects.get()
    assert vat.get_absolute_url().encode() in client.get(reverse("tannage:tannages")).content
    assert client.get(vat.get_absolute_url()).headers["Location"] == at
    assert b"2 of deer" in client.get(at).content


def test_what_was_typed_stays_beside_the_error(
    keeper: Person, client_of: Callable[[Person | None], Client]
) -> None:
    client = client_of(keeper)
    at = reverse("tannage:step", args=[uuid4(), "skins"])
    page = client.post(at, {"animal": "goat", "kg": "two", "count": "1"})
    assert page.status_code == 200
    assert b'value="two"' in page.content
    assert b"error-summary" in page.content
    assert not Tannage.objects.exists()


def test_a_weight_no_goat_has_is_told_where_it_can_be_mended(
    keeper: Person, client_of: Callable[[Person | None], Client]
) -> None:
    client = client_of(keeper)
    at = reverse("tannage:step", args=[uuid4(), "skins"])
    page = client.post(at, {"animal": "goat", "kg": "90", "count": "1"}, follow=True)
    vat = Tannage.objects.get()
    client.post(page.request["PATH_INFO"], {"plant": "quercus-robur-bark"}, follow=True)
    page = client.get(reverse("tannage:review", args=[vat.pk]))
    assert b"The engine cannot answer" in page.content
    assert b"weight" in page.content


def test_the_skin_whose_page_offered_it_is_chosen_already(
    keeper: Person, client_of: Callable[[Person | None], Client]
) -> None:
    skin = open_record(Skin, Record.Kind.SKIN, keeper, animal="goat")
    page = client_of(keeper).get(f"{reverse('tannage:new')}?skin={skin.pk}", follow=True)
    assert f'value="{skin.pk}" id="id_skins_0" checked' in page.content.decode()
    assert client_of(keeper).get(f"{reverse('tannage:new')}?skin=x", follow=True).status_code == 200


def test_a_skin_only_thought_of_does_not_spoil(keeper: Person, client_of: ClientOf) -> None:
    url = reverse("tannage:step", args=[uuid4(), "skins"])
    page = {"animal": "goat", "kg": "2,2", "count": "1", "keeping": "frozen"}
    client_of(keeper).post(url, page)
    client_of(keeper).post(url, page)
    skin = Skin.objects.get()
    assert (skin.keeping, skin.weight_kg, skin.weighed_at_stage) == ("frozen", 2.2, "green")
    assert due(timezone.now() + timedelta(days=3)) == []


def test_a_new_pile_sent_twice_is_one(
    planned: Tannage, keeper: Person, client_of: ClientOf
) -> None:
    before = Lot.objects.count()
    url = reverse("tannage:step", args=[planned.pk, "plants"])
    for _ in range(2):
        client_of(keeper).post(url, {"plant": "English oak bark", "kg": "4"})
    assert Lot.objects.count() == before + 1


def test_a_dry_salted_weight_is_no_green_one(planned: Tannage, keeper: Person) -> None:
    """Stages of the reference: dry salted is 0.5 to 0.6 of green (from memory)."""
    skin = new_skin(keeper, "goat", keeping="dry-salted", weight_kg=1.2)
    set_skins(planned, [skin], keeper)
    sheet = sheet_of(tables_of(planned), timezone.localdate())
    assert [row.stage for row in sheet.skins] == ["dry-salted"]


def test_a_vat_without_a_noted_liquor_says_so(
    planned: Tannage, keeper: Person, client_of: ClientOf
) -> None:
    start(planned, keeper, id=uuid4(), happened_at=days_ago(20))
    url = planned.get_absolute_url()
    assert "knows of no liquor" in client_of(keeper).get(url).content.decode()
    pour_in(planned, keeper, id=uuid4(), happened_at=days_ago(20), litres=18.0, bk=8.0)
    assert "knows of no liquor" not in client_of(keeper).get(url).content.decode()


def test_a_raw_skin_is_asked_about_before_it_goes_in(
    planned: Tannage, keeper: Person, client_of: ClientOf
) -> None:
    url = reverse("tannage:start", args=[planned.pk])
    said = "By the log not ready for the vat"
    assert said in client_of(keeper).get(url).content.decode()
    planned.skins.update(step_done="last-check", stage="delimed")
    assert said not in client_of(keeper).get(url).content.decode()
