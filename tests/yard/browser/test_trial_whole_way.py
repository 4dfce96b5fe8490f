"""The whole way of a trial on a phone: from the question to a tannage that is planned."""

from __future__ import annotations

from datetime import timedelta
from typing import Any, Final

from django.utils import timezone
from playwright.sync_api import Page, expect

from tanwright.yard.people.models import Person
from tanwright.yard.stock.models import Lot
from tanwright.yard.stock.services import new_lot
from tanwright.yard.tannage.models import Tannage
from tanwright.yard.trials.models import Trial
from tests.yard.browser.conftest import OpenContext
from tests.yard.browser.page_checks import axe, heard, keyboard, structure, targets, width

CHECKS: Final = (structure, width, targets, axe)
FIRMNESS: Final = {"control": (4, 5, 4), "alnus-glutinosa-bark": (2, 2, 1)}
"""Steps that the patches of each treatment are given, by turns."""


def go(page: Page, url: str) -> None:
    page.goto(url)
    expect(page.get_by_role("heading", level=1)).to_be_visible()


def send(page: Page, button: str) -> None:
    page.locator("main").get_by_role("button", name=button, exact=True).click()
    expect(page.locator(".error-summary")).to_have_count(0)


def sound(page: Page) -> None:
    """Structure, width, sizes of what is pressed, and what a reader with other senses needs."""
    faults = [fault for check in CHECKS for fault in check(page)]
    assert not faults, (page.url, faults)


def next_up(page: Page, link: str) -> None:
    """Go where the page of the trial leads."""
    page.locator(".next-do").get_by_role("link", name=link, exact=True).click()


def on_day(page: Page, days_ago: float) -> None:
    """Set the time of an entry, which a form may keep folded away."""
    when = timezone.localtime() - timedelta(days=days_ago)
    page.locator("#id_happened_at").evaluate(
        "(box, when) => { box.value = when }", when.strftime("%Y-%m-%dT%H:%M")
    )


def plan(page: Page) -> str:
    """The four small pages; hands back the address of the trial."""
    go(page, "/trials/")
    page.get_by_role("link", name="Plan a trial").first.click()
    page.get_by_label("Which of these plants").check()
    page.get_by_label("Own name").fill("oak or alder")
    send(page, "Save and go on")
    trial = page.url.split("step/")[0]
    page.get_by_label("What you usually take").fill("English oak bark")
    page.locator("#id_plants").fill("common alder bark")
    page.locator("main input[name=lots]").first.check()
    send(page, "Save and go on")
    page.locator("#id_width_cm").fill("5")
    page.locator("#id_thickness_mm").fill("1.8")
    page.locator("#id_graders").fill("2")
    page.locator("#id_jars_each").fill("1")
    send(page, "Save and go on")
    page.locator("#id_temperature_c").fill("14")
    page.locator("#id_leather").select_option("soft")
    send(page, "Save and go on")
    expect(page.locator("main")).to_contain_text("no patches yet")
    return trial


def cut(page: Page, trial: str) -> None:
    """Offcuts of three kinds, patches on them, the map to cut by."""
    go(page, trial)
    next_up(page, "Draw the offcuts")
    page.get_by_role("link", name="A usual piece").click()
    send_first(page)
    page.get_by_role("link", name="By measures").click()
    page.locator("#id_length_cm").fill("24")
    page.locator("#id_widths").fill("18 14")
    send_first(page)
    page.get_by_role("link", name="Drawn by hand").click()
    page.locator("#id_points").fill("0, 0\n16, 0\n18, 12\n2, 14")
    send_first(page)
    page.locator("#id_most").fill("12")
    send(page, "Lay the patches out")
    expect(page.locator("main")).to_contain_text("12 of them are used")
    sound(page)
    answer = page.request.get(trial + "map/?paper=a4")
    assert answer.body().startswith(b"%PDF")
    go(page, trial + "step/pieces/")
    expect(page.locator("main")).to_contain_text("12 patches of 5 × 5 cm are laid out")
    sound(page)


def send_first(page: Page) -> None:
    """Send the form of the page, whatever its button says."""
    page.locator("main form.form button[type=submit]").first.click()
    expect(page.locator(".error-summary")).to_have_count(0)


def tan(page: Page, trial: str) -> None:
    """Deal out, fill the jars, note all of them at once, take them out."""
    go(page, trial)
    next_up(page, "To the design")
    send(page, "Deal the patches out")
    expect(page.locator("main")).to_contain_text("Jar 2")
    sound(page)
    page.get_by_role("link", name="Labels for the lids").click()
    expect(page.locator(".lid")).to_have_count(2)
    sound(page)
    go(page, trial)
    next_up(page, "To the jars")
    page.get_by_role("link", name="The patches go in").click()
    page.locator("#id_part_pct").fill("50")
    on_day(page, 40)
    send(page, "They are in")
    page.get_by_role("link", name="Strength", exact=True).click()
    page.locator("#id_jar_1").fill("14")
    page.locator("#id_jar_2").fill("12")
    on_day(page, 30)
    send(page, "Note it all")
    page.get_by_role("link", name="Cut", exact=True).click()
    sound(page)
    assert keyboard(page) == []
    page.locator("#id_jar_1").select_option(index=5)
    page.locator("#id_jar_2").select_option(index=5)
    on_day(page, 20)
    send(page, "Note it all")
    page.get_by_role("link", name="Take out", exact=True).click()
    page.get_by_label("Jar 1").check()
    page.get_by_label("Jar 2").check()
    on_day(page, 10)
    send(page, "Note it all")
    expect(page.locator(".next-headline").first).to_contain_text("Grade the patches")
    sound(page)
    go(page, trial + "jars/")
    expect(page.locator("main")).to_contain_text("What was in jar 1")
    sound(page)
    go(page, trial)


def grade(page: Page, trial: str, grader: str) -> None:
    """One quality on a sheet, one laid in a row."""
    go(page, f"{trial}grading/?grader={grader}")
    page.get_by_role("link", name="Firmness", exact=True).click()
    for number, treatment in _treatments():
        patch = page.locator("fieldset.steps", has_text=f"Patch {number}").filter(
            has=page.locator(f"legend:text-matches('^Patch {number}( |$)')")
        )
        steps = FIRMNESS[treatment]
        patch.locator("label.step").nth(steps[number % len(steps)] - 1).click()
    send(page, "Keep this sheet")
    page.get_by_role("link", name="lay them in a row for depth of colour").click()
    for number, treatment in _treatments():
        row = page.locator(f"[data-name='patch {number}']")
        row.locator("input").fill("1" if treatment == "control" else "2")
    send(page, "Keep this row")
    expect(page.locator("body")).to_contain_text("The row for depth of colour is noted")


def _treatments() -> list[tuple[int, str]]:
    return list(Trial.objects.get().patches.order_by("number").values_list("number", "treatment"))


def test_from_a_question_to_a_planned_tannage(
    transactional_db: None, open_context: OpenContext, settings: Any
) -> None:
    settings.FORECASTS = "off"
    page = open_context().new_page()
    missing: list[str] = []
    page.on("response", lambda answer: missing.append(answer.url) if answer.status >= 400 else None)
    with heard(page) as faults:
        go(page, "/")
        new_lot(Person.objects.get(), "quercus-robur-bark", kg=8.0,
                happened_at=timezone.now() - timedelta(days=90))  # fmt: skip
        address = plan(page)
        cut(page, address)
        tan(page, address)
        next_up(page, "To the grading")
        grade(page, address, "first")
        go(page, address)
        expect(page.locator(".next-headline").first).to_contain_text("blind")
        go(page, address + "results/")
        expect(page.locator("main")).to_contain_text("Still covered")
        grade(page, address, "second")
        go(page, address)
        next_up(page, "What they say")
        expect(page.locator(".answers")).to_contain_text("firmness")
        page.get_by_role("link", name="Take one to a skin").click()
        page.get_by_label("common alder bark").check()
        page.locator("#id_pelt_kg").fill("2.5")
        send(page, "Plan it")
        expect(page.get_by_role("heading", level=1)).to_have_text("Which skins")
    assert missing == []
    assert faults == []
    trial, vat = Trial.objects.get(), Tannage.objects.get()
    assert trial.became == vat
    assert trial.chosen == "alnus-glutinosa-bark"
    assert vat.state == Tannage.State.DRAFT
    assert (Lot.objects.get().left_kg or 0.0) < 8.0
