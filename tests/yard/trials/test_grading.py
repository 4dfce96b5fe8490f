"""Grading blind, laying rows, measuring, uncovering, and reading the results."""

from __future__ import annotations

import uuid
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.urls import reverse
from django.utils import timezone

from tanwright.errors import InputError
from tanwright.planning.trials.analysis import analyse
from tanwright.yard.journal.models import Entry
from tanwright.yard.journal.services import withdraw
from tanwright.yard.people.models import Person
from tanwright.yard.trials import grading_services as services
from tanwright.yard.trials import services as trials
from tanwright.yard.trials.grading_sheets import (
    graded_patches,
    is_open,
    missing_sheets,
    seen_of,
    sheets_of,
    shuffled,
)
from tanwright.yard.trials.models import Trial


def when() -> dict[str, str]:
    """What every form of an entry carries."""
    return {
        "entry_id": str(uuid.uuid4()),
        "happened_at": timezone.localtime().strftime("%Y-%m-%dT%H:%M"),
        "note": "",
    }


def numbers(trial: Trial) -> list[int]:
    return [patch.number for patch in graded_patches(trial)]


def grades_of(trial: Trial, lead: int = 1) -> dict[int, int]:
    """Alder is ``lead`` steps above the rest."""
    return {
        patch.number: 3 + (lead if "alnus" in patch.treatment or "alder" in patch.treatment else 0)
        for patch in graded_patches(trial)
    }


def graded(trial: Trial, by: Person, *graders: str, quality: str = "feel") -> None:
    for name in graders:
        services.grade(
            trial, name, quality, grades_of(trial), by, id=uuid.uuid4(), happened_at=timezone.now()
        )


def text(client: Any, name: str, *args: object, **query: str) -> str:
    page = client.get(reverse(f"trials:{name}", args=args), query)
    assert page.status_code == 200, page.status_code
    return page.content.decode()


def test_the_sheet_shows_numbers_and_anchors_and_no_treatment(
    client_of: Any, helper: Person, running: Trial
) -> None:
    page = text(client_of(helper), "grade", running.pk, "feel", grader="The tanner")
    for number in numbers(running):
        assert f"Patch {number}" in page
    assert "full and supple" in page
    for row in running.treatments:
        assert row["label"] not in page
        assert f">{row['key']}<" not in page


def test_every_grader_has_an_order_of_their_own_that_stays(running: Trial) -> None:
    own = numbers(running)
    orders = {tuple(shuffled(running, name, "feel", own)) for name in "abcdef"}
    assert len(orders) > 3
    assert all(sorted(order) == own for order in orders)
    assert shuffled(running, "a", "feel", own) == shuffled(running, "a", "feel", own)


def test_a_helper_grades_and_sees_the_sheet_again(
    client_of: Any, helper: Person, running: Trial
) -> None:
    client = client_of(helper)
    address = reverse("trials:grade", args=[running.pk, "feel"]) + "?grader=The+tanner"
    first, *others = numbers(running)
    page = client.post(address, {**when(), f"patch_{first}": "5"}, follow=True).content.decode()
    assert f"{len(others)} still to grade" in page
    assert sheets_of(running).grades == {("The tanner", "feel"): {first: 5}}
    again = client.get(address).content.decode()
    assert "checked" in again
    client.post(address, {**when(), f"patch_{first}": "2"})
    assert sheets_of(running).grades[("The tanner", "feel")] == {first: 2}
    withdraw(Entry.objects.filter(kind="trial.graded").latest("written_at"), helper)
    assert sheets_of(running).grades[("The tanner", "feel")] == {first: 5}


def test_the_log_tells_no_grades(client_of: Any, keeper: Person, running: Trial) -> None:
    graded(running, keeper, "The tanner")
    page = text(client_of(keeper), "trial", running.pk)
    assert "The tanner graded 9 patches for feel" in page


@pytest.mark.parametrize(
    "sent",
    [{}, {"patch_1": "9"}, {"patch_1": "soft"}, {"patch_999": "3"}],
)
def test_bad_sheets_are_refused_on_the_page(
    client_of: Any, keeper: Person, running: Trial, sent: dict[str, str]
) -> None:
    address = reverse("trials:grade", args=[running.pk, "feel"])
    page = client_of(keeper).post(address, {**when(), **sent})
    assert page.status_code == 200
    assert "error-summary" in page.content.decode()
    assert not sheets_of(running).any


def test_addresses_that_name_nothing(client_of: Any, keeper: Person, running: Trial) -> None:
    client = client_of(keeper)
    assert client.get(reverse("trials:grade", args=[running.pk, "taste"])).status_code == 404
    assert client.get(reverse("trials:measure", args=[running.pk, "length"])).status_code == 404
    assert client.get(reverse("trials:grading", args=[uuid.uuid4()])).status_code == 404
    odd = client.get(reverse("trials:grading", args=[running.pk]), {"grader": "x" * 300})
    assert odd.status_code == 200


def test_services_refuse_what_is_not_there(keeper: Person, running: Trial) -> None:
    now = timezone.now()
    with pytest.raises(InputError, match="no patch 99"):
        services.grade(running, "a", "feel", {99: 3}, keeper, id=uuid.uuid4(), happened_at=now)
    with pytest.raises(InputError, match="no step of feel"):
        services.grade(running, "a", "feel", {1: 6}, keeper, id=uuid.uuid4(), happened_at=now)
    with pytest.raises(InputError, match="who grades"):
        services.grade(running, "  ", "feel", {1: 3}, keeper, id=uuid.uuid4(), happened_at=now)
    with pytest.raises(InputError, match="cannot be a shrinkage temperature"):
        services.measure(running, "shrinkage", {1: 500.0}, keeper, id=uuid.uuid4(), happened_at=now)


def test_a_row_typed_by_number_without_script(
    client_of: Any, keeper: Person, running: Trial
) -> None:
    own = numbers(running)
    address = reverse("trials:row", args=[running.pk, "firmness"]) + "?grader=A"
    sent = {f"patch_{n}": str(place) for place, n in enumerate(reversed(own), 1)}
    sent[f"patch_{own[0]}"] = sent[f"patch_{own[1]}"]
    page = client_of(keeper).post(address, {**when(), **sent}, follow=True).content.decode()
    assert "The row for firmness is noted" in page
    order = sheets_of(running).rows[("A", "firmness")]
    assert order[0] == [own[-1]]
    assert sorted(order[-1]) == own[:2]
    heap = {f"patch_{n}": "1" for n in own}
    refused = client_of(keeper).post(address, {**when(), **heap}).content.decode()
    assert "one heap" in refused


def test_figures_with_a_comma_and_out_of_reach(
    client_of: Any, keeper: Person, running: Trial
) -> None:
    address = reverse("trials:measure", args=[running.pk, "dry-weight"])
    client = client_of(keeper)
    client.post(address, {**when(), "patch_1": "3,4", "patch_2": "3.9"})
    assert sheets_of(running).figures["dry-weight"] == {1: 3.4, 2: 3.9}
    page = client.post(address, {**when(), "patch_1": "99999"}).content.decode()
    assert "cannot be a dry weight" in page
    assert (
        "scald" in client.get(reverse("trials:measure", args=[running.pk, "boil"])).content.decode()
    )


def test_results_stay_covered_until_every_sheet_is_in(
    client_of: Any, keeper: Person, helper: Person, running: Trial
) -> None:
    client = client_of(helper)
    assert "Nothing was graded yet" in text(client, "results", running.pk)
    graded(running, keeper, "A")
    assert "Still covered" in text(client, "results", running.pk)
    assert (
        client.get(reverse("trials:result-file", args=[running.pk, "patches"])).status_code == 404
    )
    graded(running, keeper, "B")
    services.grade(running, "A", "smell", {1: 3}, keeper, id=uuid.uuid4(),
                   happened_at=timezone.now())  # fmt: skip
    left = missing_sheets(running, sheets_of(running), numbers(running))
    assert {(m.grader, m.quality, m.left) for m in left} == {("A", "smell", 8), ("B", "smell", 9)}
    assert "Still covered" in text(client, "results", running.pk)
    graded(running, keeper, "A", "B", quality="smell")
    assert is_open(running, sheets_of(running), numbers(running))
    page = text(client, "results", running.pk)
    assert "What the trial says" in page
    assert "Quality by quality" in page
    assert "in one jar only" in page
    assert "What went in for it" in page


def test_a_keeper_uncovers_and_later_sheets_are_told(
    client_of: Any, keeper: Person, helper: Person, running: Trial
) -> None:
    graded(running, keeper, "A")
    address = reverse("trials:uncover", args=[running.pk])
    assert client_of(helper).post(address, when()).status_code == 403
    with pytest.raises(PermissionDenied):
        services.uncover(running, helper, id=uuid.uuid4(), happened_at=timezone.now())
    page = client_of(keeper).post(address, when(), follow=True).content.decode()
    assert "What the trial says" in page
    running.refresh_from_db()
    assert running.unblinded_at is not None
    graded(running, keeper, "B")
    running.refresh_from_db()
    assert "after the treatments were uncovered" in text(client_of(keeper), "results", running.pk)


def test_the_same_answer_as_the_planning_floor(
    client_of: Any, keeper: Person, running: Trial
) -> None:
    graded(running, keeper, "A", "B", quality="firmness")
    trial = Trial.objects.get(pk=running.pk)
    seen = seen_of(trial, sheets_of(trial), graded_patches(trial))
    found = analyse(seen, wanted={"firmness": "less"})  # the trial is for soft leather
    page = text(client_of(keeper), "results", running.pk)
    assert f"{found.telling.looked_at} pairs were looked at" in page
    picture = client_of(keeper).get(
        reverse("trials:result-numbers", args=[running.pk, "trial-firmness"])
    )
    assert picture.content.decode().startswith("treatment,patches")
    for name in ("patches", "grades", "ranks", "measures"):
        file = client_of(keeper).get(reverse("trials:result-file", args=[running.pk, name]))
        assert file.status_code == 200
        assert file["Content-Type"].startswith("text/csv")


def test_the_trial_is_called_done(client_of: Any, keeper: Person, running: Trial) -> None:
    graded(running, keeper, "A", "B")
    client_of(keeper).post(reverse("trials:finish", args=[running.pk]), when())
    running.refresh_from_db()
    assert running.state == Trial.State.DONE


def test_strangers_are_sent_to_the_door(client_of: Any, on_network: None, running: Trial) -> None:
    for name, args in (
        ("grading", []), ("grade", ["feel"]), ("row", ["feel"]), ("measure", ["bend"]),
        ("uncover", []), ("finish", []), ("results", []), ("result-file", ["grades"]),
    ):  # fmt: skip
        page = client_of(None).get(reverse(f"trials:{name}", args=[running.pk, *args]))
        assert page.status_code == 302, name


def test_the_same_sheet_sent_twice_is_one(keeper: Person, running: Trial) -> None:
    id, now = uuid.uuid4(), timezone.now()
    for _ in range(2):
        services.grade(running, "A", "feel", {1: 3}, keeper, id=id, happened_at=now)
    assert Entry.objects.filter(kind="trial.graded").count() == 1


@pytest.fixture
def blended(keeper: Person) -> Trial:
    """Oak and willow, alone and mixed, graded for firmness and feel by two."""
    trial = trials.begin_trial(keeper, "blend", name="Oak with willow")
    facts = {
        "usual": {"quercus-robur-bark": 1.0}, "plants": ["salix-caprea-bark"], "graders": 2,
        "jars_each": 1, "litres_per_kg": 6.0, "dose": 2.5,
    }  # fmt: skip
    trials.set_facts(trial, facts, keeper, leather="firm")
    trials.count_patches(trial, {"belly": 8, "shanks": 8}, keeper)
    trials.make_the_design(trial, keeper, id=uuid.uuid4(), seed=3)
    trial.refresh_from_db()
    oak = {row["key"]: row["shares"].get("quercus-robur-bark", 0.0) for row in trial.treatments}
    for at, grader in enumerate(("A", "B")):
        for quality, steep, level in (("firmness", 2.0, 2.4), ("feel", -2.0, 4.2)):
            grades = {
                patch.number: round(level + steep * oak[patch.treatment] + 0.2 * at)
                for patch in graded_patches(trial)
            }
            services.grade(
                trial, grader, quality, grades, keeper, id=uuid.uuid4(), happened_at=timezone.now()
            )
    return trial


def test_blends_are_drawn_and_answered(client_of: Any, keeper: Person, blended: Trial) -> None:
    client = client_of(keeper)
    page = text(client, "results", blended.pk)
    assert "Blends" in page
    assert "For kinder to the hand, firmer: <strong>" in page or (
        "For firmer, kinder to the hand: <strong>" in page
    )
    assert "mix-firmness" in page
    asked = text(client, "results", blended.pk, wished="1", firmness="more", feel="")
    assert "For firmer: <strong>100 % English oak bark" in asked
    nothing = text(client, "results", blended.pk, wished="1")
    assert "What it should give" not in nothing
    odd = text(client, "results", blended.pk, wished="1", firmness="17", taste="more")
    assert "What it should give" not in odd
    csv = client.get(reverse("trials:result-numbers", args=[blended.pk, "mix-feel"]))
    assert "English oak bark" in csv.content.decode().splitlines()[0]
    missing = client.get(reverse("trials:result-numbers", args=[blended.pk, "mix-smell"]))
    assert missing.status_code == 404
