"""A trial goes out of the yard and comes back whole: offcuts, patches, jars, grades."""

from __future__ import annotations

import uuid
from pathlib import Path
from typing import Any

import pytest
from django.db.models import Model
from django.utils import timezone

from tanwright.planning.trials.cutting import Cut
from tanwright.planning.trials.offcuts import outline_from_text, usual_outline
from tanwright.yard.exchange.importing import import_package
from tanwright.yard.exchange.package import export
from tanwright.yard.exchange.tables import columns, tables
from tanwright.yard.journal.models import Entry, Mark, Photo, Touch
from tanwright.yard.people.models import Person
from tanwright.yard.trials import grading_services as grading
from tanwright.yard.trials import offcut_services as offcuts
from tanwright.yard.trials import services
from tanwright.yard.trials.grading_sheets import graded_patches, seen_of, sheets_of
from tanwright.yard.trials.models import Jar, Offcut, Trial, TrialPatch

HOLED = "0, 0\n30, 0\n30, 25\n0, 25\n\n8, 8\n11, 8\n10, 12"


@pytest.fixture
def own_yard(settings: Any, tmp_path: Path) -> None:
    settings.YARD_FOLDER = tmp_path / "yard"
    settings.YARD_FOLDER.mkdir()
    settings.FORECASTS = "off"


@pytest.fixture
def graded(own_yard: None, planned: Trial, keeper: Person) -> Trial:
    """Drawn, laid out, dealt, in the jars, out of them, graded, laid in a row, and measured."""
    trial, when = planned, timezone.now()
    offcuts.add_offcut(trial, usual_outline("neck", "goat"), keeper, region="shoulder")
    offcuts.add_offcut(trial, outline_from_text(HOLED), keeper, region="belly", how="drawn",
                       label='flank, "left"')  # fmt: skip
    offcuts.lay_out(trial, Cut(5.0, 4.0, most=12), keeper)
    services.make_the_design(trial, keeper, id=uuid.uuid4())
    services.start(trial, keeper, id=uuid.uuid4(), happened_at=when, part=0.4)
    jars = list(trial.jars.values_list("number", flat=True))
    services.log_jars(trial, "strength", {n: {"value": 10.0, "scale": "bk"} for n in jars}, keeper,
                      id=uuid.uuid4(), happened_at=when)  # fmt: skip
    services.log_jars(trial, "taken_out", {n: {} for n in jars}, keeper, id=uuid.uuid4(),
                      happened_at=when)  # fmt: skip
    numbers = list(trial.patches.values_list("number", flat=True))
    more: dict[str, Any] = {"by": keeper, "happened_at": when}
    grading.grade(trial, "one", "firmness", {n: 1 + n % 5 for n in numbers}, id=uuid.uuid4(),
                  **more)  # fmt: skip
    grading.lay_row(trial, "two", "colour", [numbers[:5], numbers[5:]], id=uuid.uuid4(), **more)
    grading.measure(trial, "thickness", dict.fromkeys(numbers, 1.5), id=uuid.uuid4(), **more)
    trial.refresh_from_db()
    return trial


def rows() -> dict[str, list[tuple[Any, ...]]]:
    """Every column of every table of trials."""
    models: tuple[type[Model], ...] = (Trial, Offcut, Jar, TrialPatch)
    return {
        model.__name__: sorted(
            model._base_manager.values_list(*(column.attname for column in columns(model))),
            key=str,
        )
        for model in models
    }


def test_a_trial_goes_out_and_comes_in_whole(graded: Trial, tmp_path: Path) -> None:
    before, said = rows(), seen_of(graded, sheets_of(graded), graded_patches(graded))
    assert len(before["TrialPatch"]) == 12
    assert len(said.grades) == 12
    package = export(tmp_path / "yard.zip").path
    Entry.objects.update(corrects=None)
    every: tuple[type[Model], ...] = (Mark, Photo, Touch, Entry, *reversed(tables()))
    for model in every:
        model._base_manager.all().delete()
    assert not Trial.objects.exists()
    import_package(package)
    again = Trial.objects.get()
    assert rows() == before
    assert seen_of(again, sheets_of(again), graded_patches(again)) == said
    assert again.state == Trial.State.GRADING
    assert offcuts.cutting_of(again) is not None
