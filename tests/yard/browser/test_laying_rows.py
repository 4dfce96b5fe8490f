"""Pieces laid in a row: dragged, moved with keys, typed, and sent; grading fits a phone."""

from __future__ import annotations

import os
import uuid
from pathlib import Path
from typing import Literal

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Page

from tanwright.yard.people.local import keeper_of_this_machine
from tanwright.yard.trials import grading_services
from tanwright.yard.trials import services as trials
from tanwright.yard.trials.grading_sheets import graded_patches, sheets_of
from tanwright.yard.trials.models import Trial
from tests.yard.browser import page_checks
from tests.yard.browser.conftest import OpenContext

OAK, ALDER, WILLOW = "quercus-robur-bark", "alnus-glutinosa-bark", "salix-caprea-bark"


@pytest.fixture
def trial(transactional_db: None) -> Trial:
    """Nine patches of three plants, dealt out."""
    keeper = keeper_of_this_machine()
    made = trials.begin_trial(keeper, "which", name="Oak, alder, willow")
    facts = {
        "usual": {OAK: 1.0}, "plants": [ALDER, WILLOW], "width_cm": 5.0, "height_cm": 5.0,
        "thickness_mm": 2.0, "graders": 1, "litres_per_kg": 6.0, "dose": 2.5,
    }  # fmt: skip
    trials.set_facts(made, facts, keeper, leather="soft")
    trials.count_patches(made, {"belly": 5, "shanks": 4}, keeper)
    made.refresh_from_db()
    trials.make_the_design(made, keeper, id=uuid.uuid4(), seed=3)
    return made


def order(page: Page) -> list[int]:
    names = page.locator(".laid").evaluate_all("all => all.map(one => one.dataset.name)")
    return [int(name.split()[1]) for name in names]


def row_page(open_context: OpenContext, trial: Trial, **how: object) -> Page:
    page = open_context(**how).new_page()
    page.goto(reverse("trials:row", args=[trial.pk, "firmness"]) + "?grader=A")
    return page


def test_drag_keys_and_level_pieces(open_context: OpenContext, trial: Trial) -> None:
    page = row_page(open_context, trial, viewport={"width": 900, "height": 1200})
    first, second, third, *_ = order(page)
    page.get_by_role("button", name=f"patch {first} one place down").click()
    assert order(page)[:2] == [second, first]
    assert page.get_by_label(f"Patch {first}: its place").input_value() == "2"
    page.get_by_role("button", name=f"drag patch {third}").focus()
    page.keyboard.press("ArrowUp")
    assert order(page)[:3] == [second, third, first]
    page.get_by_role("button", name=f"patch {third} level with the one above").click()
    assert page.get_by_label(f"Patch {third}: its place").input_value() == "1"

    handle = page.get_by_role("button", name=f"drag patch {first}").bounding_box()
    top = page.locator(".laid").first.bounding_box()
    assert handle is not None
    assert top is not None
    page.mouse.move(handle["x"] + 10, handle["y"] + 10)
    page.mouse.down()
    page.mouse.move(handle["x"] + 10, top["y"] + 4, steps=8)
    page.mouse.up()
    assert order(page)[0] == first
    page.get_by_role("button", name="Keep this row").click()
    page.wait_for_load_state()
    kept = sheets_of(trial).rows[("A", "firmness")]
    assert kept[0] == [first]
    assert sorted(kept[1]) == sorted([second, third])


def test_typed_numbers_put_the_row_in_order(open_context: OpenContext, trial: Trial) -> None:
    page = row_page(open_context, trial)
    last = order(page)[-1]
    page.get_by_label(f"Patch {last}: its place").fill("0")
    page.get_by_label(f"Patch {last}: its place").press("Tab")
    page.get_by_label(f"Patch {last}: its place").fill("1")
    page.get_by_label(f"Patch {last}: its place").press("Tab")
    assert last in order(page)[:2]


@pytest.mark.parametrize(
    ("width", "light"), [(360, "light"), (360, "dark"), (1280, "light"), (1280, "dark")]
)
def test_pages_of_grading_fit(
    open_context: OpenContext, trial: Trial, width: int, light: Literal["light", "dark"]
) -> None:
    keeper = keeper_of_this_machine()
    for quality in ("feel", "firmness", "colour"):
        steps = {
            patch.number: 1 + (patch.number * 7 + (3 if patch.treatment == "control" else 0)) % 5
            for patch in graded_patches(trial)
        }
        grading_services.grade(
            trial, "Keeper", quality, steps, keeper, id=uuid.uuid4(), happened_at=timezone.now()
        )
    page = open_context(viewport={"width": width, "height": 780}, color_scheme=light).new_page()
    folder = os.environ.get("TANWRIGHT_SHOTS")
    for name, args in (
        ("grading", []), ("grade", ["feel"]), ("grade", ["colour"]), ("row", ["grain"]),
        ("measure", ["boil"]), ("uncover", []), ("finish", []), ("results", []),
    ):  # fmt: skip
        with page_checks.heard(page) as faults:
            page.goto(reverse(f"trials:{name}", args=[trial.pk, *args]))
            faults += page_checks.structure(page)
            faults += page_checks.width(page)
            if width == 360:
                faults += page_checks.targets(page)
                faults += page_checks.axe(page)
        assert not faults, (name, faults)
        if folder:
            what = "-".join([name, *args])
            page.screenshot(path=Path(folder) / f"{what}-{width}-{light}.png", full_page=True)
