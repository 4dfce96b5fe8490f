"""The checks of pages find what is wrong: each is shown a page with just that fault."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Browser, Page

from tests.yard.browser import page_checks
from tests.yard.browser.screens import PHONE

SOUND = (
    "<!doctype html><html lang='en'><head><meta name='viewport' content='width=device-width'>"
    "<title>A page</title></head><body><main><h1>One</h1>{}</main></body></html>"
)


@pytest.fixture
def page(chromium: Browser) -> Iterator[Page]:
    context = chromium.new_context(viewport=PHONE)
    yield context.new_page()
    context.close()


@pytest.mark.parametrize(
    ("check", "body", "fault"),
    [
        (page_checks.structure, "<h1>Two</h1>", "2 h1"),
        (page_checks.structure, "<h3>Deep</h3>", "H3 after h1"),
        (page_checks.structure, "<p id='a'></p><p id='a'></p>", "id a twice"),
        (page_checks.structure, "<p style='color: red'>x</p>", "inline"),
        (page_checks.width, "<img width='900' height='9' alt=''>", "px wide on 360"),
        (page_checks.targets, "<button>x</button>", "px high"),
        (page_checks.axe, "<input>", "axe label"),
        (
            page_checks.keyboard,
            "<a href='#' id='a'>x</a>" + "<style>#a{outline:0}</style>",
            "not seen",
        ),
        (
            page_checks.keyboard,
            "<a href='#'>x</a><div></div><style>div{position:fixed;inset:0;background:red}</style>",
            "covered",
        ),
        (
            page_checks.keyboard,
            "<button id='a'>x</button><button id='b'>y</button>"
            "<script>a.onkeydown = (e) => e.preventDefault()</script>",
            'Tab does not reach <button id="b">',
        ),
    ],
)
def test_a_fault_is_seen(
    page: Page, check: Callable[[Page], list[str]], body: str, fault: str
) -> None:
    page.set_content(SOUND.format(body))
    assert any(fault in told for told in check(page))


def test_colours_that_fade_at_night_are_seen(page: Page) -> None:
    faded = (
        "<style>@media (prefers-color-scheme: dark) { p { color: #eee; background: #fff } }</style>"
    )
    page.set_content(SOUND.format(f"{faded}<p>Words</p>"))
    assert not page_checks.axe(page)
    assert any("color-contrast" in told for told in page_checks.legible_at_night(page))


def test_a_message_of_the_console_is_heard(page: Page) -> None:
    with page_checks.heard(page) as faults:
        page.set_content(SOUND.format("<script>console.error('broken')</script>"))
        page.evaluate("() => setTimeout(() => { throw new Error('late') })")
        page.wait_for_timeout(50)
    assert any("broken" in told for told in faults)
    assert any("late" in told for told in faults)


def test_a_sound_page_has_no_faults(page: Page) -> None:
    page.set_content(SOUND.format("<p>Words.</p>"))
    for check in (page_checks.structure, page_checks.width, page_checks.axe, page_checks.keyboard):
        assert check(page) == []
