"""What must hold for every page, each check a function that gives back the faults it sees."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import ConsoleMessage, Page

_AXE = Axe()
_IN_THE_PAGE = Path(__file__).with_suffix(".js").read_text(encoding="utf-8")


def _ask(page: Page, what: str) -> Any:
    return page.evaluate(f"() => ({_IN_THE_PAGE.strip()}).{what}()")


@contextmanager
def heard(page: Page) -> Iterator[list[str]]:
    """Errors and warnings of the console while it lasts; refusals of the content policy too."""
    faults: list[str] = []

    def note(message: ConsoleMessage) -> None:
        if message.type in ("error", "warning"):
            faults.append(f"console: {message.text}")

    def fail(error: Any) -> None:
        faults.append(f"script: {error}")

    page.on("console", note)
    page.on("pageerror", fail)
    yield faults
    page.remove_listener("console", note)
    page.remove_listener("pageerror", fail)


def structure(page: Page) -> list[str]:
    """One h1 and one main, headings without gaps, no id twice, nothing inline."""
    return list(_ask(page, "structure"))


def width(page: Page) -> list[str]:
    """Nothing makes the page scroll sideways."""
    return list(_ask(page, "width"))


def targets(page: Page) -> list[str]:
    """What a thumb presses is 48 px high."""
    return list(_ask(page, "targets"))


def axe(page: Page) -> list[str]:
    """Violations of axe's rules."""
    return _told(_AXE.run(page, options={"resultTypes": ["violations"], "preload": False}).response)


def _told(answer: dict[str, Any]) -> list[str]:
    faults = []
    for fault in answer["violations"]:
        for node in fault["nodes"][:3]:
            why = node["any"][0]["message"] if node["any"] else fault["help"]
            faults.append(f"axe {fault['id']}: {why}: {node['html'][:160]}")
    return faults


def legible_at_night(page: Page) -> list[str]:
    """Contrasts hold in dark colours too; after :func:`axe`, which has put axe into the page."""
    page.emulate_media(color_scheme="dark")
    rules = {"type": "rule", "values": ["color-contrast", "link-in-text-block"]}
    options = {"runOnly": rules, "resultTypes": ["violations"], "preload": False}
    faults = _told(page.evaluate("(options) => axe.run(document, options)", options))
    page.emulate_media(color_scheme="light")
    return [f"at night: {fault}" for fault in faults]


def keyboard(page: Page) -> list[str]:
    """Tab reaches everything that can be worked, and shows where it is."""
    for _ in range(_ask(page, "begin")):
        page.keyboard.press("Tab")
        page.evaluate("window.lookAtFocus()")
    return list(page.evaluate("window.keyboardFaults()"))
