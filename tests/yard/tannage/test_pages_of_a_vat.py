"""The pages of a vat: who may open and do what, in how many queries, in whose units."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from tanwright.yard.journal.models import Entry
from tanwright.yard.liquors.models import Liquor
from tanwright.yard.people.models import Person
from tanwright.yard.skins.services import new_skin
from tanwright.yard.stock.services import new_lot
from tanwright.yard.tannage import queries, services
from tanwright.yard.tannage.models import Tannage
from tanwright.yard.tannage.renewing import renew_now

from .conftest import Log, days_ago, form_of

ClientOf = Callable[[Person | None], Client]
OPEN = ("tannage", "plan", "more", "gate")
KEEPERS = ("start", "review", "change", "keep-liquor", "move-skin")


@pytest.fixture
def seen(running: Tannage, log: Log) -> Tannage:
    log(running, "strength", {"value": 8.0, "scale": "bk"}, 10)
    log(running, "cut", {"share": 0.5, "place": "neck"}, 3)
    renew_now(running.pk)
    running.refresh_from_db()
    return running


@pytest.mark.parametrize("name", OPEN)
def test_a_helper_reads_every_page_of_a_vat(
    seen: Tannage, helper: Person, client_of: ClientOf, name: str
) -> None:
    page = client_of(helper).get(reverse(f"tannage:{name}", args=[seen.pk]))
    assert page.status_code == 200
    assert page.content.count(b"<h1") == 1
    assert len(page.content) < 150_000


@pytest.mark.parametrize("name", KEEPERS)
def test_what_changes_plans_is_for_keepers(
    seen: Tannage, keeper: Person, helper: Person, client_of: ClientOf, name: str
) -> None:
    url = reverse(f"tannage:{name}", args=[seen.pk])
    assert client_of(helper).post(url, form_of()).status_code == 403
    assert client_of(keeper).get(url).status_code in (200, 302)


@pytest.mark.parametrize("name", [*OPEN, *KEEPERS])
def test_a_stranger_sees_no_page(
    seen: Tannage, client_of: ClientOf, on_network: None, name: str
) -> None:
    page = client_of(None).get(reverse(f"tannage:{name}", args=[seen.pk]))
    assert page.status_code == 302
    assert "sign-in" in page.headers["Location"]


def test_helpers_neither_plan_nor_learn(seen: Tannage, helper: Person, client_of: ClientOf) -> None:
    client = client_of(helper)
    assert client.get(reverse("tannage:new")).status_code == 403
    assert client.post(reverse("tannage:learn", args=[seen.pk])).status_code == 403


def test_a_helper_may_look_at_a_draft(keeper: Person, helper: Person, client_of: ClientOf) -> None:
    draft = services.begin_draft(keeper, name="Calf in spruce")
    page = client_of(helper).get(draft.get_absolute_url())
    assert page.status_code == 200
    assert b"No plan yet" in page.content


def test_of_an_empty_vat_nothing_is_kept(
    planned: Tannage, keeper: Person, client_of: ClientOf
) -> None:
    url = reverse("tannage:keep-liquor", args=[planned.pk])
    client_of(keeper).post(url, form_of(litres="30"))
    assert not Liquor.objects.exists()


def test_a_photo_is_kept_with_the_log(seen: Tannage, helper: Person, client_of: ClientOf) -> None:
    picture = io.BytesIO()
    Image.new("RGB", (80, 60), (120, 80, 40)).save(picture, "JPEG")
    photo = SimpleUploadedFile("cut.jpg", picture.getvalue(), "image/jpeg")
    client, url = client_of(helper), reverse("tannage:log", args=[seen.pk, "photo"])
    assert client.post(url, form_of()).status_code == 200  # no photo chosen: told, not noted
    assert client.post(url, form_of(photo=photo)).status_code == 302
    assert Entry.objects.get(kind="tannage.photo").photos.count() == 1
    assert b"<img" in client.get(seen.get_absolute_url()).content


def test_the_page_leads_with_what_to_do_and_holds_all_of_it(
    seen: Tannage, keeper: Person, client_of: ClientOf
) -> None:
    page = client_of(keeper).get(seen.get_absolute_url()).content.decode()
    heads = ("next-headline", "The cut", "The liquor", "Is it enough", "When",
             "What changed, and why", "What a reading is worth now", "Where the tannin is",
             "What is in it", "Log")  # fmt: skip
    places = [page.index(head) for head in heads]
    assert places == sorted(places)
    assert page.count("<svg") >= 2
    assert "style=" not in page
    assert "<?xml" not in page


def test_the_account_adds_up(seen: Tannage, keeper: Person, client_of: ClientOf) -> None:
    terms = {term["name"]: term["mean_g"] for term in seen.forecasts.latest().answer["account"]}  # type: ignore[index]
    assert terms["brought-in"] > 0.0
    assert sum(value for name, value in terms.items() if name != "brought-in") == pytest.approx(
        terms["brought-in"], rel=1e-4
    )


def test_american_units_all_through(seen: Tannage, keeper: Person, client_of: ClientOf) -> None:
    keeper.system = "us"
    keeper.save()
    page = client_of(keeper).get(reverse("tannage:plan", args=[seen.pk])).content.decode()
    assert " lb" in page
    told = page[page.index("<main") : page.index("</main>")].partition("Show kg")[0]
    assert " kg" not in told


def test_the_page_takes_a_few_queries_however_long_the_log(
    seen: Tannage, keeper: Person, client_of: ClientOf, log: Log, django_assert_max_num_queries: Any
) -> None:
    client = client_of(keeper)
    for days in range(1, 15):
        log(seen, "turned", {}, days)
    renew_now(seen.pk)
    client.get(seen.get_absolute_url())
    with django_assert_max_num_queries(25):
        client.get(seen.get_absolute_url())


def test_the_list_takes_as_many_queries_for_three_vats_as_for_thirty(
    keeper: Person, client_of: ClientOf, django_assert_max_num_queries: Any
) -> None:
    client = client_of(keeper)
    for i in range(30):
        services.begin_draft(keeper, name=f"Vat {i}")
    with django_assert_max_num_queries(8):
        page = client.get(reverse("tannage:tannages"))
    assert page.content.count(b'class="row"') == 30


def test_numbers_of_a_picture_as_a_file(seen: Tannage, helper: Person, client_of: ClientOf) -> None:
    client = client_of(helper)
    file = client.get(reverse("tannage:numbers", args=[seen.pk, "cut"]))
    assert file.headers["Content-Type"].startswith("text/csv")
    assert file.content.startswith(b"series,")
    assert client.get(reverse("tannage:numbers", args=[seen.pk, "nothing"])).status_code == 404


def test_a_no_at_the_gate_is_noted_with_what_was_seen(
    seen: Tannage, helper: Person, client_of: ClientOf
) -> None:
    url = reverse("tannage:gate", args=[seen.pk])
    missing = client_of(helper).post(url, form_of(thick="no", raw="no"))
    assert missing.status_code == 200
    said = form_of(thick="yes", raw="no", bend="no")
    assert client_of(helper).post(url, said).status_code == 302
    entry = Entry.objects.get(pk=said["entry_id"])
    assert entry.kind == "tannage.not_done"
    assert "pale line" in entry.note
    seen.refresh_from_db()
    assert seen.gate_asked_at == entry.happened_at
    assert seen.state == Tannage.State.RUNNING


def test_one_skin_out_early_and_the_others_stay(
    planned: Tannage, keeper: Person, client_of: ClientOf
) -> None:
    other = new_skin(keeper, "goat", weight_kg=1.8)
    first = planned.skins.get()
    services.set_skins(planned, [first, other], keeper)
    services.start(planned, keeper, id=uuid4(), happened_at=days_ago(5))
    client, url = client_of(keeper), reverse("tannage:log", args=[planned.pk, "taken_out"])
    client.post(url, form_of(skins=[str(first.pk)]))
    planned.refresh_from_db()
    assert planned.state == Tannage.State.RUNNING
    assert planned.places.get(skin=first).taken_out_at is not None
    assert planned.places.get(skin=other).taken_out_at is None
    client.post(url, form_of(skins=[str(other.pk)]))
    planned.refresh_from_db()
    assert planned.state == Tannage.State.ENDED


def test_a_skin_goes_on_in_a_new_vat(running: Tannage, keeper: Person, client_of: ClientOf) -> None:
    skin = running.skins.get()
    said = form_of(skin=str(skin.pk), to="")
    url = reverse("tannage:move-skin", args=[running.pk])
    for _ in range(2):
        client_of(keeper).post(url, said)
    other = Tannage.objects.exclude(pk=running.pk).get()
    assert list(other.skins.all()) == [skin]
    running.refresh_from_db()
    assert running.state == Tannage.State.ENDED


def test_what_is_kept_of_the_vat_is_one_liquor(
    seen: Tannage, keeper: Person, client_of: ClientOf
) -> None:
    said = form_of(litres="30", where="cellar")
    url = reverse("tannage:keep-liquor", args=[seen.pk])
    for _ in range(2):
        client_of(keeper).post(url, said)
    liquor = Liquor.objects.get()
    assert liquor.strength_bk == pytest.approx(8.0)
    assert liquor.volume_l == pytest.approx(30.0)


def test_what_it_taught_is_carried_to_the_lot_once(
    planned: Tannage, keeper: Person, client_of: ClientOf, log: Log
) -> None:
    renew_now(planned.pk)
    services.start(planned, keeper, id=uuid4(), happened_at=days_ago(40))
    lot = planned.materials.get().lot
    assert lot is not None
    services.cook_in(planned, keeper, id=uuid4(), happened_at=days_ago(40), lots={lot: 3.0},
                     in_litres=20.0)  # fmt: skip
    log(planned, "strength", {"value": 10.0, "scale": "bk"}, 39.8)
    log(planned, "strength", {"value": 5.0, "scale": "bk"}, 30)
    log(planned, "taken_out", {}, 1)
    renew_now(planned.pk)
    client = client_of(keeper)
    assert b"What it taught" in client.get(planned.get_absolute_url()).content
    before = planned.forecasts.latest().answer
    for _ in range(2):
        client.post(reverse("tannage:learn", args=[planned.pk]))
    figure = Entry.objects.get(record=lot, kind="lot.tannin")
    assert 0.0 < figure.data["low_pct"] < figure.data["high_pct"]
    assert planned.title in figure.data["how"]
    # What it taught itself is not believed twice in its own forecast.
    again = renew_now(planned.pk)
    assert again is not None
    assert again.answer["needs"] == before["needs"]  # type: ignore[index]


def test_due_tells_the_next_action_of_every_vat_in_one_query(
    seen: Tannage, planned: Tannage, django_assert_num_queries: Any
) -> None:
    with django_assert_num_queries(1):
        found = queries.due(timezone.now())
    due = next(item for item in found if item.record_id == seen.pk)
    assert seen.next_headline in due.headline
    assert due.reason
    assert due.url == seen.get_absolute_url()


def test_a_vat_nobody_looked_at_is_late(running: Tannage) -> None:
    Tannage.objects.filter(pk=running.pk).update(last_logged_at=days_ago(30))
    (due,) = queries.due(timezone.now())
    assert due.late
    assert "Nothing was noted of it for 30 days" in due.reason


def test_the_reading_most_worth_taking_over_all_vats(
    seen: Tannage, django_assert_num_queries: Any
) -> None:
    with django_assert_num_queries(1):
        worth = queries.worth(timezone.now())
    assert worth is not None
    assert worth.what
    assert "% off the range" in worth.words
    Tannage.objects.update(worth_share=None)
    assert queries.worth(timezone.now()) is None


def test_hostile_words_are_words(keeper: Person, client_of: ClientOf) -> None:
    bad = "<script>alert(1)</script>{{ 7 }}"
    tannage = services.begin_draft(keeper, name=bad)
    services.set_materials(tannage, [new_lot(keeper, "quercus-robur-bark", name=bad)], [], keeper)
    page = client_of(keeper).get(reverse("tannage:step", args=[tannage.pk, "plants"]))
    assert b"<script>alert" not in page.content
    assert b"&lt;script&gt;" in client_of(keeper).get(reverse("tannage:tannages")).content
