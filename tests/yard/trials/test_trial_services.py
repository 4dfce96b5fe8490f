"""What may be done with a trial, by whom, and what is kept of it."""

from __future__ import annotations

import uuid
from datetime import timedelta
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.utils import timezone

from tanwright.errors import InputError
from tanwright.yard.journal.models import Entry
from tanwright.yard.journal.services import withdraw
from tanwright.yard.people.models import Person
from tanwright.yard.stock.models import Lot
from tanwright.yard.tannage import services as tannages
from tanwright.yard.tannage.models import Tannage
from tanwright.yard.trials import reckoning, renewing, services
from tanwright.yard.trials import to_skin as onward
from tanwright.yard.trials.due import due, next_day
from tanwright.yard.trials.jar_readings import readings_of
from tanwright.yard.trials.models import Jar, Trial
from tanwright.yard.trials.renewing import is_stale, renew_if_stale
from tanwright.yard.trials.vat_ratios import ratios_of_vat

from .conftest import ALDER, OAK


def id() -> uuid.UUID:
    return uuid.uuid4()


# Planning


def test_a_trial_is_opened_once_and_by_a_keeper(keeper: Person, helper: Person) -> None:
    same = id()
    one = services.begin_trial(keeper, "dose", id=same)
    assert services.begin_trial(keeper, "dose", id=same) == one
    with pytest.raises(PermissionDenied):
        services.begin_trial(helper, "dose")
    with pytest.raises(InputError, match="no question"):
        services.begin_trial(keeper, "whither")


def test_answers_make_the_treatments(planned: Trial, keeper: Person) -> None:
    assert next(row["key"] for row in planned.treatments) == "control"
    assert len(planned.treatments) == 3
    services.set_facts(planned, {"plants": []}, keeper)
    assert planned.treatments == [], "an answer is missing"


def test_every_counted_patch_has_its_own_mark(planned: Trial, keeper: Person) -> None:
    codes = list(planned.patches.values_list("code", flat=True))
    assert len(set(codes)) == 9
    services.count_patches(planned, {"belly": 2, "shoulder": 3}, keeper)
    assert planned.patches.count() == 5
    assert planned.offcuts.count() == 2
    for counts in ({}, {"belly": 500}, {"nose": 3}):
        with pytest.raises(InputError):
            services.count_patches(planned, counts, keeper)


def test_a_design_is_kept_with_its_seed_and_made_again_alike(
    planned: Trial, keeper: Person
) -> None:
    services.make_the_design(planned, keeper, id=id(), seed=11)
    first = list(planned.patches.values_list("number", "treatment", "jar__number"))
    assert planned.design["design"]["seed"] == 11
    services.make_the_design(planned, keeper, id=id(), seed=12)
    assert list(planned.patches.values_list("number", "treatment", "jar__number")) != first
    services.make_the_design(planned, keeper, id=id(), seed=11)
    assert list(planned.patches.values_list("number", "treatment", "jar__number")) == first
    assert planned.jars.count() == 3
    assert planned.state == Trial.State.CUT


def test_jars_keep_the_ratios_and_name_their_lots(dealt: Trial, oak: Lot) -> None:
    for jar in dealt.jars.all():
        many = jar.patches.count()
        assert jar.pelt_kg == pytest.approx(many * 6 * 5 * 2.0 / 1e4 * 1.08)
        assert jar.litres == pytest.approx(6.0 * jar.pelt_kg)
        assert sum(jar.shares.values()) == pytest.approx(2.5 * jar.pelt_kg)
    control = dealt.jars.get(treatment="control")
    assert control.lots == {str(oak.pk): pytest.approx(control.shares[OAK])}
    assert dealt.jars.get(treatment=ALDER).lots == {}


def test_what_changes_after_the_design_makes_it_outdated(dealt: Trial, keeper: Person) -> None:
    assert not reckoning.is_outdated(dealt)
    services.set_facts(dealt, {"dose": 3.0}, keeper)
    assert reckoning.is_outdated(dealt)
    services.count_patches(dealt, {"belly": 6}, keeper)
    dealt.refresh_from_db()
    assert dealt.state == Trial.State.DRAFT
    assert not dealt.design


def test_nothing_is_planned_anew_once_patches_are_in(running: Trial, keeper: Person) -> None:
    for refused in (
        lambda: services.set_facts(running, {"dose": 1.0}, keeper),
        lambda: services.count_patches(running, {"belly": 3}, keeper),
        lambda: services.make_the_design(running, keeper, id=id()),
        lambda: services.forget_patches(running),
    ):
        with pytest.raises(InputError, match="in the jars"):
            refused()


def test_an_undesigned_trial_cannot_start(planned: Trial, keeper: Person) -> None:
    with pytest.raises(InputError, match="not planned"):
        services.start(planned, keeper, id=id(), happened_at=timezone.now())


# Running


def test_the_first_cook_is_taken_off_the_lot_and_can_be_put_back(
    running: Trial, keeper: Person, oak: Lot
) -> None:
    control = running.jars.get(treatment="control")
    oak.refresh_from_db()
    assert oak.left_kg == pytest.approx(5.0 - 0.5 * control.lots[str(oak.pk)])
    withdraw(Entry.objects.get(record=running, kind="trial.cooked"), keeper)
    oak.refresh_from_db()
    assert oak.left_kg == pytest.approx(5.0)


def test_all_jars_at_once_are_entries_of_their_own_and_sent_twice_count_once(
    running: Trial, helper: Person
) -> None:
    same, now = id(), timezone.now()
    rows = {1: {"share": 0.5}, 3: {"share": 1.0}}
    assert services.log_jars(running, "cut", rows, helper, id=same, happened_at=now) == 2
    assert services.log_jars(running, "cut", rows, helper, id=same, happened_at=now) == 0
    assert Entry.objects.filter(record=running, kind="trial.cut").count() == 2
    assert [jar.last_share for jar in running.jars.all()] == [0.5, None, 1.0]
    with pytest.raises(InputError, match="nothing was written"):
        services.log_jars(running, "cut", {}, helper, id=id(), happened_at=now)


@pytest.mark.parametrize(
    ("what", "data"),
    [
        ("cut", {"jar": 9, "share": 0.5}), ("cut", {"jar": 1, "share": 1.5}),
        ("look", {"jar": 1, "look": "purple"}), ("strength", {"jar": 1, "value": 12, "scale": "x"}),
        ("strength", {"jar": 1, "value": float("nan"), "scale": "bk"}), ("cut", {"share": 0.5}),
        ("temperature", {"temperature_c": 500}), ("cooked", {"part": 3.0}),
        ("cut", {"jar": True, "share": 0.5}),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused(
    running: Trial, helper: Person, what: str, data: dict[str, Any]
) -> None:
    with pytest.raises(InputError):
        services.log(running, what, data, helper)
    assert not Entry.objects.filter(record=running, kind=f"trial.{what}", by=helper).exists()


def test_the_last_jar_out_ends_the_running_and_a_withdrawal_opens_it_again(
    running: Trial, keeper: Person
) -> None:
    rows: dict[int, dict[str, Any]] = {1: {}, 2: {}, 3: {}}
    services.log_jars(running, "taken_out", rows, keeper, id=id(), happened_at=timezone.now())
    running.refresh_from_db()
    assert running.state == Trial.State.GRADING
    assert running.ended_at is not None
    assert not running.patches.filter(out_at=None).exists()
    withdraw(Entry.objects.filter(record=running, kind="trial.taken_out").first(), keeper)  # type: ignore[arg-type]
    running.refresh_from_db()
    assert running.state == Trial.State.RUNNING
    assert running.patches.filter(out_at=None).exists()


def test_each_jar_has_its_own_log_for_the_engine(running: Trial, helper: Person) -> None:
    services.log(running, "strength", {"jar": 2, "value": 14.0, "scale": "bk"}, helper)
    services.log(running, "temperature", {"temperature_c": 15.0}, helper)
    logs = readings_of(running)
    assert set(logs) == {1, 2, 3}
    assert "strength,14,Bk" in logs[2]
    assert "strength,14" not in logs[1]
    assert all("strengthened" in log and "temperature,15" in log for log in logs.values())


def test_a_cut_moves_the_forecast_of_its_jar_alone(running: Trial, helper: Person) -> None:
    renew_if_stale(running)
    before = {jar.number: jar.forecast for jar in running.jars.all()}
    assert all(before.values())
    services.log(running, "cut", {"jar": 1, "share": 0.3}, helper)
    assert is_stale(running)
    renew_if_stale(running)
    assert not is_stale(running)
    after = {jar.number: jar.forecast for jar in running.jars.all()}
    assert after[1] != before[1]
    assert after[2]["finish"] == before[2]["finish"]  # type: ignore[index]


def test_today_asks_for_what_a_trial_wants(running: Trial, dealt: Trial) -> None:
    renew_if_stale(running)
    (found,) = due(timezone.now())
    assert found.record_id == running.pk
    assert found.kind == "trial"
    day = next_day(running, timezone.now())
    assert day is not None
    late = due(timezone.now() + timedelta(days=400))
    assert late[0].late


def test_a_trial_that_is_not_begun_asks_for_its_jars(dealt: Trial) -> None:
    (found,) = due(timezone.now())
    assert "fill the jars" in found.headline
    assert not found.late


# To a skin


def test_the_chosen_way_becomes_a_plan_with_scaled_amounts(
    running: Trial, keeper: Person, oak: Lot
) -> None:
    same = id()
    vat = onward.to_skin(running, "control", keeper, id=same, skins=[], pelt_kg=1.2)
    assert onward.to_skin(running, "control", keeper, id=same, skins=[], pelt_kg=1.2) == vat
    use = vat.materials.get()
    assert use.lot == oak
    assert use.have_kg == pytest.approx(1.2 * 2.5)
    assert vat.state == Tannage.State.DRAFT
    assert running.chosen == "control"
    other = onward.scaled(running, onward.treatment_named(running, ALDER), 2.0)
    assert other.amounts[0].missing_kg == pytest.approx(5.0)
    with pytest.raises(InputError, match="no treatment"):
        onward.to_skin(running, "tea", keeper, id=id(), skins=[], pelt_kg=1.0)


def test_what_the_jars_read_narrows_the_lot(
    dealt: Trial, keeper: Person, helper: Person, oak: Lot
) -> None:
    renew_if_stale(dealt)
    began = timezone.now() - timedelta(days=6)
    services.start(dealt, keeper, id=id(), happened_at=began, part=0.6)
    assert onward.lessons_of(dealt) == []
    control = dealt.jars.get(treatment="control").number
    for hours in (3, 5, 20):
        data = {"jar": control, "value": 16.0, "scale": "bk", "liquor_c": 15.0}
        services.log(dealt, "strength", data, helper, happened_at=began + timedelta(hours=hours))
    renew_if_stale(dealt)
    (lesson,) = onward.lessons_of(dealt)
    assert lesson.lot == oak
    assert lesson.high_pct / lesson.low_pct < lesson.before_high_pct / lesson.before_low_pct
    with pytest.raises(PermissionDenied):
        onward.learn(dealt, helper)
    assert onward.learn(dealt, keeper) == [oak]
    assert onward.learn(dealt, keeper) == []
    oak.refresh_from_db()
    assert oak.tannin_low_pct == pytest.approx(lesson.low_pct)
    assert dealt.title in oak.tannin_how


def test_the_ratios_of_a_vat_are_its_plan(keeper: Person, oak: Lot) -> None:
    from tanwright.yard.skins.services import new_skin
    from tanwright.yard.tannage.renewing import renew_now

    vat = tannages.begin_draft(keeper)
    bare = ratios_of_vat(vat)
    assert (bare.litres_per_kg, bare.dose) == (None, None)
    tannages.set_skins(vat, [new_skin(keeper, "goat", weight_kg=2.5)], keeper)
    tannages.set_materials(vat, [oak], [], keeper)
    renew_now(vat.pk)
    found = ratios_of_vat(vat)
    assert found.shares == {OAK: pytest.approx(1.0)}
    assert found.litres_per_kg is not None
    assert 2.0 < found.litres_per_kg < 15.0
    assert found.dose is not None
    assert 0.3 < found.dose < 6.0


def test_every_jar_number_is_written_once(dealt: Trial) -> None:
    numbers = list(Jar.objects.filter(trial=dealt).values_list("number", flat=True))
    assert numbers == [1, 2, 3]


def test_an_engine_that_fails_is_told_and_not_asked_for_ever(
    running: Trial, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> None:
        raise RuntimeError("no engine")

    monkeypatch.setattr(renewing.worker, "run", fail)
    monkeypatch.setattr(renewing.connections, "close_all", lambda: None)
    monkeypatch.setattr(renewing, "close_old_connections", lambda: None)
    renewing._run(running.pk)
    running.refresh_from_db()
    assert "could not be worked out" in running.design["schedule"]["problem"]
    assert not is_stale(running)
