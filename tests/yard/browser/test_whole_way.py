"""The whole way in one browser: from an empty yard to a finished leather, on a phone."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.utils import timezone
from playwright.sync_api import Page, expect

from tanwright.yard.leather.models import Leather
from tanwright.yard.liquors.models import Liquor
from tanwright.yard.skins.models import Skin
from tanwright.yard.stock.models import Lot
from tanwright.yard.tannage.models import Tannage
from tests.yard.browser.conftest import OpenContext
from tests.yard.browser.page_checks import heard


def send(page: Page, button: str) -> None:
    page.locator("main").get_by_role("button", name=button, exact=True).click()
    expect(page.locator(".error-summary")).to_have_count(0)


def on_day(page: Page, days_ago: float) -> None:
    """Set the time of an entry, which a form may keep folded away."""
    when = timezone.localtime() - timedelta(days=days_ago)
    page.locator("#id_happened_at").evaluate(
        "(box, when) => { box.value = when }", when.strftime("%Y-%m-%dT%H:%M")
    )


def go(page: Page, url: str) -> None:
    page.goto(url)
    expect(page.get_by_role("heading", level=1)).to_be_visible()


def a_skin(page: Page) -> str:
    go(page, "/skins/new/")
    page.locator("#id_animal").select_option(label="goat")
    page.locator("#id_keeping").select_option(index=0)
    page.locator("#id_weight").fill("2.2")
    on_day(page, 60)
    send(page, "Add it")
    return page.url


def prepare(page: Page, skin: str) -> None:
    """Every stage of the chosen way, one after the other."""
    go(page, skin + "way/")
    page.locator("#id_unhair_0").check()
    send(page, "Go this way")
    day = 55.0
    for _ in range(12):
        go(page, skin)
        begin = page.locator("main").get_by_role("link", name="Begin: ")
        if begin.count() == 0:
            break
        begin.first.click()
        on_day(page, day)
        send(page, "It has begun")
        go(page, skin + "end/")
        page.locator("input[name=looked][value=done]").check()
        on_day(page, day - 1.0)
        send(page, "Note it")
        day -= 1.5
    expect(page.locator("main")).to_contain_text("vat")


def a_lot(page: Page) -> None:
    go(page, "/stock/new/")
    page.locator("#id_material_id").fill("quercus-robur-bark")
    page.locator("#id_kg").fill("6")
    on_day(page, 50)
    send(page, "Add it")


def a_liquor(page: Page) -> None:
    go(page, "/liquors/cook/")
    page.locator("#id_lot_1").select_option(index=1)
    page.locator("#id_kg_1").fill("2")
    page.locator("#id_water_l").fill("12")
    page.locator("#id_volume_l").fill("9")
    on_day(page, 36)
    send(page, "Note the cook")


def plan(page: Page) -> str:
    go(page, "/tannages/new/")
    page.locator("main input[name=skins]").first.check()
    send(page, "Save and go on")
    page.locator("main input[name=lots]").first.check()
    send(page, "Save and go on")
    page.locator("#id_vat_volume_l").fill("18")
    page.locator("#id_temperature_c").fill("12")
    send(page, "Save and go on")
    page.locator("#id_leather").select_option("soft")
    start = timezone.localdate() - timedelta(days=35)
    page.locator("#id_start").fill(start.isoformat())
    send(page, "Save and go on")
    expect(page.locator("main")).to_contain_text("enough", timeout=20_000)
    return page.url.split("review/")[0]


def tan(page: Page, vat: str) -> None:
    go(page, vat + "start/")
    on_day(page, 35)
    send(page, "They are in")
    go(page, vat + "log/pour/")
    page.locator("#id_litres").fill("6")
    page.locator("#id_liquor").select_option(index=1)
    on_day(page, 34)
    send(page, "Note it")
    for days, share in ((28, "0.25"), (20, "0.67"), (8, "0.95"), (2, "1.0")):
        go(page, vat)
        page.locator("main").get_by_role("link", name="Cut", exact=True).click()
        page.locator(f"input[name=share][value='{share}']").check()
        on_day(page, days)
        send(page, "Note it")
    expect(page.locator("main")).to_contain_text("Struck through")


def take_out(page: Page, vat: str) -> None:
    go(page, vat + "done/")
    for no in page.locator("main input[type=radio][value=no]").all():
        no.check()
    on_day(page, 1.5)
    send(page, "Note it")
    go(page, vat + "log/taken_out/")
    for box in page.locator("main input[type=checkbox]").all():
        box.check()
    on_day(page, 1.4)
    send(page, "Note it")


def finish(page: Page, vat: str) -> str:
    tannage = Tannage.objects.get()
    go(page, f"/leather/new/?tannage={tannage.pk}")
    page.locator("main input[name=skin]").first.check()
    send(page, "Open it")
    leather = page.url
    day = 1.3
    for _ in range(10):
        go(page, leather)
        begin = page.locator("main a[href*='/begin/']")
        if begin.count() == 0:
            break
        begin.first.click()
        on_day(page, day)
        send(page, "Begin")
        go(page, leather + "ended/")
        page.locator("main input[type=radio][value=done]").check()
        on_day(page, day - 0.05)
        send(page, "Note it")
        day -= 0.12
    go(page, leather + "log/weighed/")
    page.locator("#id_kg").fill("0.8")
    send(page, "Note it")
    return leather


def test_from_an_empty_yard_to_a_finished_leather(
    transactional_db: None, open_context: OpenContext, settings: Any
) -> None:
    page = open_context().new_page()
    missing: list[str] = []
    page.on("response", lambda answer: missing.append(answer.url) if answer.status >= 400 else None)
    with heard(page) as faults:
        go(page, "/")
        skin = a_skin(page)
        prepare(page, skin)
        a_lot(page)
        a_liquor(page)
        vat = plan(page)
        tan(page, vat)
        take_out(page, vat)
        leather = finish(page, vat)
        go(page, leather)
    assert missing == []
    assert faults == []
    made = Leather.objects.get()
    assert made.weight_kg == 0.8
    assert made.finished_at is not None
    assert Skin.objects.get().stage == "leather"
    assert Tannage.objects.get().state == Tannage.State.ENDED
    assert 0.0 < (Lot.objects.get().left_kg or 0.0) < 6.0
    cooked = Liquor.objects.order_by("number").first()
    assert cooked is not None
    assert (cooked.volume_l or 0.0) < 9.0
    go(page, "/")
    expect(page.get_by_role("heading", level=1)).to_have_text("Today")
