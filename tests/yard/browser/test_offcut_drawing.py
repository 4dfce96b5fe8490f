"""Pages of offcuts in a browser: the sheet to draw on, by finger and by keys, and all checks."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.urls import reverse
from playwright.sync_api import BrowserContext, Page, expect

from tanwright.planning.trials.cutting import Cut
from tanwright.science.trials.outlines import outline_of
from tanwright.yard.people.local import keeper_of_this_machine
from tanwright.yard.trials import offcut_services, services
from tanwright.yard.trials.models import Trial
from tests.yard.browser import page_checks
from tests.yard.browser.screens import LAPTOP, PHONE

OpenContext = Callable[..., BrowserContext]
NECK = [(0, 0), (26, 1), (30, 12), (22, 19), (8, 18), (-2, 9)]
SCAR = [(10, 8), (12, 8), (12, 11)]


@pytest.fixture
def trial(transactional_db: None) -> Trial:
    keeper = keeper_of_this_machine()
    found = services.begin_trial(keeper, "which", name="Oak against alder")
    facts = {"usual": {"quercus-robur-bark": 1.0}, "plants": ["alnus-glutinosa-bark"]}
    services.set_facts(found, {**facts, "animal": "goat"}, keeper)
    for region, flaws in (("shoulder", [SCAR]), ("shanks", [])):
        offcut_services.add_offcut(
            found, outline_of(NECK, flaws), keeper, region=region, label=region
        )
    offcut_services.lay_out(found, Cut(5.0, 5.0), keeper)
    return found


def sheet_of(page: Page, trial: Trial) -> Any:
    page.goto(reverse("trials:offcut-add", args=[trial.pk, "drawn"]))
    sheet = page.locator(".drawing-sheet")
    expect(sheet).to_be_visible()
    return sheet


def test_points_are_set_by_finger_dragged_and_taken_back(
    open_context: OpenContext, trial: Trial
) -> None:
    page = open_context(has_touch=True).new_page()
    sheet = sheet_of(page, trial)
    frame = sheet.bounding_box()
    # The sheet is 40 cm broad and 30 cm high.
    scale = frame["width"] / 40.0
    for x, y in ((5, 5), (35, 5), (35, 25), (5, 25), (2, 15)):
        sheet.click(position={"x": x * scale, "y": (30 - y) * scale})
    box = page.get_by_label("Points going round")
    points = [tuple(map(float, line.split(","))) for line in box.input_value().splitlines()]
    assert points == [(5, 5), (35, 5), (35, 25), (5, 25), (2, 15)]
    page.get_by_role("button", name="Take back a point").click()
    assert len(box.input_value().splitlines()) == 4
    sheet.evaluate("sheet => sheet.scrollIntoView({block: 'center'})")
    frame = sheet.bounding_box()
    start = (frame["x"] + 35 * scale, frame["y"] + 25 * scale)
    page.mouse.move(*start)
    page.mouse.down()
    page.mouse.move(start[0] - 5 * scale, start[1], steps=3)
    page.mouse.up()
    assert box.input_value().splitlines()[1] == "30, 5"
    expect(page.locator(".drawing-says")).to_contain_text("4 points, about 550 cm²")
    page.get_by_role("button", name="Add it").click()
    expect(page.get_by_text("The offcut is on the list")).to_be_visible()
    assert trial.offcuts.count() == 3


def test_keys_alone_draw_an_outline_and_a_flaw(open_context: OpenContext, trial: Trial) -> None:
    page = open_context(viewport=LAPTOP).new_page()
    sheet = sheet_of(page, trial)
    sheet.focus()

    def go(key: str, times: int) -> None:
        for _ in range(times):
            page.keyboard.press(key)

    for key, times in (("Shift+ArrowRight", 2), ("Shift+ArrowUp", 2), ("Shift+ArrowLeft", 2)):
        page.keyboard.press("ArrowLeft")
        page.keyboard.press("ArrowRight")
        page.keyboard.press("Enter")
        go(key, times)
    page.keyboard.press("Enter")
    box = page.get_by_label("Points going round")
    assert box.input_value().splitlines() == ["20, 15", "30, 15", "30, 25", "20, 25"]
    page.get_by_role("button", name="Begin a flaw").click()
    sheet.focus()
    page.keyboard.press("Enter")
    assert box.input_value().splitlines()[-2:] == ["", "20, 25"]


def test_what_is_written_is_drawn(open_context: OpenContext, trial: Trial) -> None:
    page = open_context().new_page()
    sheet_of(page, trial)
    page.get_by_label("Points going round").fill("0, 0\n60, 0\n60, 20\n\n20 3\n22 3\n22,5 5")
    expect(page.locator(".drawing-line")).to_have_count(2)
    expect(page.locator(".drawing-point")).to_have_count(6)


@pytest.mark.parametrize("viewport", [PHONE, LAPTOP], ids=["phone", "laptop"])
@pytest.mark.parametrize("light", ["light", "dark"])
def test_the_pages_pass_all_checks(
    open_context: OpenContext, trial: Trial, viewport: Any, light: str
) -> None:
    page = open_context(viewport=viewport, color_scheme=light).new_page()
    patch = trial.patches.first()
    addresses = [
        reverse("trials:offcuts", args=[trial.pk]),
        reverse("trials:read-code", args=[trial.pk]),
        reverse("trials:read-code", args=[trial.pk]) + "?nick=0&nick=1&look=1",
        reverse("trials:read-code", args=[trial.pk]) + "?nick=0&look=1",
        *(
            reverse("trials:offcut-add", args=[trial.pk, way])
            for way in ("usual", "measures", "drawn", "file")
        ),
    ]
    assert patch is not None
    for address in addresses:
        with page_checks.heard(page) as faults:
            page.goto(address)
            faults += page_checks.structure(page)
            faults += page_checks.width(page)
            if viewport == PHONE:
                faults += page_checks.targets(page)
                faults += page_checks.axe(page)
        assert not faults, (address, faults)
