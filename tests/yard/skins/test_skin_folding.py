"""The kept state of a skin follows from its live entries, whatever happens to them."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tanwright.yard.journal import services as journal
from tanwright.yard.journal.models import Entry, Record
from tanwright.yard.people.models import Person
from tanwright.yard.skins import services
from tanwright.yard.skins.models import Skin
from tanwright.yard.skins.ways import next_step
from tanwright.yard.tannage.models import Tannage, TannageSkin
from tests.yard.skins.conftest import sent

pytestmark = pytest.mark.django_db


def test_withdrawing_an_entry_takes_its_effect_back(keeper: Person, skin: Skin) -> None:
    written = services.begin_stage(skin, "soak-salted", 15.0, keeper)
    journal.withdraw(written.entry, keeper)
    skin.refresh_from_db()
    assert (skin.step, skin.stage) == ("", "salted")
    journal.restore(written.entry, keeper)
    skin.refresh_from_db()
    assert skin.step == "soak-salted"


def test_a_corrected_weight_counts_and_keeps_its_place(keeper: Person, skin: Skin) -> None:
    when = timezone.now()
    wrong = services.weigh(skin, 30.0, keeper, happened_at=when)
    services.weigh(skin, 4.0, keeper, happened_at=when)
    journal.correct(
        wrong.entry, id=uuid.uuid4(), data={"kg": 3.1, "stage": "salted"}, happened_at=when,
        by=keeper,
    )  # fmt: skip
    skin.refresh_from_db()
    assert skin.weight_kg == 4.0


def test_thickness_is_the_mean_of_the_latest_of_each_part(keeper: Person, skin: Skin) -> None:
    for part, mm in (("neck", 4.0), ("belly", 1.0), ("neck", 3.0)):
        services.measure(skin, keeper, thickness_mm=mm, part=part)
    assert skin.thickness_mm == pytest.approx(2.0)


def test_how_it_keeps_counts_until_the_first_soak(keeper: Person, skin: Skin) -> None:
    services.move(skin, keeper, keeping="frozen", place="freezer")
    assert (skin.keeping, skin.stage) == ("frozen", "green")
    services.begin_stage(skin, "soak-frozen", 10.0, keeper)
    services.move(skin, keeper, keeping="dried", place="wash house")
    assert (skin.keeping, skin.place) == ("frozen", "wash house")


def test_entries_written_late_stand_where_they_happened(keeper: Person, skin: Skin) -> None:
    now = timezone.now()
    services.end_stage(skin, "soak-salted", "done", keeper, happened_at=now)
    services.begin_stage(skin, "soak-salted", 15.0, keeper, happened_at=now - timedelta(hours=30))
    assert (skin.step, skin.step_done, skin.stage) == ("", "soak-salted", "soaked")


@pytest.fixture
def tannage(keeper: Person, skin: Skin) -> Tannage:
    made = journal.open_record(Tannage, Record.Kind.TANNAGE, keeper, vat="blue tub")
    TannageSkin.objects.create(tannage=made, skin=skin)
    return made


def touch(tannage: Tannage, skin: Skin, role: str, by: Person) -> Entry:
    return journal.write(
        id=uuid.uuid4(), record=tannage, kind="tannage.note", data={}, happened_at=timezone.now(),
        by=by, note="x", touches=[(skin, role)],
    ).entry  # fmt: skip


def test_the_vat_takes_it_in_and_lets_it_out(
    keeper: Person, skin: Skin, tannage: Tannage, client_of: Callable[[Person], Client]
) -> None:
    went_in = touch(tannage, skin, "into the vat", keeper)
    skin.refresh_from_db()
    assert skin.stage == "vat"
    page = client_of(keeper).get(skin.get_absolute_url()).content.decode()
    assert tannage.get_absolute_url() in page
    assert "it lies in it now" in page
    came_out = touch(tannage, skin, "out of the vat", keeper)
    skin.refresh_from_db()
    assert skin.stage == "leather"
    journal.withdraw(came_out, keeper)
    journal.withdraw(went_in, keeper)
    skin.refresh_from_db()
    assert skin.stage == "salted"


def test_correcting_on_the_entry_page_shows_the_old_values(
    keeper: Person, skin: Skin, client_of: Callable[[Person], Client]
) -> None:
    client = client_of(keeper)
    amounts = [{"what": "water, each change", "l": 12.0}, {"what": "salt", "kg": 0.1}]
    entry = services.begin_stage(skin, "soak-salted", 12.0, keeper, amounts=amounts).entry
    url = reverse("journal:correct", args=[entry.pk])
    page = client.get(url).content.decode()
    assert 'value="12"' in page
    assert 'value="100"' in page  # 0.1 kg in grams
    data = sent(step="soak-salted", temperature_c="9", amount_0="10", amount_1="")
    assert client.post(url, data).status_code == 302
    skin.refresh_from_db()
    assert skin.step_temperature_c == 9.0
    assert Entry.objects.get(corrects=entry).data["amounts"] == [
        {"what": "water, each change", "l": 10.0}
    ]


def test_a_soak_says_how_the_skin_lay_before_it_was_written_down(
    keeper: Person, skin: Skin, client_of: Callable[[Person], Client]
) -> None:
    begun = timezone.now() - timedelta(hours=30)
    services.begin_stage(skin, "soak-dried", 15.0, keeper, happened_at=begun)
    assert (skin.keeping, skin.stage, skin.step) == ("dried", "dried", "soak-dried")
    url = reverse("skins:end", args=[skin.pk])
    assert "What did you find: Soak back" in client_of(keeper).get(url).content.decode()


def test_a_stage_that_the_way_lost_can_still_be_ended(
    keeper: Person, skin: Skin, client_of: Callable[[Person], Client]
) -> None:
    services.choose_way(skin, "lime", "boric", keeper)
    services.begin_stage(skin, "unhair-lime", 15.0, keeper)
    services.choose_way(skin, "ash", "boric", keeper)
    client = client_of(keeper)
    assert client.get(skin.get_absolute_url()).status_code == 200
    assert client.get(reverse("skins:preparation", args=[skin.pk])).status_code == 200
    client.post(
        reverse("skins:end", args=[skin.pk]), sent(step="unhair-lime", looked="done", kg="")
    )
    skin.refresh_from_db()
    assert (skin.step, skin.step_done) == ("", "unhair-lime")
    assert client.get(skin.get_absolute_url()).status_code == 200
    assert next_step(skin) == "scrape-ash"


def test_the_freezer_is_left_behind_with_the_first_bath(keeper: Person) -> None:
    deer = services.new_skin(keeper, "deer", keeping="frozen", place="chest freezer")
    services.begin_stage(deer, "soak-frozen", 10.0, keeper)
    assert deer.place == ""
    services.move(deer, keeper, place="blue tub")
    services.end_stage(deer, "soak-frozen", "done", keeper)
    services.begin_stage(deer, next_step(deer), 10.0, keeper)
    assert deer.place == "blue tub"
    services.begin_stage(deer, next_step(deer) or deer.step, 10.0, keeper, place="the beam")
    assert deer.place == "the beam"
