"""The shed page in a real browser without signal: nothing lost, nothing twice."""

from __future__ import annotations

import uuid
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import BrowserContext, Page, Route, expect

from tanwright.yard.journal.models import Entry, Record
from tanwright.yard.journal.services import open_record
from tanwright.yard.people.local import keeper_of_this_machine
from tanwright.yard.skins.models import Skin
from tanwright.yard.tannage import services
from tanwright.yard.tannage.models import Tannage
from tests.yard.browser.conftest import OpenContext

LOOKS = ("pale tea", "tea", "strong tea", "coffee", "black coffee")


@pytest.fixture
def vat(transactional_db: None, settings: Any) -> Tannage:
    settings.FORECASTS = "off"
    keeper = keeper_of_this_machine()
    skin = open_record(Skin, Record.Kind.SKIN, keeper, animal="goat")
    vat = services.begin_draft(keeper, name="The goat")
    services.set_skins(vat, [skin], keeper)
    services.set_materials(vat, [], ["quercus-robur-bark"], keeper)
    services.settle(vat, keeper)
    services.start(vat, keeper, id=uuid.uuid4(), happened_at=timezone.now())
    return vat


def shed(context: BrowserContext) -> Page:
    page = context.new_page()
    page.goto("/shed/")
    page.wait_for_selector("#shed[data-ready]")
    return page


def log_look(page: Page, look: str) -> None:
    page.get_by_role("button", name="Look", exact=True).click()
    page.get_by_label(look, exact=True).check()
    page.get_by_role("button", name="Keep it").click()
    expect(page.locator("#shed-form")).to_be_hidden()


def kept(vat: Tannage) -> list[str]:
    entries = Entry.objects.filter(record_id=vat.pk, kind="tannage.look").order_by("happened_at")
    return [entry.data["look"] for entry in entries]


def nothing_waits(page: Page) -> None:
    expect(page.locator("#shed-state")).to_contain_text("Nothing is waiting", timeout=15_000)


def test_three_touches_with_signal(vat: Tannage, open_context: OpenContext) -> None:
    page = shed(open_context())
    log_look(page, "tea")
    nothing_waits(page)
    assert kept(vat) == ["tea"]


def test_what_is_noted_without_signal_arrives_once_it_is_back(
    vat: Tannage, open_context: OpenContext
) -> None:
    context = open_context()
    page = shed(context)
    context.set_offline(True)
    for look in LOOKS:
        log_look(page, look)
    expect(page.locator("#shed-waiting li")).to_have_count(5)
    assert kept(vat) == []
    context.set_offline(False)
    page.evaluate("window.dispatchEvent(new Event('online'))")
    nothing_waits(page)
    expect(page.locator("#shed-waiting li")).to_have_count(0)
    assert sorted(kept(vat)) == sorted(LOOKS)


def test_what_waits_outlives_a_closed_page(vat: Tannage, open_context: OpenContext) -> None:
    context = open_context()
    page = shed(context)
    context.set_offline(True)
    log_look(page, "coffee")
    page.close()
    context.set_offline(False)
    again = shed(context)
    nothing_waits(again)
    assert kept(vat) == ["coffee"]


def test_the_page_opens_without_signal_once_it_was_seen(
    vat: Tannage, open_context: OpenContext
) -> None:
    context = open_context()
    page = shed(context)
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    page.reload()
    page.wait_for_selector("#shed[data-ready]")
    context.set_offline(True)
    page.reload()
    page.wait_for_selector("#shed[data-ready]")
    log_look(page, "tea")
    context.set_offline(False)
    page.evaluate("window.dispatchEvent(new Event('online'))")
    nothing_waits(page)
    assert kept(vat) == ["tea"]


def test_an_answer_lost_on_the_way_writes_nothing_twice(
    vat: Tannage, open_context: OpenContext
) -> None:
    context = open_context()
    page = shed(context)
    lost = []

    def swallow(route: Route) -> None:
        route.fetch()  # the yard has it, the phone never hears of it
        lost.append(route.request.url)
        route.abort()

    page.route("**/shed/send/", swallow)
    log_look(page, "tea")
    expect(page.locator("#shed-state")).to_contain_text("No way to the yard")
    page.unroute("**/shed/send/")
    page.get_by_role("button", name="Send now").click()
    nothing_waits(page)
    assert lost
    assert kept(vat) == ["tea"]


def test_two_pages_of_one_phone_send_each_entry_once(
    vat: Tannage, open_context: OpenContext
) -> None:
    context = open_context()
    one, two = shed(context), shed(context)
    context.set_offline(True)
    log_look(one, "tea")
    log_look(two, "coffee")
    context.set_offline(False)
    for page in (one, two):
        page.evaluate("window.dispatchEvent(new Event('online'))")
    nothing_waits(one)
    nothing_waits(two)
    assert sorted(kept(vat)) == ["coffee", "tea"]


def test_a_refused_entry_stays_to_be_mended(vat: Tannage, open_context: OpenContext) -> None:
    page = shed(open_context())
    page.get_by_role("button", name="pH", exact=True).click()
    page.get_by_label("pH", exact=True).fill("44")
    page.get_by_role("button", name="Keep it").click()
    expect(page.locator("#shed-waiting .error")).to_contain_text("cannot be right")
    page.get_by_role("button", name="Mend").click()
    page.get_by_label("pH", exact=True).fill("4,4")
    page.get_by_role("button", name="Keep it").click()
    nothing_waits(page)
    assert Entry.objects.get(record_id=vat.pk, kind="tannage.ph").data == {"ph": 4.4}


def test_a_slip_is_told_before_it_is_kept(vat: Tannage, open_context: OpenContext) -> None:
    page = shed(open_context())
    page.get_by_role("button", name="Strength", exact=True).click()
    page.get_by_label("Strength", exact=True).fill("a lot")
    page.get_by_role("button", name="Keep it").click()
    expect(page.locator("#shed-error")).to_contain_text("write a number")
    expect(page.locator("#shed-waiting li")).to_have_count(0)


def test_without_javascript_each_vat_is_a_link(vat: Tannage, open_context: OpenContext) -> None:
    page = open_context(java_script_enabled=False).new_page()
    page.goto("/shed/")
    page.get_by_role("link", name="The goat").click()
    expect(page.get_by_role("heading", name="The goat")).to_be_visible()
