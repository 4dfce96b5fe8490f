"""From rinsing to the shelf: stages begin and end, and amounts fit this skin."""

from __future__ import annotations

import uuid
from datetime import timedelta
from typing import Any

import pytest
from django.urls import reverse

from tanwright.planning.finishing import WetLeather, finish
from tanwright.yard.journal.models import Entry
from tanwright.yard.journal.services import correct, withdraw
from tanwright.yard.leather import queries
from tanwright.yard.leather.stages import standing_after, way_of
from tests.yard.leather.conftest import OUT


def begin_data(**more: Any) -> dict[str, Any]:
    return {"entry_id": str(uuid.uuid4()), "happened_at": "2026-05-20T12:00"} | more


def test_a_helper_begins_a_stage_and_the_page_tells_when_to_look(
    client_of: Any, helper: Any, leather: Any
) -> None:
    client = client_of(helper)
    url = reverse("leather:begin", args=[leather.pk, "rinse-leather"])
    assert "Done when" in client.get(url).content.decode()
    client.post(url, begin_data(temperature_c="12", stage="rinse-leather"))
    leather.refresh_from_db()
    assert (leather.step, leather.step_temperature_c) == ("rinse-leather", 12.0)
    page = client.get(leather.get_absolute_url()).content.decode()
    assert "most likely done" in page
    assert "How it looks" in page


def test_the_warmth_typed_in_fahrenheit_is_kept_in_celsius(
    client_of: Any, keeper: Any, leather: Any
) -> None:
    keeper.system = "us"
    keeper.save()
    url = reverse("leather:begin", args=[leather.pk, "dry"])
    client_of(keeper).post(url, begin_data(temperature_c="59", stage="dry"))
    leather.refresh_from_db()
    assert leather.step_temperature_c == pytest.approx(15.0)


def test_how_much_oil_was_used_is_kept_and_shown(client_of: Any, helper: Any, leather: Any) -> None:
    client = client_of(helper)
    url = reverse("leather:begin", args=[leather.pk, "oil"])
    client.post(url, begin_data(used_kg="90 g", stage="oil"))
    assert Entry.objects.get(record=leather).data["used_kg"] == pytest.approx(0.09)
    assert "used 90 g" in client.get(leather.get_absolute_url()).content.decode()
    dry = client.get(reverse("leather:begin", args=[leather.pk, "dry"])).content.decode()
    assert "What was used" not in dry


def test_a_look_that_meets_the_end_test_leads_on(
    client_of: Any, helper: Any, leather: Any, note: Any
) -> None:
    note(leather, "stage_begun", {"stage": "rinse-leather"})
    url = reverse("leather:ended", args=[leather.pk])
    client_of(helper).post(url, begin_data(looked="done", stage="rinse-leather"))
    leather.refresh_from_db()
    assert (leather.step, leather.next_step) == ("", "sammy")


@pytest.mark.parametrize(
    ("looked", "words"), [("not-yet", "hang it longer"), ("trouble", "Damp cloth")]
)
def test_a_look_that_does_not_stays_and_says_what_to_do(
    client_of: Any, helper: Any, leather: Any, note: Any, looked: str, words: str
) -> None:
    note(leather, "stage_begun", {"stage": "sammy"})
    url = reverse("leather:ended", args=[leather.pk])
    page = client_of(helper).post(url, begin_data(looked=looked, stage="sammy"), follow=True)
    assert words in page.content.decode()
    leather.refresh_from_db()
    assert leather.step == "sammy"


def test_the_last_stage_done_finishes_it_and_a_withdrawal_takes_that_back(
    leather: Any, note: Any, keeper: Any
) -> None:
    keys = [stage.key for stage in way_of(leather)]
    last: Any = None
    for place, key in enumerate(keys):
        note(leather, "stage_begun", {"stage": key}, 10.0 * place + 1)
        last = note(leather, "stage_ended", {"stage": key, "looked": "done"}, 10.0 * place + 5)
    leather.refresh_from_db()
    assert leather.finished_at == last.entry.happened_at
    withdraw(last.entry, keeper)
    leather.refresh_from_db()
    assert (leather.finished_at, leather.step) == (None, keys[-1])


def test_oil_is_for_the_weight_of_this_skin(leather: Any, note: Any) -> None:
    note(leather, "weighed", {"kg": 2.0, "state": "damp"})
    told = next(stage for stage in queries.page_of(leather, "metric").stages if stage.key == "oil")
    of_engine = finish(WetLeather(2.0, "bag"))[2].quantities[0]
    assert told.amounts[0].words.startswith(f"{of_engine.low:.0f} to {of_engine.high:.0f} g of ")


def test_oil_reads_in_ounces_for_us_units(leather: Any, note: Any) -> None:
    note(leather, "weighed", {"kg": 2.0, "state": "damp"})
    told = next(stage for stage in queries.page_of(leather, "us").stages if stage.key == "oil")
    assert " oz of " in told.amounts[0].words
    assert " g of " not in told.amounts[0].words


def test_without_a_damp_weight_it_is_reckoned_from_the_pelt_and_said_so(leather: Any) -> None:
    assert "about 1.6 kg, reckoned from the pelt" in queries.page_of(leather, "metric").weight_from


def test_a_fur_is_oiled_on_the_flesh_side_and_never_finished_firm(leather: Any, skin: Any) -> None:
    skin.refresh_from_db()
    skin.hair_on = True
    skin.save()
    leather.aim = "sole"
    leather.skin = skin
    assert "oil-fur" in [stage.key for stage in way_of(leather)]


def test_correcting_a_stage_moves_its_times(leather: Any, note: Any, keeper: Any) -> None:
    written = note(leather, "stage_begun", {"stage": "dry", "temperature_c": 10.0})
    correct(
        written.entry,
        id=uuid.uuid4(),
        data={"stage": "dry", "temperature_c": 20.0},
        happened_at=OUT + timedelta(hours=3),
        by=keeper,
    )
    leather.refresh_from_db()
    assert leather.step_temperature_c == 20.0
    assert leather.step_since == OUT + timedelta(hours=3)


def test_a_correction_within_the_same_minute_keeps_its_place(
    leather: Any, note: Any, keeper: Any
) -> None:
    begun = note(leather, "stage_begun", {"stage": "sammy"})
    note(leather, "stage_ended", {"stage": "sammy", "looked": "done"})
    correct(
        begun.entry,
        id=uuid.uuid4(),
        data={"stage": "sammy", "temperature_c": 12.0},
        happened_at=begun.entry.happened_at,
        by=keeper,
    )
    leather.refresh_from_db()
    assert (leather.step, leather.next_step) == ("", "oil")


@pytest.mark.parametrize("warm", ["hot", "-300", "99999", "2000 °C"])
def test_a_warmth_that_cannot_be_is_shown_beside_its_field(
    client_of: Any, helper: Any, leather: Any, warm: str
) -> None:
    url = reverse("leather:begin", args=[leather.pk, "dry"])
    page = client_of(helper).post(url, begin_data(temperature_c=warm, stage="dry"))
    assert "error-summary" in page.content.decode()
    assert not Entry.objects.filter(record=leather).exists()


def test_a_stage_that_is_none_is_not_found(client_of: Any, helper: Any, leather: Any) -> None:
    url = reverse("leather:begin", args=[leather.pk, "boil-it"])
    assert client_of(helper).get(url).status_code == 404


def test_looking_while_nothing_runs_leads_back(client_of: Any, helper: Any, leather: Any) -> None:
    response = client_of(helper).get(reverse("leather:ended", args=[leather.pk]))
    assert response["Location"] == leather.get_absolute_url()


def test_a_stranger_may_not_log(client_of: Any, leather: Any, on_network: None) -> None:
    url = reverse("leather:begin", args=[leather.pk, "dry"])
    response = client_of(None).post(url, begin_data(stage="dry"), secure=True)
    assert reverse("people:sign-in") in response["Location"]
    assert not Entry.objects.filter(record=leather).exists()


def test_a_stage_begun_again_is_unfinished(leather: Any) -> None:
    class Noted:
        def __init__(self, kind: str, data: dict[str, Any], hours: float) -> None:
            self.kind, self.data = kind, data
            self.happened_at = OUT + timedelta(hours=hours)

    done = Noted("leather.stage_ended", {"stage": "b", "looked": "done"}, 1)
    again = Noted("leather.stage_begun", {"stage": "a"}, 2)
    assert standing_after(("a", "b"), [done]).finished_at is not None
    now = standing_after(("a", "b"), [done, again])
    assert (now.finished_at, now.step) == (None, "a")


def test_a_page_that_is_behind_ends_no_other_stage(
    client_of: Any, helper: Any, leather: Any
) -> None:
    client = client_of(helper)
    first, second = (stage.key for stage in way_of(leather)[:2])
    ended = reverse("leather:ended", args=[leather.pk])
    client.post(reverse("leather:begin", args=[leather.pk, first]), begin_data(stage=first))
    kept = begin_data(stage=first, looked="done", happened_at="2026-05-20T13:00")
    client.post(ended, kept)
    later = begin_data(stage=second, happened_at="2026-05-20T14:00")
    client.post(reverse("leather:begin", args=[leather.pk, second]), later)
    client.post(ended, kept)  # sent again by a slow phone
    said = client.post(ended, begin_data(stage=first, looked="done"), follow=True).content.decode()
    assert "somebody went on with this leather" in said
    leather.refresh_from_db()
    assert leather.step == second
    assert Entry.objects.filter(record=leather, kind="leather.stage_ended").count() == 1
