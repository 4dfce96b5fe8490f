"""What yard.js adds for those who have it: focus, one press one entry, a word when out of reach."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import BrowserContext, Page, Route, expect

from tanwright.yard.journal.models import Entry, Record
from tanwright.yard.journal.services import open_record
from tanwright.yard.people.local import keeper_of_this_machine
from tanwright.yard.skins.models import Skin

OpenContext = Callable[..., BrowserContext]


@pytest.fixture
def page(open_context: OpenContext, settings: Any, transactional_db: None) -> Page:
    """The page of components, which has a refused form."""
    settings.ROOT_URLCONF = "tests.yard.browser.urls_with_style"
    page = open_context().new_page()
    page.goto("/style")
    return page


def test_the_summary_of_a_refused_form_has_the_focus(page: Page) -> None:
    expect(page.locator(".error-summary")).to_be_focused()
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    assert page.url.endswith("#id_weight")


def test_a_form_pressed_twice_is_sent_once(page: Page) -> None:
    sent: list[str] = []

    def hold(route: Route) -> None:
        if route.request.method == "POST":
            sent.append(route.request.url)
            route.fulfill(status=204)
        else:
            route.continue_()

    page.route("**/style", hold)
    button = page.get_by_role("button", name="Note it")
    button.click()
    button.click(force=True)
    page.wait_for_timeout(200)
    assert len(sent) == 1
    # Coming back to the page frees the form again.
    page.evaluate("window.dispatchEvent(new PageTransitionEvent('pageshow'))")
    button.click()
    page.wait_for_timeout(200)
    assert len(sent) == 2


def test_more_places_open_and_close_by_keyboard(page: Page) -> None:
    more = page.locator(".bar-more")
    more.locator("summary").focus()
    page.keyboard.press("Enter")
    expect(more.get_by_role("link", name="Liquors")).to_be_visible()
    page.keyboard.press("Escape")
    expect(more.get_by_role("link", name="Liquors")).to_be_hidden()
    expect(more.locator("summary")).to_be_focused()


def test_the_bar_can_be_skipped(page: Page) -> None:
    page.goto("/nothing-here")
    page.keyboard.press("Tab")
    skip = page.get_by_role("link", name="To the page")
    expect(skip).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("main")).to_be_focused()


def test_the_yard_out_of_reach_is_told_and_taken_back(page: Page) -> None:
    notice = page.locator("#out-of-reach")
    expect(notice).to_be_hidden()
    ask = "() => htmx.ajax('GET', '/search/', {target: '.messages', swap: 'none'}).catch(() => 0)"
    page.context.set_offline(True)
    page.evaluate(ask)
    expect(notice).to_be_visible()
    expect(notice.get_by_role("link", name="the shed page")).to_be_visible()
    page.context.set_offline(False)
    page.evaluate(ask)
    expect(notice).to_be_hidden()


@pytest.fixture
def note_form(page: Page) -> Page:
    """A form for a note, opened half an hour ago."""
    skin = open_record(Skin, Record.Kind.SKIN, keeper_of_this_machine(), animal="deer")
    page.clock.install()
    page.goto(f"/skins/{skin.pk}/log/note/")
    page.clock.fast_forward("30:00")
    page.locator("textarea[name=note]").fill("Turned over.")
    return page


def test_when_follows_the_clock_until_the_form_is_sent(note_form: Page) -> None:
    note_form.get_by_role("button", name="Note it").click()
    note_form.wait_for_load_state()
    entry = Entry.objects.get()
    assert timedelta(minutes=28) < entry.happened_at - entry.written_at < timedelta(minutes=32)


def test_a_time_that_was_set_is_kept(note_form: Page) -> None:
    box = note_form.locator("input[name=happened_at]")
    box.evaluate("(box) => box.closest('details')?.setAttribute('open', '')")
    box.fill("2026-01-02T03:04")
    note_form.get_by_role("button", name="Note it").click()
    note_form.wait_for_load_state()
    assert timezone.localtime(Entry.objects.get().happened_at).strftime("%d %H:%M") == "02 03:04"
