"""Every page that the urlconf names, in a real browser, on a phone and on a laptop."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page, ViewportSize

from tests.yard.browser import page_checks
from tests.yard.browser.addresses import all_addresses
from tests.yard.browser.screens import LAPTOP, PHONE
from tests.yard.browser.small_yard import small_yard

OpenContext = Callable[..., BrowserContext]
Check = Callable[[Page], list[str]]


@pytest.fixture
def parts(settings: Any, transactional_db: None) -> Mapping[str, Mapping[str, Any]]:
    settings.ROOT_URLCONF = "tests.yard.browser.urls_with_style"
    return small_yard()


NOT_HERE: Mapping[str, str] = {
    "people:authority": "a yard that only this machine reaches has no certificate",
}
"""Addresses that have nothing to give in this yard, by name, each with the reason."""


def pages_of(
    context: BrowserContext, parts: Mapping[str, Mapping[str, Any]]
) -> tuple[dict[str, str], list[str]]:
    """Name of each whole page by path, and the addresses that answer with something unexpected.

    Files, fragments, ways on and forms' targets are no pages.
    """
    pages, faults = {}, []
    for address in all_addresses(parts):
        answer = context.request.get(address.path, max_redirects=0)
        html = answer.headers.get("content-type", "").startswith("text/html")
        if answer.status == 200 and html and "<!doctype html>" in answer.text().lower():
            pages[address.path] = address.name
        expected = (404,) if address.name in NOT_HERE else (200, 302, 405)
        if answer.status not in expected:
            faults.append(f"{address.name} ({address.path}): {answer.status}")
    assert len(pages) >= 30
    return pages, faults


def faults_of(
    context: BrowserContext, pages: Mapping[str, str], checks: tuple[Check, ...]
) -> list[str]:
    """What ``checks`` and the console say of each page, with the page's name before it."""
    page = context.new_page()
    faults = []
    for path, name in pages.items():
        with page_checks.heard(page) as said:
            page.goto(path)
            found = [fault for check in checks for fault in check(page)]
        faults += [f"{name}: {fault}" for fault in (*said, *found)]
    return faults


@pytest.mark.parametrize("viewport", [PHONE, LAPTOP], ids=["phone", "laptop"])
def test_pages_are_sound(
    open_context: OpenContext,
    parts: Mapping[str, Mapping[str, Any]],
    viewport: ViewportSize,
) -> None:
    """Layout, structure, console, content policy, accessibility by day and night, keyboard."""
    context = open_context(viewport=viewport)
    checks = (
        page_checks.structure,
        page_checks.width,
        page_checks.targets,
        page_checks.axe,
        page_checks.keyboard,
        *((page_checks.legible_at_night,) if viewport == PHONE else ()),
    )
    pages, _ = pages_of(context, parts)
    faults = faults_of(context, pages, checks)
    assert not faults, "\n".join(faults)


def test_every_address_answers_and_pages_stand_without_javascript(
    open_context: OpenContext, parts: Mapping[str, Mapping[str, Any]]
) -> None:
    context = open_context(java_script_enabled=False)
    page = context.new_page()
    pages, faults = pages_of(context, parts)
    for path, name in pages.items():
        page.goto(path)
        if page.locator("main h1").count() != 1:
            faults.append(f"{name}: no h1")
        for form in page.locator("main form").all():
            if not form.locator("button:not([type=button]), input[type=submit]").count():
                faults.append(f"{name}: a form that nothing sends")
        # Whatever only a script could do is not offered.
        for button in page.locator("main button[type=button]").all():
            if name != "style" and button.is_visible():
                faults.append(f"{name}: a button without a form: {button.inner_text()}")
    assert not faults, "\n".join(faults)


def test_nothing_moves_for_those_who_want_calm(
    open_context: OpenContext, parts: Mapping[str, Mapping[str, Any]]
) -> None:
    calm, lively = (
        open_context().new_page(),
        open_context(reduced_motion="no-preference").new_page(),
    )
    running = "() => document.getAnimations().filter((one) => one.playState === 'running').length"
    for page in (calm, lively):
        page.goto("/style")
    assert lively.evaluate(running) > 0
    assert calm.evaluate(running) == 0
