"""What lies in a jar is kept from who may still grade blind."""

from __future__ import annotations

import uuid
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tanwright.yard.people.models import Person
from tanwright.yard.trials import grading_services as grading
from tanwright.yard.trials import services
from tanwright.yard.trials.blinding import is_covered
from tanwright.yard.trials.models import Trial


def out(trial: Trial, by: Person) -> None:
    jars: dict[int, Any] = {number: {} for number in trial.jars.values_list("number", flat=True)}
    services.log_jars(
        trial, "taken_out", jars, by, id=uuid.uuid4(), happened_at=timezone.now()
    )  # fmt: skip
    trial.refresh_from_db()


def page(client: Client, name: str, trial: Trial) -> str:
    return client.get(reverse(f"trials:{name}", args=[trial.pk])).content.decode()


def test_a_helper_never_reads_what_lies_in_a_jar_before_it_is_uncovered(
    client_of: Any, keeper: Person, helper: Person, running: Trial
) -> None:
    helped, kept = client_of(helper), client_of(keeper)
    for _ in range(2):
        jars = page(helped, "jars", running).partition("To get ready")[0].partition("The days")[0]
        assert "kept from you" in jars
        assert "common alder bark" not in jars
        assert "English oak bark" not in jars
        assert "Patches of each treatment" not in page(helped, "design", running)
        out(running, keeper)
    folded = page(kept, "jars", running)
    assert "What was in jar 1" in folded, "a keeper has to open it"
    assert "<dt>Treatment</dt>" not in folded
    grading.uncover(running, keeper, id=uuid.uuid4(), happened_at=timezone.now())
    assert "<dt>Treatment</dt>" in page(helped, "jars", running)
    assert "<dt>Treatment</dt>" in page(kept, "jars", running)


def test_a_keeper_who_fills_the_jars_reads_what_goes_in(
    client_of: Any, keeper: Person, dealt: Trial
) -> None:
    assert "<dt>Treatment</dt>" in page(client_of(keeper), "jars", dealt)


def test_full_sheets_of_all_graders_uncover_it(keeper: Person, running: Trial) -> None:
    out(running, keeper)
    grades = dict.fromkeys(running.patches.values_list("number", flat=True), 3)
    for grader in ("one", "two"):
        assert is_covered(running)
        grading.grade(running, grader, "firmness", grades, keeper, id=uuid.uuid4(),
                      happened_at=timezone.now())  # fmt: skip
    assert not is_covered(running)


def test_lids_carry_the_number_of_a_jar_and_not_its_treatment(
    client_of: Any, helper: Person, dealt: Trial
) -> None:
    lids = page(client_of(helper), "lids", dealt).partition('class="lids"')[2].partition("</ul>")[0]
    assert lids.count("<li") == dealt.jars.count() == 3
    assert "Jar 3" in lids
    assert dealt.code in lids
    assert "common alder bark" not in lids


def test_lids_of_a_trial_without_jars_lead_to_its_design(
    client_of: Any, keeper: Person, planned: Trial
) -> None:
    assert "No jar yet" in page(client_of(keeper), "lids", planned)


@pytest.mark.parametrize("role", ["keeper", "helper"])
def test_only_a_keeper_prints_a_map_with_the_treatments(
    client_of: Any, keeper: Person, helper: Person, planned: Trial, role: str, monkeypatch: Any
) -> None:
    from tanwright.planning.trials.cutting import Cut
    from tanwright.planning.trials.offcuts import usual_outline
    from tanwright.yard.trials import offcut_services, offcut_views

    offcut_services.add_offcut(planned, usual_outline("neck", "goat"), keeper, region="shoulder")
    offcut_services.lay_out(planned, Cut(5.0, 5.0, most=6), keeper)
    services.make_the_design(planned, keeper, id=uuid.uuid4())
    printed: dict[str, Any] = {}
    monkeypatch.setattr(
        offcut_views, "cutting_map", lambda cutting, **said: printed.update(said) or b"%PDF"
    )
    client = client_of(keeper if role == "keeper" else helper)
    asked = page(client, "offcuts", planned)
    client.get(reverse("trials:cutting-map", args=[planned.pk]) + "?paper=a4&treatments=on")
    assert bool(printed["marks"]) is (role == "keeper")
    assert ("Print the treatments too" in asked) is (role == "keeper")
