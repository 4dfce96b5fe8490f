"""What a beginner does in another order than was thought of, and writes in another way."""

from __future__ import annotations

import uuid
from datetime import timedelta
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from tanwright.errors import InputError
from tanwright.planning.trials.cutting import Cut
from tanwright.planning.trials.offcuts import usual_outline
from tanwright.yard.journal.models import Entry
from tanwright.yard.people.models import Person
from tanwright.yard.trials import grading_services as grading
from tanwright.yard.trials import offcut_services as offcuts
from tanwright.yard.trials import services
from tanwright.yard.trials import to_skin as onward
from tanwright.yard.trials.models import Trial

PIECES = {"thickness_mm": "2", "skin": "", "graders": "2", "jars_each": "1"}


def now(**more: str) -> dict[str, str]:
    """What every form of an entry carries."""
    written = timezone.localtime().strftime("%Y-%m-%dT%H:%M")
    return {"entry_id": str(uuid.uuid4()), "happened_at": written, "note": "", **more}


def neck(trial: Trial, by: Person) -> None:
    offcuts.add_offcut(trial, usual_outline("neck", "goat"), by, region="shoulder")


def test_patches_may_be_counted_after_offcuts_were_drawn(planned: Trial, keeper: Person) -> None:
    neck(planned, keeper)
    neck(planned, keeper)
    services.count_patches(planned, {"belly": 3, "shanks": 2}, keeper)
    assert list(planned.offcuts.values_list("number", flat=True)) == [1, 2, 3, 4]
    services.count_patches(planned, {"belly": 4}, keeper)
    assert list(planned.offcuts.values_list("number", flat=True)) == [1, 2, 3]
    assert planned.patches.count() == 4
    assert len(offcuts.drawn_offcuts(planned)) == 2, "what was drawn stays"
    assert len(offcuts.lay_out(planned, Cut(5.0, 5.0, most=6), keeper).patches) == 6


def test_the_size_of_patches_that_are_laid_out_is_told_and_changed_elsewhere(
    client_of: Any, planned: Trial, keeper: Person
) -> None:
    neck(planned, keeper)
    offcuts.lay_out(planned, Cut(5.0, 4.0, most=6), keeper)
    client, step = client_of(keeper), reverse("trials:step", args=[planned.pk, "pieces"])
    page = client.get(step).content.decode()
    assert "6 patches of 5 × 4 cm are laid out" in page
    assert reverse("trials:offcuts", args=[planned.pk]) in page
    assert 'name="width_cm"' not in page
    answer = client.post(step, {**PIECES, "graders": "3", "width_cm": "9", "n_belly": "40"})
    assert answer.status_code == 302
    planned.refresh_from_db()
    assert planned.facts["graders"] == 3
    assert planned.facts["width_cm"] == 5.0
    assert set(planned.patches.values_list("width_cm", "height_cm")) == {(5.0, 4.0)}
    assert planned.patches.count() == 6


def test_what_takes_the_place_of_counted_or_dealt_patches_is_told_before(
    client_of: Any, dealt: Trial, keeper: Person
) -> None:
    client = client_of(keeper)
    page = client.get(reverse("trials:offcuts", args=[dealt.pk])).content.decode()
    assert "9 patches are counted now" in page
    page = client.get(reverse("trials:step", args=[dealt.pk, "pieces"])).content.decode()
    assert "do not change it once they are cut" in page


def test_counts_that_are_emptied_take_the_patches_away(
    client_of: Any, planned: Trial, keeper: Person
) -> None:
    step = reverse("trials:step", args=[planned.pk, "pieces"])
    client_of(keeper).post(step, {**PIECES, "width_cm": "6", "height_cm": "5"})
    planned.refresh_from_db()
    assert planned.patches.count() == 0
    assert planned.facts["counts"] == {}


def test_a_plan_that_was_changed_is_dealt_out_anew_before_it_starts(
    client_of: Any, dealt: Trial, keeper: Person
) -> None:
    services.set_facts(dealt, {"plants": ["picea-abies-bark"]}, keeper)
    page = client_of(keeper).get(dealt.get_absolute_url()).content.decode()
    assert "Deal the patches out anew" in page
    page = client_of(keeper).get(reverse("trials:jars", args=[dealt.pk])).content.decode()
    assert "the plan before" in page
    assert "The patches go in" not in page
    with pytest.raises(InputError, match="changed since"):
        services.start(dealt, keeper, id=uuid.uuid4(), happened_at=timezone.now())
    dealt.refresh_from_db()
    assert dealt.begun_at is None
    services.make_the_design(dealt, keeper, id=uuid.uuid4())
    services.start(dealt, keeper, id=uuid.uuid4(), happened_at=timezone.now())
    assert dealt.begun_at is not None


def test_nothing_is_noted_of_jars_that_held_no_patch_yet(
    dealt: Trial, keeper: Person, client_of: Any
) -> None:
    with pytest.raises(InputError, match="no patch lies in a jar"):
        services.log(dealt, "look", {"jar": 1, "look": "tea"}, keeper)
    start = timezone.now() - timedelta(days=3)
    services.start(dealt, keeper, id=uuid.uuid4(), happened_at=start)
    with pytest.raises(InputError, match="not in the jars yet") as refused:
        services.log(dealt, "look", {"jar": 1, "look": "tea"}, keeper,
                     happened_at=start - timedelta(hours=1))  # fmt: skip
    assert refused.value.place == "when"
    early = (timezone.localtime() - timedelta(days=9)).strftime("%Y-%m-%dT%H:%M")
    page = client_of(keeper).post(
        reverse("trials:log", args=[dealt.pk]) + "?what=look", now(jar_1="tea", happened_at=early)
    )
    assert "they went in on" in page.content.decode()
    assert not Entry.objects.filter(kind="trial.look").exists()
    services.log(dealt, "note", {}, keeper, happened_at=start - timedelta(days=1), note="soaked")


def test_no_more_is_cooked_than_the_jars_have(running: Trial, keeper: Person) -> None:
    same = uuid.uuid4()
    services.cook(running, 0.4, keeper, id=same, happened_at=timezone.now())
    again = services.cook(running, 0.4, keeper, id=same, happened_at=timezone.now())
    assert not again.new, "sent twice"
    with pytest.raises(InputError, match="only 10 %"):
        services.cook(running, 0.4, keeper, id=uuid.uuid4(), happened_at=timezone.now())
    services.cook(running, 0.11, keeper, id=uuid.uuid4(), happened_at=timezone.now())


def test_a_choice_made_early_leaves_the_jars_to_be_noted(running: Trial, keeper: Person) -> None:
    onward.to_skin(running, "control", keeper, id=uuid.uuid4(), skins=[], pelt_kg=2.0)
    running.refresh_from_db()
    assert running.state == Trial.State.RUNNING, "patches still lie in the jars"
    jars: dict[int, Any] = {jar.number: {} for jar in running.jars.all()}
    services.log_jars(running, "taken_out", jars, keeper, id=uuid.uuid4(),
                      happened_at=timezone.now())  # fmt: skip
    running.refresh_from_db()
    assert running.state == Trial.State.DONE


def test_nothing_is_taken_to_a_skin_before_the_patches_were_in_the_jars(
    client_of: Any, dealt: Trial, keeper: Person
) -> None:
    with pytest.raises(InputError, match="nothing is known"):
        onward.to_skin(dealt, "control", keeper, id=uuid.uuid4(), skins=[], pelt_kg=2.0)
    page = client_of(keeper).get(reverse("trials:to-skin", args=[dealt.pk]), follow=True)
    assert "No patch was in a jar yet" in page.content.decode()


def test_one_hand_has_one_name_however_it_is_written(
    client_of: Any, running: Trial, keeper: Person
) -> None:
    grades = dict.fromkeys(running.patches.values_list("number", flat=True), 3)
    grading.grade(running, "Old hand", "feel", grades, keeper, id=uuid.uuid4(),
                  happened_at=timezone.now())  # fmt: skip
    sheet = reverse("trials:grade", args=[running.pk, "feel"]) + "?grader=old+hand"
    page = client_of(keeper).get(sheet)
    assert "Old hand, for each patch" in page.content.decode()
    assert page.content.decode().count(" checked") == len(grades)


def test_a_comma_is_a_point(client_of: Any, running: Trial, keeper: Person) -> None:
    log = reverse("trials:log", args=[running.pk]) + "?what=strength"
    client = client_of(keeper)
    assert 'type="number"' not in client.get(log).content.decode(), "2,5 would be sent as nothing"
    client.post(log, now(jar_1="12,5", scale="bk"))
    assert running.jars.get(number=1).last_bk == 12.5
    one = reverse("trials:log-one", args=[running.pk, "strength"])
    client.post(one, now(jar="2", value="7,5", scale="bk"))
    assert running.jars.get(number=2).last_bk == 7.5


def test_a_plant_that_may_be_many_is_asked_about_by_its_names(
    client_of: Any, planned: Trial, keeper: Person
) -> None:
    step = reverse("trials:step", args=[planned.pk, "compare"])
    page = client_of(keeper).post(step, {"usual": "English oak bark", "plants": "oak"})
    told = page.content.decode().partition("error-summary")[2][:900]
    assert "write which one" in told
    assert "quercus-" not in told


def test_nobody_waits_for_a_forecast_that_is_not_made(
    client_of: Any, running: Trial, keeper: Person, settings: Any
) -> None:
    settings.FORECASTS = "off"
    for name in ("trials:trial", "trials:jars"):
        page = client_of(keeper).get(reverse(name, args=[running.pk])).content.decode()
        assert "The engine works out" not in page


def test_the_page_of_a_trial_leads_on_in_every_state(
    client_of: Any, planned: Trial, keeper: Person, helper: Person
) -> None:
    def leads(person: Person) -> str:
        page = client_of(person).get(planned.get_absolute_url()).content.decode()
        return page.partition('class="next-do"')[2].partition("</p>")[0]

    def address(name: str) -> str:
        return reverse(f"trials:{name}", args=[planned.pk])

    assert address("design") in leads(keeper)
    assert leads(helper) == "", "a keeper plans it"
    services.make_the_design(planned, keeper, id=uuid.uuid4())
    assert address("jars") in leads(helper)
    services.start(planned, keeper, id=uuid.uuid4(), happened_at=timezone.now())
    page = client_of(helper).get(planned.get_absolute_url()).content.decode()
    assert "Note of all jars at once" in page
    assert address("grading") in page
    assert address("results") in page
    jars: dict[int, Any] = {jar.number: {} for jar in planned.jars.all()}
    services.log_jars(planned, "taken_out", jars, keeper, id=uuid.uuid4(),
                      happened_at=timezone.now())  # fmt: skip
    assert address("grading") in leads(helper)
    services.log(planned, "unblinded", {}, keeper)
    assert leads(keeper).index(address("results")) < leads(keeper).index(address("to-skin"))
    assert address("to-skin") not in leads(helper), "only a keeper plans a tannage"
