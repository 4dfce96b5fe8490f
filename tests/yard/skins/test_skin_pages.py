"""The list, the new skin and the page of a skin, by keeper, helper and stranger."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pytest_django import DjangoAssertNumQueries

from tanwright.yard.journal.models import Entry
from tanwright.yard.journal.queries import log_of
from tanwright.yard.leather.pelt import weights_of
from tanwright.yard.people.models import Person
from tanwright.yard.skins import queries, services
from tanwright.yard.skins.actions import ACTIONS
from tanwright.yard.skins.forms import NewSkinForm
from tanwright.yard.skins.models import Skin
from tests.yard.skins.conftest import a_photo, sent

ClientOf = Callable[[Person | None], Client]

pytestmark = pytest.mark.django_db
PARTS = ("skin", "change", "preparation", "way", "begin", "end")


def addresses(skin: Skin) -> list[str]:
    return [
        reverse("skins:skins"),
        reverse("skins:new"),
        *(reverse(f"skins:{name}", args=[skin.pk]) for name in PARTS),
        *(reverse("skins:log", args=[skin.pk, what]) for what in ACTIONS),
    ]


def test_an_empty_yard_teaches(client_of: ClientOf, keeper: Person, helper: Person) -> None:
    url = reverse("skins:skins")
    assert "No skin yet" in client_of(keeper).get(url).content.decode()
    page = client_of(helper).get(url).content.decode()
    assert "A keeper of the yard adds skins" in page
    assert reverse("skins:new") not in page


@pytest.mark.usefixtures("on_network")
def test_a_stranger_sees_and_does_nothing(client_of: ClientOf, skin: Skin) -> None:
    before = Entry.objects.count()
    for url in addresses(skin):
        for answer in (client_of(None).get(url), client_of(None).post(url, sent(kg="1"))):
            assert answer.status_code == 302
            assert reverse("people:sign-in") in answer["Location"]
    assert Entry.objects.count() == before


def test_a_helper_may_not_add_change_or_choose(
    client_of: ClientOf, helper: Person, skin: Skin
) -> None:
    client = client_of(helper)
    for url in (
        reverse("skins:new"),
        reverse("skins:change", args=[skin.pk]),
        reverse("skins:way", args=[skin.pk]),
    ):
        assert client.get(url).status_code == 403
        assert client.post(url, sent(unhair="lime", delime="boric", count="1")).status_code == 403
    assert Skin.objects.count() == 1
    skin.refresh_from_db()
    assert skin.unhair == ""


def test_a_keeper_adds_a_skin_once(client_of: ClientOf, keeper: Person) -> None:
    client = client_of(keeper)
    assert client.get(reverse("skins:new")).status_code == 200
    data = sent(animal="deer", count="2", keeping="frozen", weight="4,2", thickness="2.4",
                place="freezer", origin="hunter next door", hair_on="on")  # fmt: skip
    answer = client.post(reverse("skins:new"), data)
    client.post(reverse("skins:new"), data)
    found = Skin.objects.get()
    assert answer["Location"] == found.get_absolute_url()
    assert (found.animal, found.count, found.keeping, found.stage) == ("deer", 2, "frozen", "green")
    assert (found.weight_kg, found.weighed_at_stage, found.thickness_mm) == (4.2, "green", 2.4)
    assert (found.place, found.hair_on) == ("freezer", True)
    page = client.get(found.get_absolute_url()).content.decode()
    assert "Next: thaw and soak" in page
    assert "hunter next door" in page
    assert "2 × deer" in client.get(reverse("skins:skins")).content.decode()


def test_pounds_are_read_by_who_reads_pounds(client_of: ClientOf, keeper: Person) -> None:
    keeper.system = "us"
    keeper.save()
    client = client_of(keeper)
    client.post(reverse("skins:new"), sent(animal="goat", count="1", keeping="salted", weight="5"))
    found = Skin.objects.get()
    assert found.weight_kg == pytest.approx(2.268, abs=0.001)
    url = reverse("skins:preparation", args=[found.pk])
    page = client.get(url).content.decode()
    assert "°C" not in page.split("<ol", 1)[1].split("</ol>")[0]
    assert " gal" in page


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"animal": "unicorn"}, "Select a valid choice"),
        ({"animal": ""}, "Choose one."),
        ({"count": "0"}, "Write a whole number from 1 to 200."),
        ({"weight": "heavy"}, "heavy"),
        ({"weight": "-2"}, "-2"),
        ({"weight": "5000 kg"}, "cannot be right"),
        ({"keeping": "boiled"}, "Select a valid choice"),
        ({"taken_on": "2999-01-01"}, "cannot be that day"),
        ({"happened_at": "2999-01-01T10:00"}, "cannot be the time of an entry"),
        ({"name": "x" * 81}, "at most 80"),
    ],
)
def test_what_cannot_be_is_told_and_nothing_typed_is_lost(
    client_of: ClientOf, keeper: Person, change: dict[str, str], told: str
) -> None:
    good = {"animal": "goat", "count": "1", "keeping": "salted", "origin": "the <b>butcher</b>"}
    answer = client_of(keeper).post(reverse("skins:new"), sent(**{**good, **change}))
    page = answer.content.decode()
    assert answer.status_code == 200
    assert told in page
    assert page.count("error-summary") == 1
    assert "the &lt;b&gt;butcher&lt;/b&gt;" in page
    assert not Skin.objects.exists()


@pytest.mark.parametrize(
    ("what", "fields", "kept"),
    [
        ("weighed", {"kg": "2.8", "stage": "salted"}, {"weight_kg": 2.8}),
        ("weighed", {"kg": "2,8", "stage": "salted"}, {"weight_kg": 2.8}),
        ("weighed", {"kg": "9", "on_scale": "3", "stage": "salted"}, {"weight_kg": 3.0}),
        ("measured", {"thickness_mm": "2,1", "part": "neck"}, {"thickness_mm": 2.1}),
        ("measured", {"area_m2": "0.6"}, {"area_m2": 0.6}),
        ("moved", {"place": "freezer", "keeping": "frozen"}, {"keeping": "frozen"}),
        ("flaw", {"what": "hole", "where": "left flank"}, {}),
        ("note", {"note": "smells sweet"}, {}),
        ("photo", {}, {}),
    ],
)
def test_a_helper_logs_once(
    client_of: ClientOf,
    helper: Person,
    skin: Skin,
    what: str,
    fields: dict[str, str],
    kept: dict[str, Any],
) -> None:
    client, before = client_of(helper), Entry.objects.count()
    url = reverse("skins:log", args=[skin.pk, what])
    assert client.get(url).status_code == 200
    data = sent(**fields)
    for _ in range(2):
        photo = {"photo": a_photo()} if what == "photo" else {}
        assert client.post(url, {**data, **photo})["Location"] == skin.get_absolute_url()
    skin.refresh_from_db()
    assert {name: getattr(skin, name) for name in kept} == kept
    assert Entry.objects.count() == before + 1
    assert client.get(skin.get_absolute_url()).status_code == 200


@pytest.mark.parametrize(
    ("what", "fields", "told"),
    [
        ("weighed", {"kg": "", "stage": "salted"}, "Write a number here."),
        ("weighed", {"kg": "900", "stage": "salted"}, "no weight of one skin"),
        ("weighed", {"kg": "2", "stage": "cooked"}, "Select a valid choice"),
        ("measured", {}, "neither thickness nor area"),
        ("measured", {"thickness_mm": "2.1 kg"}, "2.1 kg"),
        ("moved", {}, "nothing is said of where"),
        ("flaw", {"what": "curse"}, "Select a valid choice"),
        ("note", {"note": "  "}, "Write something here."),
        ("photo", {}, "Choose a file."),
    ],
)
def test_a_bad_entry_is_told(
    client_of: ClientOf, helper: Person, skin: Skin, what: str, fields: dict[str, str], told: str
) -> None:
    before = Entry.objects.count()
    answer = client_of(helper).post(reverse("skins:log", args=[skin.pk, what]), sent(**fields))
    assert answer.status_code == 200
    assert told.lower() in answer.content.decode().lower()
    assert Entry.objects.count() == before


def test_what_nobody_may_note_is_not_found(client_of: ClientOf, keeper: Person, skin: Skin) -> None:
    for what in ("changed", "stage_begun", "nonsense"):
        url = reverse("skins:log", args=[skin.pk, what])
        assert client_of(keeper).post(url, sent()).status_code == 404


def test_a_keeper_changes_facts_and_the_log_keeps_what_was(
    client_of: ClientOf, keeper: Person, skin: Skin
) -> None:
    client = client_of(keeper)
    url = reverse("skins:change", args=[skin.pk])
    assert '<option value="goat" selected>' in client.get(url).content.decode()
    assert 'value="1"' in client.get(url).content.decode()
    answer = client.post(url, {"animal": "another", "count": "2", "name": "The pale one"})
    assert answer["Location"] == skin.get_absolute_url()
    page = client.get(skin.get_absolute_url()).content.decode()
    assert "animal: goat → another" in page
    assert "The pale one" in page
    assert "Measure its thickness" in page
    assert '<option value="another" selected>' in client.get(url).content.decode()


def test_a_withdrawn_skin_leaves_the_list_and_comes_back(
    client_of: ClientOf, keeper: Person, helper: Person, skin: Skin
) -> None:
    url = reverse("journal:withdraw-record", args=[skin.pk])
    assert client_of(helper).post(url).status_code == 403
    client = client_of(keeper)
    client.post(url)
    assert skin.get_absolute_url() not in client.get(reverse("skins:skins")).content.decode()
    page = client.get(skin.get_absolute_url()).content.decode()
    assert "was withdrawn" in page
    assert "next-headline" not in page
    client.post(reverse("journal:restore-record", args=[skin.pk]))
    assert skin.get_absolute_url() in client.get(reverse("skins:skins")).content.decode()


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ({"q": "goat"}, True), ({"q": "KID"}, True), ({"q": "salt tub"}, True),
        ({"q": "skin-1"}, True), ({"q": "deer"}, False), ({"show": "raw"}, True),
        ({"show": "work"}, False), ({"show": "vat"}, False), ({"show": "nonsense"}, True),
        ({"q": "\x00goat"}, True), ({"q": "²"}, False), ({"page": "²"}, True),
        ({"page": "99999"}, True), ({"q": "' OR 1=1 --"}, False),
    ],
)  # fmt: skip
def test_the_list_finds(
    client_of: ClientOf, keeper: Person, skin: Skin, asked: dict[str, str], found: bool
) -> None:
    page = client_of(keeper).get(reverse("skins:skins"), asked).content.decode()
    assert (skin.get_absolute_url() in page) is found


def test_five_hundred_skins_are_listed_with_few_queries(
    client_of: ClientOf, keeper: Person, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    for _ in range(60):
        services.new_skin(keeper, "goat", keeping="fresh", weight_kg=2.0)
    client = client_of(keeper)
    with django_assert_max_num_queries(6):
        page = client.get(reverse("skins:skins")).content.decode()
    assert page.count('class="row"') == 50
    assert "Page 1 of 2" in page


def test_the_page_asks_the_database_as_often_for_a_long_log(
    client_of: ClientOf,
    keeper: Person,
    skin: Skin,
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    for number in range(12):
        services.note_flaw(skin, "hole", keeper, where=f"place {number}")
        services.weigh(skin, 2.0 + number / 10.0, keeper)
    client = client_of(keeper)
    with django_assert_max_num_queries(11):
        assert client.get(skin.get_absolute_url()).status_code == 200


def test_an_old_fresh_skin_is_late(client_of: ClientOf, keeper: Person) -> None:
    day = timezone.localdate() - timedelta(days=3)
    found = services.new_skin(keeper, "rabbit", keeping="fresh", taken_on=day)
    page = client_of(keeper).get(found.get_absolute_url()).content.decode()
    assert "Fresh skin spoils within about a day" in page
    assert "chip-late" in page


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.fixed_dictionaries(
        {name: st.text(max_size=60) for name in NewSkinForm.base_fields if name != "photo"}
    )
)
def test_any_text_makes_a_valid_form_or_errors_in_words(data: dict[str, str]) -> None:
    form = NewSkinForm(data)
    if not form.is_valid():
        assert all(text for errors in form.errors.values() for text in errors)


@pytest.mark.parametrize("stage", ["vat", "leather"])
def test_what_came_out_of_the_tan_is_not_taken_for_a_pelt(
    client_of: ClientOf, helper: Person, skin: Skin, stage: str
) -> None:
    Skin.objects.filter(pk=skin.pk).update(stage=stage)
    url = reverse("skins:log", args=[skin.pk, "weighed"])
    page = client_of(helper).get(url).content.decode()
    assert "afterwards with the leather" in page
    assert '<option value="" selected>choose' in page
    client_of(helper).post(url, sent(kg="0.8", on_scale="1", stage=""))
    skin.refresh_from_db()
    assert skin.weight_kg == 3.0


def test_of_two_weights_of_one_minute_the_later_written_is_shown(
    client_of: ClientOf, helper: Person, keeper: Person
) -> None:
    now = timezone.now().replace(second=40, microsecond=0) - timedelta(minutes=5)
    goat = services.new_skin(keeper, "goat", keeping="salted", weight_kg=3.0, happened_at=now)
    when = timezone.localtime(now).strftime("%Y-%m-%dT%H:%M")
    url = reverse("skins:log", args=[goat.pk, "weighed"])
    client_of(helper).post(url, sent(kg="2.7", on_scale="1", stage="salted", happened_at=when))
    goat.refresh_from_db()
    assert goat.weight_kg == 2.7
    assert [weight.kg for weight in queries.page_of(goat).weights] == [2.7]
    assert weights_of(goat) == {"salted": 2.7}
    assert next(line.words for line in log_of(goat, "metric").object_list).startswith("2.7 kg")
