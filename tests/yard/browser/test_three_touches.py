"""Logging on a phone: three touches from the vat's page and back, and the wait for the forecast."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from tanwright.yard.journal.models import Entry
from tanwright.yard.people.local import keeper_of_this_machine
from tanwright.yard.skins.services import new_skin
from tanwright.yard.stock.services import new_lot
from tanwright.yard.tannage import renewing, services
from tanwright.yard.tannage.models import Tannage

from .conftest import OpenContext


@pytest.fixture
def vat(transactional_db: None) -> Tannage:
    by = keeper_of_this_machine()
    tannage = services.begin_draft(by)
    services.set_skins(tannage, [new_skin(by, "goat", weight_kg=2.2)], by)
    services.set_materials(tannage, [new_lot(by, "quercus-robur-bark", kg=6.0)], [], by)
    services.settle(tannage, by)
    services.start(tannage, by, id=uuid4(), happened_at=timezone.now())
    return tannage


@pytest.mark.parametrize("script", [True, False])
def test_a_look_and_a_cut_in_three_touches_each(
    vat: Tannage, open_context: OpenContext, script: bool
) -> None:
    page = open_context(java_script_enabled=script).new_page()
    page.goto(vat.get_absolute_url())
    for quick, choice in (("Look", "coffee"), ("Cut", "half is pale")):
        page.locator(".touch", has_text=quick).click()
        page.locator("label", has_text=choice).last.click()
        page.get_by_role("button", name="Note it").click()
        expect(page).to_have_url(f"{page.url.partition('/tannages/')[0]}{vat.get_absolute_url()}")
    assert Entry.objects.get(kind="tannage.look").data == {"look": "black coffee"}
    assert Entry.objects.get(kind="tannage.cut").data == {"share": 0.5, "place": "neck"}


def test_the_page_shows_the_wait_and_then_the_forecast(
    vat: Tannage, open_context: OpenContext, settings: Any
) -> None:
    page = open_context().new_page()
    settings.FORECASTS = "off"
    services.log(vat, "look", {"look": "tea"}, keeper_of_this_machine(), id=uuid4(),
                 happened_at=timezone.now())  # fmt: skip
    page.goto(vat.get_absolute_url())
    expect(page.locator(".coming")).to_be_visible()
    renewing.renew_now(vat.pk)
    expect(page.locator(".coming")).to_have_count(0, timeout=15_000)
    expect(page.locator(".log-line").first).to_contain_text("tea")
