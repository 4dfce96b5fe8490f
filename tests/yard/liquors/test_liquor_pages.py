"""Every page and every action of liquors, by keeper, helper and stranger."""

from __future__ import annotations

import uuid
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
from tanwright.yard.liquors import queries, services
from tanwright.yard.liquors.actions import ACTIONS
from tanwright.yard.liquors.forms import StrengthForm
from tanwright.yard.liquors.models import Liquor, Tools
from tanwright.yard.people.models import Person
from tanwright.yard.stock import services as stock
from tanwright.yard.stock.models import Lot

OAK = "quercus-robur-bark"
ClientOf = Callable[[Person | None], Client]

pytestmark = pytest.mark.django_db


@pytest.fixture
def lot(keeper: Person) -> Lot:
    return stock.new_lot(keeper, OAK, kg=20.0, where="loft")


@pytest.fixture
def liquor(keeper: Person, lot: Lot) -> Liquor:
    return services.cook(keeper, {lot: 4.0}, 20.0, volume_l=12.0, where="blue barrel")


@pytest.fixture
def other(keeper: Person, lot: Lot) -> Liquor:
    return services.cook(keeper, {lot: 1.0}, 10.0, volume_l=8.0, name="Weak one")


def sent(**fields: Any) -> dict[str, Any]:
    """A form as a browser sends it."""
    now = timezone.localtime().strftime("%Y-%m-%dT%H:%M")
    return {"entry_id": str(uuid.uuid4()), "happened_at": now, **fields}


def cook(lot: Lot, **fields: Any) -> dict[str, Any]:
    """A cook as the form sends it."""
    whole = {"lot_1": str(lot.pk), "kg_1": "4", "water_l": "20", "which": "1", "hours": "3"}
    return sent(**{**whole, **fields})


def test_an_empty_yard_teaches(client_of: ClientOf, keeper: Person, helper: Person) -> None:
    url = reverse("liquors:cook").encode()
    page = client_of(keeper).get(reverse("liquors:liquors")).content
    assert b"No liquor yet" in page
    assert url in page
    assert url not in client_of(helper).get(reverse("liquors:liquors")).content


@pytest.mark.usefixtures("on_network")
def test_a_stranger_sees_nothing(client_of: ClientOf, liquor: Liquor) -> None:
    before = Entry.objects.count()
    for url in (
        reverse("liquors:liquors"),
        reverse("liquors:cook"),
        reverse("liquors:tools"),
        liquor.get_absolute_url(),
        reverse("liquors:change", args=[liquor.pk]),
        *(reverse("liquors:log", args=[liquor.pk, what]) for what in ACTIONS),
    ):
        answer = client_of(None).get(url)
        assert answer.status_code == 302
        assert reverse("people:sign-in") in answer["Location"]
        assert client_of(None).post(url, sent(value="9", scale="bk")).status_code == 302
    assert Entry.objects.count() == before


def test_a_keeper_cooks(client_of: ClientOf, keeper: Person, lot: Lot) -> None:
    client = client_of(keeper)
    page = client.get(reverse("liquors:cook"), {"lot": str(lot.pk)}).content.decode()
    assert f'value="{lot.pk}" selected' in page
    assert "stainless" in page
    assert "30 °C" in page
    assert "lungs" in page
    data = cook(lot, temperature_c="80", where="blue barrel")
    told = client.post(reverse("liquors:cook"), {**data, "reckon": "1"}).content.decode()
    assert "It should give about" in told
    assert not Liquor.objects.exists()
    fragment = client.post(reverse("liquors:cook"), data, headers={"HX-Request": "true"})
    assert b"It should give about" in fragment.content
    assert b"<html" not in fragment.content
    assert not Liquor.objects.exists()
    answer = client.post(reverse("liquors:cook"), data)
    liquor = Liquor.objects.get()
    assert answer["Location"] == liquor.get_absolute_url()
    client.post(reverse("liquors:cook"), data)
    lot.refresh_from_db()
    assert (Liquor.objects.count(), lot.left_kg) == (1, 16.0)
    page = client.get(liquor.get_absolute_url()).content.decode()
    assert "not read yet" in page
    assert "English oak bark" in page
    assert "cooks in liquor above about 30" in page


def test_a_second_water_and_a_cook_in_an_older_liquor(
    client_of: ClientOf, keeper: Person, lot: Lot, liquor: Liquor
) -> None:
    client = client_of(keeper)
    again = str(client.get(liquor.get_absolute_url()).context["again"])
    page = client.get(again).content.decode()
    assert '<option value="2" selected>' in page
    client.post(again, cook(lot, which="2", into=str(liquor.pk)))
    lot.refresh_from_db()
    liquor.refresh_from_db()
    assert lot.left_kg == 16.0
    assert liquor.volume_l is not None
    assert liquor.volume_l > 20.0
    client.post(
        reverse("liquors:cook"), cook(lot, water_l="0", in_liquor=str(liquor.pk), in_litres="10")
    )
    left = liquor.volume_l
    liquor.refresh_from_db()
    assert liquor.volume_l == pytest.approx(left - 10.0)


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        ({"lot_1": ""}, "Choose one."),
        ({"lot_1": "nonsense"}, "not one of"),
        ({"kg_1": ""}, "Write a number here."),
        ({"kg_1": "0"}, "cannot be right"),
        ({"water_l": "1"}, "soaks up"),
        ({"water_l": "0"}, "not"),
        ({"temperature_c": "200"}, "cannot be right"),
        ({"hours": "-1"}, "Write a number from 0.05 to 2000."),
        ({"hours": "nan"}, "number"),
        ({"kg_2": "3"}, "of which lot"),
        ({"which": "9"}, "not one of"),
    ],
)
def test_a_cook_that_cannot_be(
    client_of: ClientOf, keeper: Person, lot: Lot, fields: dict[str, str], told: str
) -> None:
    answer = client_of(keeper).post(reverse("liquors:cook"), cook(lot, **fields))
    page = answer.content.decode()
    assert answer.status_code == 200
    assert "error-summary" in page
    assert told.lower() in page.lower()
    assert not Liquor.objects.exists()


def test_the_same_lot_twice_is_told(client_of: ClientOf, keeper: Person, lot: Lot) -> None:
    data = cook(lot, lot_2=str(lot.pk), kg_2="1")
    page = client_of(keeper).post(reverse("liquors:cook"), data).content.decode()
    assert "stands here twice" in page


def test_two_lots_in_one_pot(client_of: ClientOf, keeper: Person, lot: Lot) -> None:
    sumac = stock.new_lot(keeper, "rhus-coriaria-leaf", kg=5.0)
    data = cook(lot, lot_2=str(sumac.pk), kg_2="2")
    client_of(keeper).post(reverse("liquors:cook"), data)
    liquor = Liquor.objects.get()
    assert liquor.materials == {OAK: 4.0, "rhus-coriaria-leaf": 2.0}
    for one, left in ((lot, 16.0), (sumac, 3.0)):
        one.refresh_from_db()
        assert one.left_kg == left


def test_a_helper_may_not_open_or_change(
    client_of: ClientOf, helper: Person, lot: Lot, liquor: Liquor
) -> None:
    client = client_of(helper)
    for url in (
        reverse("liquors:cook"),
        reverse("liquors:tools"),
        reverse("liquors:change", args=[liquor.pk]),
        reverse("liquors:log", args=[liquor.pk, "split"]),
    ):
        assert client.get(url).status_code == 403
        assert client.post(url, cook(lot, litres="1")).status_code == 403
    assert Liquor.objects.count() == 1


def test_a_strength_in_three_touches(client_of: ClientOf, helper: Person, liquor: Liquor) -> None:
    client = client_of(helper)
    url = reverse("liquors:log", args=[liquor.pk, "strength"])
    assert url in client.get(liquor.get_absolute_url()).content.decode()
    page = client.get(url).content.decode()
    assert "Expected: " in page
    assert page.index('name="value"') < page.index('name="scale"')
    data = sent(value="3", scale="bk", liquor_c="20")
    assert client.post(url, data)["Location"] == liquor.get_absolute_url()
    client.post(url, data)
    liquor.refresh_from_db()
    assert liquor.strength_bk is not None
    assert 3.0 < liquor.strength_bk < 5.0
    page = client.get(liquor.get_absolute_url()).content.decode()
    assert "Reads weaker than expected" in page
    assert Entry.objects.filter(record=liquor, kind="liquor.strength").count() == 1


def test_strengths_are_shown_in_the_yards_scale(
    client_of: ClientOf, keeper: Person, liquor: Liquor
) -> None:
    client = client_of(keeper)
    data = {"instrument": "hydrometer", "scale": "sg", "calibrated_at_c": "20", "pot_l": "15"}
    assert client.post(reverse("liquors:tools"), data).status_code == 302
    tools = Tools.objects.get()
    assert (tools.scale, tools.calibrated_at_c, tools.pot_l) == ("sg", 20.0, 15.0)
    url = reverse("liquors:log", args=[liquor.pk, "strength"])
    page = client.get(url).content.decode()
    assert '<option value="sg" selected>' in page
    client.post(url, sent(value="1.012", scale="sg", liquor_c="20", calibrated_at_c="20"))
    page = client.get(liquor.get_absolute_url()).content.decode()
    assert "1.012 SG (12 °Bk), like strong tea" in page
    assert "1.012 SG" in client.get(reverse("liquors:liquors")).content.decode()


@pytest.mark.parametrize(
    "fields",
    [
        {"scale": "bad"},
        {"calibrated_at_c": "200"},
        {"pot_l": "-3"},
        {"instrument": "nose"},
    ],
)
def test_tools_that_cannot_be(client_of: ClientOf, keeper: Person, fields: dict[str, str]) -> None:
    data = {"instrument": "hydrometer", **fields}
    answer = client_of(keeper).post(reverse("liquors:tools"), data)
    assert answer.status_code == 200
    assert "error-summary" in answer.content.decode()
    assert not Tools.objects.exists()


@pytest.mark.parametrize(
    ("what", "fields", "left"),
    [
        ("look", {"look": "tea"}, 12.0),
        ("measured", {"litres": "10"}, 10.0),
        ("measured", {"litres": "0"}, 0.0),
        ("thinned", {"litres": "3"}, 15.0),
        ("moved", {"where": "cellar"}, 12.0),
        ("spent", {}, 12.0),
        ("thrown", {"litres": "2", "to": "compost"}, 10.0),
        ("thrown", {}, 0.0),
        ("used_up", {}, 0.0),
        ("note", {"note": "smells of vinegar"}, 12.0),
        ("strength", {"value": "1012", "scale": "litre"}, 12.0),
    ],
)
def test_a_helper_logs(
    client_of: ClientOf, helper: Person, liquor: Liquor, what: str, fields: Any, left: float
) -> None:
    client = client_of(helper)
    url = reverse("liquors:log", args=[liquor.pk, what])
    assert client.get(url).status_code == 200
    data = sent(**fields)
    assert client.post(url, data).status_code == 302
    client.post(url, data)
    liquor.refresh_from_db()
    assert liquor.volume_l == pytest.approx(left)
    entry = Entry.objects.get(record=liquor, kind=f"liquor.{what}")
    assert client.get(liquor.get_absolute_url()).status_code == 200
    assert client.get(f"/journal/{entry.pk}/correct/").status_code == 200


def test_joining_and_splitting(
    client_of: ClientOf, keeper: Person, helper: Person, liquor: Liquor, other: Liquor
) -> None:
    client = client_of(helper)
    client.post(
        reverse("liquors:log", args=[liquor.pk, "joined"]), sent(other=str(other.pk), litres="20")
    )
    liquor.refresh_from_db()
    other.refresh_from_db()
    assert (liquor.volume_l, other.volume_l, other.over_l) == (32.0, 0.0, 12.0)
    page = client.get(other.get_absolute_url()).content.decode()
    assert "12 L more was taken" in page
    assert liquor.get_absolute_url() in page
    answer = client_of(keeper).post(
        reverse("liquors:log", args=[liquor.pk, "split"]), sent(litres="5", where="jug")
    )
    part = Liquor.objects.get(where="jug")
    assert answer["Location"] == part.get_absolute_url()
    assert part.volume_l == 5.0


@pytest.mark.parametrize(
    ("what", "fields", "told"),
    [
        ("strength", {"value": "12", "scale": "sg"}, "no strength of a tan liquor"),
        ("strength", {"value": "", "scale": "bk"}, "Write a number, like 2.5."),
        ("strength", {"value": "nan", "scale": "bk"}, "number"),
        ("strength", {"value": "1e400", "scale": "bk"}, "number"),
        ("strength", {"value": "12", "scale": "bk", "liquor_c": "kelvin"}, "error"),
        ("look", {}, "Choose one."),
        ("joined", {"other": str(uuid.uuid4())}, "not one of"),
        ("measured", {"litres": "lots"}, "volume"),
        ("thinned", {"litres": "0"}, "cannot be right"),
        ("moved", {"where": ""}, "Write something here."),
    ],
)
def test_bad_input_is_told(
    client_of: ClientOf, keeper: Person, liquor: Liquor, what: str, fields: Any, told: str
) -> None:
    before = Entry.objects.count()
    url = reverse("liquors:log", args=[liquor.pk, what])
    answer = client_of(keeper).post(url, sent(**fields))
    assert answer.status_code == 200
    assert "error-summary" in answer.content.decode()
    assert told.lower() in answer.content.decode().lower()
    assert Entry.objects.count() == before


def test_nothing_is_there_under_other_names(client_of: ClientOf, keeper: Person) -> None:
    client = client_of(keeper)
    id = uuid.uuid4()
    for url in (f"/liquors/{id}/", f"/liquors/{id}/log/strength/", f"/stock/{id}/"):
        assert client.get(url).status_code == 404
    for query in ("lot=zz", f"lot={id}", "again=1", f"again={id}"):
        assert client.get(f"{reverse('liquors:cook')}?{query}").status_code == 200


def test_a_cook_is_corrected(client_of: ClientOf, keeper: Person, lot: Lot, liquor: Liquor) -> None:
    client = client_of(keeper)
    entry = Entry.objects.get(record=liquor, kind="liquor.cooked")
    url = f"/journal/{entry.pk}/correct/"
    page = client.get(url).content.decode()
    assert 'name="kg_1"' in page
    assert 'value="4"' in page
    answer = client.post(url, sent(kg_1="3", water_l="20", which="1", hours="3", volume_l="11"))
    assert answer.status_code == 302
    lot.refresh_from_db()
    liquor.refresh_from_db()
    assert (lot.left_kg, liquor.volume_l) == (17.0, 11.0)
    assert liquor.materials == {OAK: 3.0}


def test_throwing_away_shows_the_caution(
    client_of: ClientOf, helper: Person, liquor: Liquor
) -> None:
    url = reverse("liquors:log", args=[liquor.pk, "thrown"])
    page = client_of(helper).get(url).content.decode()
    assert "never into a stream" in page
    assert "local rules" in page


def test_a_name(client_of: ClientOf, keeper: Person, liquor: Liquor) -> None:
    url = reverse("liquors:change", args=[liquor.pk])
    assert client_of(keeper).post(url, {"name": "Strong oak"}).status_code == 302
    liquor.refresh_from_db()
    assert liquor.title == "Strong oak"
    assert {row.pk for row in queries.liquors("strong")} == {liquor.pk}


def test_queries_do_not_grow(
    client_of: ClientOf,
    keeper: Person,
    lot: Lot,
    liquor: Liquor,
    other: Liquor,
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    for _ in range(55):
        services.cook(keeper, {lot: 0.1}, 1.0)
    for n in range(30):
        services.log(liquor, "liquor.note", {}, keeper, note=f"note {n}")
    client = client_of(keeper)
    with django_assert_max_num_queries(6):
        page = client.get(reverse("liquors:liquors"))
    assert page.content.count(b'class="row"') == 50
    assert len(page.content) < 60_000
    with django_assert_max_num_queries(11):
        client.get(liquor.get_absolute_url())
    with django_assert_max_num_queries(2):
        queries.due(timezone.now())


def test_what_is_due(keeper: Person, lot: Lot) -> None:
    now = timezone.now()
    before = now - timedelta(days=25)
    services.cook(keeper, {lot: 1.0}, 10.0, happened_at=before)
    assert queries.due(now) == []
    services.set_tools(keeper, instrument="hydrometer", scale="bk")
    (unread,) = queries.due(now)
    assert "Read the strength" in unread.headline
    warm = services.cook(keeper, {lot: 1.0}, 10.0, happened_at=before)
    services.read_strength(warm, 12.0, "bk", keeper, liquor_c=24.0, happened_at=before)
    cold = services.cook(keeper, {lot: 1.0}, 10.0, happened_at=before)
    services.read_strength(cold, 12.0, "bk", keeper, liquor_c=8.0, happened_at=before)
    spent = services.cook(keeper, {lot: 1.0}, 10.0, happened_at=before)
    services.read_strength(spent, 3.0, "bk", keeper, happened_at=before)
    services.log(spent, "liquor.spent", {}, keeper, happened_at=before)
    found = {due.record_id: due for due in queries.due(now)}
    assert "Smell" in found[warm.pk].headline
    assert "first bath" in found[spent.pk].headline
    assert cold.pk not in found
    services.log(cold, "liquor.thrown", {"litres": 50.0}, keeper)
    found = {due.record_id: due for due in queries.due(now)}
    assert "Look how much is left" in found[cold.pk].headline
    assert all(due.weight < 0.5 for due in found.values())


value = st.one_of(st.text(max_size=40), st.floats().map(str), st.integers().map(str))


@given(st.dictionaries(st.sampled_from(("value", "scale", "liquor_c", "note")), value))
@settings(
    max_examples=80,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
def test_any_text_is_a_strength_or_an_error(db: None, data: dict[str, str]) -> None:
    form = StrengthForm(sent(scale="sg") | data)
    assert form.is_valid() or form.errors


@pytest.mark.parametrize(
    ("came", "told"), [("500", "cannot come out of"), ("60 gal", "cannot come out of"), ("9", "")]
)
def test_no_more_comes_out_than_went_in(
    client_of: ClientOf, keeper: Person, lot: Lot, came: str, told: str
) -> None:
    data = sent(lot_1=str(lot.pk), kg_1="2", water_l="12", which="1", volume_l=came)
    page = client_of(keeper).post(reverse("liquors:cook"), data, follow=True).content.decode()
    assert told in page
    assert Liquor.objects.exists() == (not told)


def test_a_cook_in_an_older_liquor_may_give_more_than_the_water(
    client_of: ClientOf, keeper: Person, lot: Lot, liquor: Liquor
) -> None:
    before = Liquor.objects.count()
    data = sent(lot_1=str(lot.pk), kg_1="1", water_l="0", which="1", in_liquor=str(liquor.pk),
                volume_l="4")  # fmt: skip
    client_of(keeper).post(reverse("liquors:cook"), data)
    assert Liquor.objects.count() == before + 1


def test_lots_to_cook_from_are_told_in_the_readers_units(
    client_of: ClientOf, keeper: Person, lot: Lot
) -> None:
    keeper.system = "us"
    keeper.save()
    page = client_of(keeper).get(reverse("liquors:cook")).content.decode()
    assert "lb left" in page
    assert "kg left" not in page


def test_a_gravity_is_not_taken_for_degrees(
    client_of: ClientOf, helper: Person, liquor: Liquor
) -> None:
    url = reverse("liquors:log", args=[liquor.pk, "strength"])
    page = client_of(helper).post(url, sent(value="1.018", scale="bk")).content.decode()
    assert "choose specific gravity" in page
    client_of(helper).post(url, sent(value="1.018", scale="sg"))
    liquor.refresh_from_db()
    assert liquor.strength_bk == pytest.approx(18.0, abs=0.1)


def test_the_caution_of_hot_liquor_is_in_the_readers_degrees(
    client_of: ClientOf, keeper: Person, lot: Lot
) -> None:
    assert "above about 30 °C" in client_of(keeper).get(reverse("liquors:cook")).content.decode()
    keeper.system = "us"
    keeper.save()
    page = client_of(keeper).get(reverse("liquors:cook")).content.decode()
    assert "above about 86 °F" in page
    assert "above about 30 °C" not in page


def test_a_strength_with_a_comma_is_kept(
    client_of: ClientOf, keeper: Person, liquor: Liquor
) -> None:
    url = reverse("liquors:log", args=[liquor.pk, "strength"])
    client = client_of(keeper)
    assert 'type="number"' not in client.get(url).content.decode()
    client.post(url, sent(value="12,5", scale="bk"))
    assert Entry.objects.get(record=liquor, kind="liquor.strength").data["value"] == 12.5
