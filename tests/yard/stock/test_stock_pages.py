"""Every page and every action of stock, by keeper, helper and stranger."""

from __future__ import annotations

import io
import re
import uuid
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image
from pytest_django import DjangoAssertNumQueries

from tanwright.yard.journal.models import Entry, Photo
from tanwright.yard.liquors import services as liquors
from tanwright.yard.people.models import Person
from tanwright.yard.plants.models import HomePlace
from tanwright.yard.stock import queries, services
from tanwright.yard.stock.actions import ACTIONS
from tanwright.yard.stock.forms import GotForm, NewLotForm, TrialForm
from tanwright.yard.stock.models import Container, Lot

OAK = "quercus-robur-bark"
ClientOf = Callable[[Person | None], Client]

pytestmark = pytest.mark.django_db


@pytest.fixture
def lot(keeper: Person) -> Lot:
    return services.new_lot(keeper, OAK, kg=9.0, where="loft")


def sent(**fields: Any) -> dict[str, Any]:
    """A form as a browser sends it."""
    now = timezone.localtime().strftime("%Y-%m-%dT%H:%M")
    return {"entry_id": str(uuid.uuid4()), "happened_at": now, **fields}


def test_an_empty_yard_teaches(client_of: ClientOf, keeper: Person, helper: Person) -> None:
    page = client_of(keeper).get(reverse("stock:lots"))
    assert b"Nothing in stock yet" in page.content
    assert reverse("stock:new").encode() in page.content
    assert reverse("stock:new").encode() not in client_of(helper).get(reverse("stock:lots")).content


@pytest.mark.usefixtures("on_network")
def test_a_stranger_sees_nothing(client_of: ClientOf, lot: Lot) -> None:
    for url in (
        reverse("stock:lots"),
        reverse("stock:new"),
        reverse("stock:containers"),
        lot.get_absolute_url(),
        reverse("stock:change", args=[lot.pk]),
        *(reverse("stock:log", args=[lot.pk, what]) for what in ACTIONS),
    ):
        answer = client_of(None).get(url)
        assert answer.status_code == 302
        assert reverse("people:sign-in") in answer["Location"]
        assert client_of(None).post(url, sent(kg="1")).status_code == 302
    assert Entry.objects.count() == 1


def test_a_keeper_adds_a_lot(client_of: ClientOf, keeper: Person) -> None:
    client = client_of(keeper)
    assert client.get(reverse("stock:new")).status_code == 200
    data = sent(
        material_id="English oak bark", kg="9", state="dry", where="loft", rained_on="yes",
        tree_age="old", gathered_on=str(timezone.localdate() - timedelta(days=400)),
    )  # fmt: skip
    answer = client.post(reverse("stock:new"), data)
    lot = Lot.objects.get()
    assert answer["Location"] == lot.get_absolute_url()
    assert lot.material_id == OAK
    assert lot.history == {"rained_on": True, "tree_age": "old"}
    page = client.get(lot.get_absolute_url()).content.decode()
    assert "About 9 kg left" in page
    assert "goat skin" in page
    client.post(reverse("stock:new"), data)
    assert Lot.objects.count() == 1


def test_a_helper_may_not_add_or_change(client_of: ClientOf, helper: Person, lot: Lot) -> None:
    client = client_of(helper)
    for url in (
        reverse("stock:new"),
        reverse("stock:change", args=[lot.pk]),
        reverse("stock:log", args=[lot.pk, "tannin"]),
    ):
        assert client.get(url).status_code == 403
        assert client.post(url, sent(material_id=OAK, kg="2")).status_code == 403
    assert client.post(reverse("stock:containers"), {"name": "a"}).status_code == 403
    assert Lot.objects.count() == 1


@pytest.mark.parametrize(
    ("what", "fields", "left"),
    [
        ("got", {"kg": "1.5", "state": "dry"}, 10.5),
        ("got", {"kg": "2 buckets", "state": "dry"}, 25.0),
        ("stocktake", {"kg": "5,5"}, 5.5),
        ("stocktake", {"kg": "0"}, 0.0),
        ("lost", {"kg": "500 g", "why": "mice"}, 8.5),
        ("moved", {"where": "cellar"}, 9.0),
        ("note", {"note": "smells of the forest"}, 9.0),
        ("trial", {"mass_kg": "250 g", "water_l": "2", "strength": "8", "scale": "bk"}, 9.0),
    ],
)
def test_a_helper_logs(
    client_of: ClientOf,
    keeper: Person,
    helper: Person,
    lot: Lot,
    what: str,
    fields: dict[str, str],
    left: float,
) -> None:
    services.keep_container("bucket", "8 kg", keeper)
    url = reverse("stock:log", args=[lot.pk, what])
    client = client_of(helper)
    assert client.get(url).status_code == 200
    data = sent(**fields)
    if what == "trial":
        data |= {"material_id": OAK, "state": "dry"}
    answer = client.post(url, data)
    assert answer.status_code == 302, answer.content.decode()
    client.post(url, data)
    lot.refresh_from_db()
    assert lot.left_kg == pytest.approx(left)
    entry = Entry.objects.get(record=lot, kind=f"lot.{what}", by=helper)
    assert entry.standing == "live"
    assert client.get(f"/journal/{entry.pk}/correct/").status_code == 200


def test_fresh_bark_dries(client_of: ClientOf, keeper: Person) -> None:
    lot = services.new_lot(keeper, OAK, kg=10.0, state="fresh")
    page = client_of(keeper).get(lot.get_absolute_url()).content.decode()
    assert "It has dried" in page
    client_of(keeper).post(reverse("stock:log", args=[lot.pk, "dried"]), sent(kg="6"))
    lot.refresh_from_db()
    assert (lot.state, lot.left_kg) == ("dry", 6.0)
    assert "It has dried" not in client_of(keeper).get(lot.get_absolute_url()).content.decode()


def test_dry_does_not_join_fresh_and_drying_makes_nothing_heavier(
    client_of: ClientOf, keeper: Person
) -> None:
    lot = services.new_lot(keeper, OAK, kg=10.0, state="fresh")
    client = client_of(keeper)
    page = client.post(
        reverse("stock:log", args=[lot.pk, "got"]), sent(kg="5", state="dry")
    ).content.decode()
    assert "what came is dry" in page
    assert "a lot of its own" in page
    page = client.post(reverse("stock:log", args=[lot.pk, "dried"]), sent(kg="50")).content.decode()
    assert "nothing heavier" in page
    before = timezone.now() - timedelta(days=3)
    services.log(lot, "lot.got", {"kg": 1.0, "state": "dry"}, keeper, happened_at=before)
    lot.refresh_from_db()
    assert (lot.state, lot.left_kg) == ("dry", 11.0), "noted late, it is what the lot began with"


def test_the_sources_of_a_strength_are_named_and_what_a_fact_does_is_told(
    client_of: ClientOf, keeper: Person
) -> None:
    lot = services.new_lot(keeper, OAK, kg=10.0, history={"rained_on": True, "stored_years": 2.0})
    page = client_of(keeper).get(lot.get_absolute_url()).content.decode()
    assert reverse("plants:source", args=["procter1903"]) in page
    assert "H. R. Procter 1903, The Principles of Leather Manufacture" in page
    assert "Rained on: yes. Between no loss and the worst seen" in page
    assert "<li>Kept one to three years" in page


def test_decimals_may_stand_behind_a_comma(client_of: ClientOf, keeper: Person, lot: Lot) -> None:
    data = sent(low_pct="7,5", high_pct="9.25", how="an analysis")
    client_of(keeper).post(reverse("stock:log", args=[lot.pk, "tannin"]), data)
    lot.refresh_from_db()
    assert (lot.tannin_low_pct, lot.tannin_high_pct) == (7.5, 9.25)


def test_what_went_is_named_by_its_cause(client_of: ClientOf, keeper: Person, lot: Lot) -> None:
    services.log(lot, "lot.lost", {"kg": 1.0, "cause": "mould"}, keeper)
    assert "<dt>Lost: mould</dt>" in client_of(keeper).get(lot.get_absolute_url()).content.decode()


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("oak bark", "write which one: sessile oak bark, English oak bark"),
        ("englisch oak bark", "perhaps it is English oak bark"),
        ("nettle", "write a name like English oak bark, or unknown bark"),
    ],
)
def test_a_plant_that_is_not_clear_is_asked_for_by_its_names(
    client_of: ClientOf, keeper: Person, text: str, told: str
) -> None:
    HomePlace.objects.create(place_code="DE", by=keeper)
    data = sent(material_id=text, kg="2", state="dry")
    page = client_of(keeper).post(reverse("stock:new"), data).content.decode()
    assert told in page
    assert "quercus-" not in page.partition("error-summary")[2].partition("</div>")[0]


@pytest.mark.parametrize(
    ("what", "fields", "told"),
    [
        ("got", {"kg": "some", "state": "dry"}, "kg"),
        ("got", {"kg": "3 sacks", "state": "dry"}, "sack"),
        ("got", {"kg": "-3", "state": "dry"}, "below zero"),
        ("got", {"kg": "1000000", "state": "dry"}, "cannot be right"),
        ("stocktake", {"kg": ""}, "Write a number here."),
        ("lost", {"kg": "2 L"}, "mass"),
        ("moved", {"where": "  "}, "Write something here."),
        ("note", {"note": ""}, "Write something here."),
        ("trial", {"material_id": OAK, "state": "dry", "scale": "bk"}, "nothing was seen"),
        (
            "trial",
            {"material_id": OAK, "state": "dry", "scale": "bk", "strength": "8"},
            "without what was cooked",
        ),
        ("tannin", {"low_pct": "9", "high_pct": "7", "how": "lab"}, "below the lower"),
        ("tannin", {"low_pct": "nan", "high_pct": "7", "how": "lab"}, "number"),
    ],
)
def test_bad_input_is_told_and_kept(
    client_of: ClientOf, keeper: Person, lot: Lot, what: str, fields: dict[str, str], told: str
) -> None:
    answer = client_of(keeper).post(reverse("stock:log", args=[lot.pk, what]), sent(**fields))
    page = answer.content.decode()
    assert answer.status_code == 200
    assert "error-summary" in page
    assert told in page.lower() or told in page
    for value in fields.values():
        if value.strip():
            assert value in page
    assert Entry.objects.count() == 1


def test_a_day_to_come_is_refused(client_of: ClientOf, keeper: Person, lot: Lot) -> None:
    url = reverse("stock:log", args=[lot.pk, "lost"])
    answer = client_of(keeper).post(url, sent(kg="1") | {"happened_at": "2999-01-01T10:00"})
    assert answer.status_code == 200
    assert "cannot be the time" in answer.content.decode()


@pytest.mark.parametrize("plant", ["aroeira bark", "moon dust bark", "\x00", "x" * 300, "oak"])
def test_a_plant_that_is_none_is_told(client_of: ClientOf, keeper: Person, plant: str) -> None:
    answer = client_of(keeper).post(
        reverse("stock:new"), sent(material_id=plant, kg="2", state="dry")
    )
    assert answer.status_code == 200
    assert "error-summary" in answer.content.decode()
    assert not Lot.objects.exists()


def test_an_unknown_bark_is_a_lot(client_of: ClientOf, keeper: Person) -> None:
    client_of(keeper).post(
        reverse("stock:new"), sent(material_id="unknown bark", kg="2", state="dry")
    )
    lot = Lot.objects.get()
    assert lot.material_id == "unknown-bark"
    page = client_of(keeper).get(lot.get_absolute_url()).content.decode()
    assert "only a plant that you can name" in page


def test_a_change_keeps_what_was(client_of: ClientOf, keeper: Person, lot: Lot) -> None:
    url = reverse("stock:change", args=[lot.pk])
    assert "English oak bark" in client_of(keeper).get(url).content.decode()
    before = lot.skins_likely
    answer = client_of(keeper).post(
        url, {"material_id": "English oak bark", "name": "Big oak", "rained_on": "yes"}
    )
    assert answer.status_code == 302
    lot.refresh_from_db()
    assert lot.title == "Big oak"
    assert lot.skins_likely is not None
    assert before is not None
    assert lot.skins_likely < before
    entry = Entry.objects.get(record=lot, kind="lot.changed")
    assert entry.data["before"]["name"] == ""
    assert client_of(keeper).get(lot.get_absolute_url()).status_code == 200


def test_containers_are_measured_and_forgotten(
    client_of: ClientOf, keeper: Person, helper: Person
) -> None:
    url = reverse("stock:containers")
    client = client_of(keeper)
    client.post(url, {"name": "bucket", "holds": "8 kg", "of": "pounded pods"})
    client.post(url, {"name": "tub", "holds": "40 L"})
    page = client_of(helper).get(url).content.decode()
    assert "holds 8 kg of pounded pods" in page
    assert "holds 40 L" in page
    for wrong in ({"name": "3x", "holds": "8 kg"}, {"name": "sack", "holds": "8"}, {}):
        assert client.post(url, wrong).status_code == 200
    bucket = Container.objects.get(name="bucket")
    drop = reverse("stock:drop-container", args=[bucket.pk])
    assert client_of(helper).post(drop).status_code == 403
    assert client.get(drop).status_code == 405
    client.post(drop)
    assert [item.name for item in Container.objects.all()] == ["tub"]


def test_a_photo_is_shown_in_the_log(client_of: ClientOf, helper: Person, lot: Lot) -> None:
    out = io.BytesIO()
    Image.new("RGB", (40, 30), "brown").save(out, "JPEG")
    photo = SimpleUploadedFile("bark.jpg", out.getvalue(), "image/jpeg")
    client = client_of(helper)
    client.post(reverse("stock:log", args=[lot.pk, "photo"]), sent(photo=photo, note="in the loft"))
    kept = Photo.objects.get(record=lot)
    assert kept.caption == "in the loft"
    assert str(kept.pk) in client.get(lot.get_absolute_url()).content.decode()
    fake = SimpleUploadedFile("bark.jpg", b"PK\x03\x04 not a picture", "image/jpeg")
    answer = client.post(reverse("stock:log", args=[lot.pk, "photo"]), sent(photo=fake))
    assert "not a photo" in answer.content.decode()


def test_cooks_are_listed_and_overdrawing_is_told(
    client_of: ClientOf, keeper: Person, lot: Lot
) -> None:
    liquor = liquors.cook(keeper, {lot: 11.0}, 50.0)
    page = client_of(keeper).get(lot.get_absolute_url()).content.decode()
    assert liquor.get_absolute_url() in page
    assert "2 kg more was taken" in page
    assert "weigh it again" in client_of(keeper).get(reverse("stock:lots")).content.decode()


def test_search_and_used_up_ones(client_of: ClientOf, keeper: Person, lot: Lot) -> None:
    sumac = services.new_lot(keeper, "rhus-coriaria-leaf", kg=3.0, name="Hillside")
    services.log(sumac, "lot.stocktake", {"kg": 0.0}, keeper)
    found = {row.pk for row in queries.lots("oak")}
    assert found == {lot.pk}
    assert sumac.pk not in {row.pk for row in queries.lots()}
    assert {row.pk for row in queries.lots("hillside", "all")} == {sumac.pk}
    assert {row.pk for row in queries.lots(sumac.code, "all")} == {sumac.pk}
    client = client_of(keeper)
    for q in ("%", "\x00", "lot-99999999999", "ü" * 90, "'; drop", "lot ²"):
        assert client.get(reverse("stock:lots"), {"q": q, "page": "zz"}).status_code == 200


def test_us_units(client_of: ClientOf, keeper: Person, lot: Lot) -> None:
    keeper.system = "us"
    keeper.save()
    client = client_of(keeper)
    client.post(reverse("stock:log", args=[lot.pk, "got"]), sent(kg="2", state="dry"))
    lot.refresh_from_db()
    assert lot.left_kg == pytest.approx(9.0 + 0.90718474)
    page = client.get(lot.get_absolute_url()).content.decode()
    assert "lb left" in page
    assert re.search(r"A goat skin takes [\d.]+ to [\d.]+ lb of it, most likely [\d.]+ lb", page)


def test_queries_do_not_grow_with_the_stock(
    client_of: ClientOf,
    keeper: Person,
    lot: Lot,
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    for n in range(60):
        services.new_lot(keeper, OAK, kg=float(n + 1))
    for n in range(30):
        services.log(lot, "lot.note", {}, keeper, note=f"note {n}")
    client = client_of(keeper)
    with django_assert_max_num_queries(6):
        page = client.get(reverse("stock:lots"))
    assert page.content.count(b'class="row"') == 50
    assert b"Page 1 of 2" in page.content
    assert len(page.content) < 60_000
    with django_assert_max_num_queries(13):
        client.get(lot.get_absolute_url())
    with django_assert_max_num_queries(2):
        queries.due(timezone.now())


def test_what_is_due(keeper: Person, lot: Lot) -> None:
    now = timezone.now()
    assert queries.due(now) == []
    fresh = services.new_lot(
        keeper, OAK, kg=5.0, state="fresh", happened_at=now - timedelta(days=9)
    )
    services.new_lot(keeper, OAK, kg=5.0, state="fresh", happened_at=now - timedelta(days=2))
    liquors.cook(keeper, {lot: 12.0}, 60.0)
    found = queries.due(now)
    assert [due.record_id for due in found] == [fresh.pk, lot.pk]
    assert found[0].late
    assert "9 days" in found[0].reason


text = st.text(max_size=60)
value = st.one_of(text, st.floats().map(str), st.integers().map(str), st.just("3 kg"))


@given(st.dictionaries(st.sampled_from(sorted(NewLotForm.base_fields)), value))
@settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
def test_any_text_in_the_new_form_is_an_answer_or_an_error(db: None, data: dict[str, str]) -> None:
    form = NewLotForm(data)
    assert form.is_valid() or form.errors


@given(st.dictionaries(st.sampled_from(sorted(TrialForm.base_fields)), value))
@settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
def test_any_text_in_the_trial_form_is_an_answer_or_an_error(
    db: None, data: dict[str, str]
) -> None:
    form = TrialForm(sent(material_id=OAK, state="dry", scale="sg") | data)
    assert form.is_valid() or form.errors


@given(value)
@settings(
    max_examples=80,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
def test_any_amount_is_an_answer_or_an_error(db: None, amount: str) -> None:
    form = GotForm(sent(kg=amount, state="dry"))
    if form.is_valid():
        kg = form.cleaned_data["kg"]
        assert kg is None or 0.0 < kg <= 1e5
