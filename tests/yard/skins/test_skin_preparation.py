"""The way from raw to the vat: stages, choice of the way, beginning and ending them."""

from __future__ import annotations

import html
from collections.abc import Callable
from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tanwright.errors import InputError
from tanwright.yard.journal.models import Entry
from tanwright.yard.people.models import Person
from tanwright.yard.skins import services, ways
from tanwright.yard.skins.models import Skin
from tanwright.yard.skins.ways import next_step
from tests.yard.skins.conftest import a_photo, sent

ClientOf = Callable[[Person | None], Client]

pytestmark = pytest.mark.django_db


def go(skin: Skin, by: Person, step: str, temperature_c: float = 15.0, ago_h: float = 0.0) -> None:
    """Begin a stage and end it well."""
    then = timezone.now() - timedelta(hours=ago_h)
    services.begin_stage(skin, step, temperature_c, by, happened_at=then)
    services.end_stage(skin, step, "done", by, happened_at=then)


def test_the_page_tells_every_stage_for_this_skin(
    client_of: ClientOf, keeper: Person, skin: Skin
) -> None:
    url = reverse("skins:preparation", args=[skin.pk])
    page = html.unescape(client_of(keeper).get(url).content.decode())
    for stage in ways.stages_of(skin):
        assert f"<h2>{stage.name}</h2>" in page
        assert stage.end_test in page
        for caution in stage.cautions:
            assert caution.text in page
    assert "its latest weight, 3 kg (wet salted)" in page
    assert "Nobody has chosen yet" in page


def test_times_follow_the_warmth(client_of: ClientOf, keeper: Person, skin: Skin) -> None:
    url = reverse("skins:preparation", args=[skin.pk])
    client = client_of(keeper)
    cold, warm = (client.get(url, {"temperature": text}).context["stages"] for text in ("10", "20"))
    lime = [stage.key for stage in cold].index("unhair-lime")
    assert cold[lime].hours != warm[lime].hours
    assert "most likely 7" in cold[lime].hours
    refused = client.get(url, {"temperature": "boiling"})
    assert refused.status_code == 200
    assert refused.context["stages"][lime].hours == ways.shown(skin, 15.0, "metric")[lime].hours


def test_a_keeper_chooses_the_way(client_of: ClientOf, keeper: Person, skin: Skin) -> None:
    client, url = client_of(keeper), reverse("skins:way", args=[skin.pk])
    assert "somebody has to look every few hours" in client.get(url).content.decode()
    answer = client.post(url, {"unhair": "ash", "delime": "bran", "bate": "on"})
    assert answer["Location"] == reverse("skins:preparation", args=[skin.pk])
    skin.refresh_from_db()
    keys = [stage.key for stage in ways.stages_of(skin)]
    assert {"unhair-ash", "delime-bran", "bate"} <= set(keys)


@pytest.mark.parametrize(
    ("unhair", "delime", "told"),
    [
        ("sweat", "boric", "holds no lime"),
        ("lime", "none", "spoils the tan"),
        ("lime-sulfide", "vinegar", "deadly hydrogen sulfide"),
        ("fire", "water", "Select a valid choice"),
    ],
)
def test_ways_that_contradict_each_other_are_refused(
    client_of: ClientOf, keeper: Person, skin: Skin, unhair: str, delime: str, told: str
) -> None:
    url = reverse("skins:way", args=[skin.pk])
    answer = client_of(keeper).post(url, {"unhair": unhair, "delime": delime})
    assert answer.status_code == 200
    assert told in answer.content.decode()
    skin.refresh_from_db()
    assert skin.unhair == ""


def test_a_helper_begins_a_stage_with_what_really_went_in(
    client_of: ClientOf, helper: Person, skin: Skin
) -> None:
    client, url = client_of(helper), reverse("skins:begin", args=[skin.pk])
    assert "Usual: " in client.get(url).content.decode()
    data = sent(step="soak-salted", temperature_c="11", amount_0="12.5")
    for _ in range(2):
        assert client.post(url, data)["Location"] == skin.get_absolute_url()
    skin.refresh_from_db()
    assert (skin.step, skin.step_temperature_c) == ("soak-salted", 11.0)
    entry = Entry.objects.get(kind="skin.stage_begun")
    assert entry.data["amounts"][0]["l"] == 12.5
    page = client.get(skin.get_absolute_url()).content.decode()
    assert "Soak out the salt runs" in page
    assert "Begun: Soak out the salt at 11 °C; 12 L" in page


def test_the_whole_way_to_the_vat(client_of: ClientOf, keeper: Person, skin: Skin) -> None:
    services.choose_way(skin, "lime", "boric", keeper)
    client = client_of(keeper)
    for stage in ways.stages_of(skin):
        assert ways.next_step(skin) == stage.key
        assert client.post(
            reverse("skins:begin", args=[skin.pk]), sent(step=stage.key, temperature_c="15")
        ).status_code == 302  # fmt: skip
        client.post(
            reverse("skins:end", args=[skin.pk]), sent(step=stage.key, looked="done", kg="")
        )
        skin.refresh_from_db()
        assert (skin.step, skin.step_done) == ("", stage.key)
    assert skin.is_ready
    assert skin.stage == "delimed"
    page = client.get(skin.get_absolute_url()).content.decode()
    assert "Put it in the vat" in page
    ready = client.get(reverse("skins:skins"), {"show": "ready"}).content.decode()
    assert skin.get_absolute_url() in ready
    stages = client.get(reverse("skins:preparation", args=[skin.pk]))
    assert {stage.standing for stage in stages.context["stages"]} == {"done"}


def test_before_unhairing_the_way_is_asked_for(
    client_of: ClientOf, keeper: Person, skin: Skin
) -> None:
    go(skin, keeper, "soak-salted")
    go(skin, keeper, "flesh")
    page = client_of(keeper).get(skin.get_absolute_url()).content.decode()
    assert "Choose how the hair comes off" in page


def test_with_the_hair_on_nothing_is_unhaired(keeper: Person) -> None:
    fur = services.new_skin(keeper, "fox", keeping="fresh", weight_kg=0.8, hair_on=True)
    keys = [stage.key for stage in ways.stages_of(fur)]
    assert not [key for key in keys if "unhair" in key or "delime" in key]
    for key in keys:
        go(fur, keeper, key)
    assert fur.is_ready
    assert fur.stage == "soaked"


def test_not_yet_runs_on_and_is_looked_at_again(
    client_of: ClientOf, helper: Person, skin: Skin
) -> None:
    begun = timezone.now() - timedelta(hours=30)
    services.begin_stage(skin, "soak-salted", 15.0, helper, happened_at=begun)
    url = reverse("skins:end", args=[skin.pk])
    answer = client_of(helper).post(
        url, sent(step="soak-salted", looked="not-yet", photo=a_photo()), follow=True
    )
    skin.refresh_from_db()
    assert skin.step == "soak-salted"
    assert skin.look_again_at is not None
    assert skin.look_again_at > timezone.now()
    page = answer.content.decode()
    assert "Still stiff or pale inside" in html.unescape(page)
    assert "/small/" in page


def test_an_own_time_to_look_again_is_kept(client_of: ClientOf, helper: Person, skin: Skin) -> None:
    services.begin_stage(skin, "soak-salted", 15.0, helper)
    when = (timezone.localtime() + timedelta(hours=5)).replace(second=0, microsecond=0)
    data = sent(step="soak-salted", looked="trouble", look_again_at=when.strftime("%Y-%m-%dT%H:%M"))
    client_of(helper).post(reverse("skins:end", args=[skin.pk]), data)
    skin.refresh_from_db()
    assert skin.look_again_at == when


def test_a_weight_far_off_is_questioned_and_kept(
    client_of: ClientOf, helper: Person, skin: Skin
) -> None:
    services.begin_stage(skin, "soak-salted", 15.0, helper)
    url = reverse("skins:end", args=[skin.pk])
    data = sent(step="soak-salted", looked="done", kg="9")
    page = client_of(helper).post(url, data, follow=True).content.decode()
    assert "9 kg is more than usual after this stage" in page
    skin.refresh_from_db()
    assert (skin.weight_kg, skin.weighed_at_stage, skin.stage) == (9.0, "soaked", "soaked")


def test_a_usual_weight_is_not_questioned(client_of: ClientOf, helper: Person, skin: Skin) -> None:
    services.begin_stage(skin, "soak-salted", 15.0, helper)
    data = sent(step="soak-salted", looked="done", kg="3.7")
    url = reverse("skins:end", args=[skin.pk])
    assert "than usual" not in client_of(helper).post(url, data, follow=True).content.decode()


def test_amounts_follow_the_latest_weight(keeper: Person, skin: Skin) -> None:
    def lime_kg() -> float:
        stages = ways.stages_of(skin)
        lime = next(stage for stage in stages if stage.key == "unhair-lime")
        return next(item.low for item in lime.quantities if item.what == "slaked lime")

    go(skin, keeper, "soak-salted")
    services.weigh(skin, 3.0, keeper, stage="soaked")
    first = lime_kg()
    services.weigh(skin, 6.0, keeper, stage="soaked")
    assert lime_kg() == pytest.approx(2.0 * first)
    assert first == pytest.approx(3.0 * 0.02 * 1.321, rel=1e-3)


def test_several_skins_get_amounts_for_all(keeper: Person) -> None:
    one = services.new_skin(keeper, "goat", keeping="salted", weight_kg=3.0)
    three = services.new_skin(keeper, "goat", keeping="salted", weight_kg=3.0, count=3)
    amounts = [ways.shown(item, 15.0, "metric")[0].amounts[0] for item in (one, three)]
    assert amounts[1].likely == pytest.approx(3.0 * amounts[0].likely)
    assert "for all 3 together" in amounts[1].words


def test_nothing_is_known_of_an_unweighed_strange_animal(
    client_of: ClientOf, keeper: Person
) -> None:
    strange = services.new_skin(keeper, "", keeping="dried")
    url = reverse("skins:preparation", args=[strange.pk])
    page = client_of(keeper).get(url).content.decode()
    assert "amounts are for 1 kg of skin" in page


@pytest.mark.parametrize(
    ("name", "fields"),
    [
        ("begin", {"step": "soak-salted", "temperature_c": "90"}),
        ("begin", {"step": "soak-salted", "temperature_c": ""}),
        ("begin", {"step": "soak-salted", "temperature_c": "15", "amount_0": "lots"}),
        ("end", {"step": "soak-salted", "looked": ""}),
        ("end", {"step": "soak-salted", "looked": "eaten"}),
        ("end", {"step": "soak-salted", "looked": "done", "kg": "0"}),
        ("end", {"step": "soak-salted", "looked": "not-yet", "look_again_at": "soon"}),
    ],
)
def test_bad_input_is_told_and_not_written(
    client_of: ClientOf, helper: Person, skin: Skin, name: str, fields: dict[str, str]
) -> None:
    if name == "end":
        services.begin_stage(skin, "soak-salted", 15.0, helper)
    before = Entry.objects.count()
    answer = client_of(helper).post(reverse(f"skins:{name}", args=[skin.pk]), sent(**fields))
    assert answer.status_code == 200
    assert "error-summary" in answer.content.decode()
    assert Entry.objects.count() == before


def test_no_stage_runs_and_none_of_that_name(
    client_of: ClientOf, keeper: Person, skin: Skin
) -> None:
    client = client_of(keeper)
    end = reverse("skins:end", args=[skin.pk])
    assert client.get(end)["Location"] == skin.get_absolute_url()
    begin = reverse("skins:begin", args=[skin.pk])
    assert client.get(begin, {"step": "nonsense"})["Location"] == skin.get_absolute_url()


def test_a_skin_past_its_preparation_is_not_soaked_again(keeper: Person, skin: Skin) -> None:
    Skin.objects.filter(pk=skin.pk).update(stage="vat")
    skin.refresh_from_db()
    with pytest.raises(InputError, match="past its preparation"):
        services.begin_stage(skin, "soak-salted", 15.0, keeper)


def test_a_page_that_is_behind_notes_nothing_of_another_stage(
    client_of: ClientOf, helper: Person, keeper: Person, skin: Skin
) -> None:
    client = client_of(helper)
    begin, end = (reverse(f"skins:{name}", args=[skin.pk]) for name in ("begin", "end"))
    behind = sent(step="soak-salted", temperature_c="12")
    services.begin_stage(skin, "soak-salted", 12.0, keeper)
    services.end_stage(skin, "soak-salted", "done", keeper)
    said = client.post(begin, behind, follow=True).content.decode()
    assert "somebody went on with this skin" in said
    skin.refresh_from_db()
    assert skin.step == ""
    services.begin_stage(skin, next_step(skin), 12.0, keeper)
    said = client.post(end, sent(step="soak-salted", looked="done"), follow=True).content.decode()
    assert "somebody went on with this skin" in said
    skin.refresh_from_db()
    assert skin.step_done == "soak-salted"
    assert Entry.objects.filter(record=skin, kind="skin.stage_ended").count() == 1


def test_begun_twice_with_one_page_is_begun_once(
    client_of: ClientOf, helper: Person, skin: Skin
) -> None:
    client, url = client_of(helper), reverse("skins:begin", args=[skin.pk])
    page = sent(step="soak-salted", temperature_c="12", place="tub by the door")
    client.post(url, page)
    said = client.post(url, page, follow=True).content.decode()
    assert "No stage waits" not in said
    assert Entry.objects.filter(record=skin, kind="skin.stage_begun").count() == 1
    skin.refresh_from_db()
    assert skin.place == "tub by the door"
