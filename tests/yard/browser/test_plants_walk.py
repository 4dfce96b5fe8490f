"""Pages of plants once something was asked of them; and ticking without JavaScript."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import BrowserContext, ViewportSize

from tests.yard.browser import page_checks
from tests.yard.browser.screens import LAPTOP, PHONE

OpenContext = Callable[..., BrowserContext]

pytestmark = pytest.mark.django_db(transaction=True)

ASKED = (
    "?place=Germany&part=bark&sort=strength&id=quercus-robur-bark",
    "?place=Narnia&month=77",
    "castanea-dentata-bark/",
    "compare/?id=quercus-robur-bark&id=salix-caprea-bark&id=rhus-typhina-leaf&id=picea-abies-bark",
    "choose/?place=Sweden&animal=cattle&leather=sole&quality=9",
    "home-tests/?part=bark&iron=blue-black&gelatin=",
)


@pytest.mark.parametrize("viewport", [PHONE, LAPTOP], ids=["phone", "laptop"])
def test_what_was_asked_is_sound(open_context: OpenContext, viewport: ViewportSize) -> None:
    page = open_context(viewport=viewport).new_page()
    faults = []
    for address in ASKED:
        with page_checks.heard(page) as said:
            page.goto(f"/plants/{address}")
            found = [*page_checks.structure(page), *page_checks.width(page)]
            if viewport == PHONE:
                found += [*page_checks.targets(page), *page_checks.axe(page)]
                found += page_checks.legible_at_night(page)
        faults += [f"{address}: {fault}" for fault in (*said, *found)]
    assert not faults, "\n".join(faults)


def test_ticking_and_comparing_needs_no_script(open_context: OpenContext) -> None:
    page = open_context(java_script_enabled=False).new_page()
    page.goto("/plants/?q=bark&place=Germany")
    for tick in range(3):
        page.locator(".plant-pick").nth(tick).click()
    page.get_by_role("button", name="Compare the ticked ones").click()
    assert page.url.count("id=") == 3
    assert page.locator("table.side-by-side thead a").count() == 3
    page.get_by_role("link", name="Pick other plants").click()
    assert page.locator('[aria-label="Picked for comparing"] a').count() == 3
    page.locator('[aria-label="Picked for comparing"] a').first.click()
    assert page.locator('[aria-label="Picked for comparing"] a').count() == 2
