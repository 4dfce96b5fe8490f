"""Takes the pictures of the guides from the demo, in a real browser.

Run by ``make screenshots``.  It opens a yard of its own in a temporary folder, waits for its
forecasts, walks the pages that the guides name and writes them to ``docs/guide/yard/``.
"""

from __future__ import annotations

import io
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright

GUIDE = Path(__file__).parent / "guide"
FOLDER = GUIDE / "yard"
PHONE = {"width": 390, "height": 780}
LAPTOP = {"width": 1180, "height": 760}
COLOURS = 96
"""Enough for flat pages; it keeps a picture at some 40 kB."""


def main() -> None:
    """Make every picture anew."""
    FOLDER.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as yard:
        port = _free_port()
        command = [sys.executable, "-m", "tanwright", "serve", "--demo", "--yard", yard]
        server = subprocess.Popen([*command, "--port", str(port)])
        try:
            base = f"http://127.0.0.1:{port}"
            _wait_for(base)
            with sync_playwright() as playwright:
                browser = playwright.chromium.launch(
                    executable_path=_chromium(), args=["--no-sandbox"]
                )
                walk(browser, base)
        finally:
            server.send_signal(signal.SIGINT)
            server.wait(30)


def walk(browser: Browser, base: str) -> None:
    """Every page that the guide shows."""
    phone = browser.new_context(viewport=PHONE, base_url=base, reduced_motion="reduce").new_page()
    laptop = browser.new_context(viewport=LAPTOP, base_url=base, reduced_motion="reduce").new_page()
    vat = _first(phone, "/tannages/", "/tannages/")
    _forecast(phone, vat)
    _take(laptop, "/", "today")
    _take(phone, "/skins/", "skins")
    limed = _named(phone, "/skins/", "lime") or _first(phone, "/skins/", "/skins/")
    _take(phone, limed, "skin")
    _take(phone, limed + "preparation/", "preparation")
    _take(phone, "/stock/", "stock")
    _take(phone, "/liquors/cook/", "cook")
    _take(phone, vat, "vat")
    _take(laptop, vat, "vat-wide")
    _take(phone, vat + "log/cut/", "cut")
    _take(phone, "/shed/", "shed")
    _take(phone, vat + "done/", "done")
    leather = _first(phone, "/leather/?state=", "/leather/") or _first(
        phone, "/leather/", "/leather/"
    )
    if leather:
        _take(phone, leather, "leather")
    _take(laptop, "/paper/", "paper")
    _take(phone, "/plants/", "plants")
    _take(laptop, "/plants/quercus-robur-bark/", "plant")
    _take(phone, "/plants/choose/", "choose")
    _take(phone, "/plants/here/", "here")
    _take(phone, "/places/calendar/", "gathering-calendar")
    if windfall := _named(phone, "/places/", "windfall"):
        _take(phone, windfall, "windfall")
    graded = _named(phone, "/trials/", "soft leather")
    _take(laptop, graded + "offcuts/", "offcuts")
    _take(laptop, graded + "results/", "results")
    running = _named(phone, "/trials/", "for bags")
    _take(phone, running, "trial")


def _take(page: Page, url: str, name: str) -> None:
    page.goto(url)
    page.wait_for_load_state("networkidle")
    picture = Image.open(io.BytesIO(page.screenshot()))
    small = picture.convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE)
    small.save(FOLDER / f"{name}.png", optimize=True)


def _first(page: Page, list_url: str, prefix: str) -> str:
    page.goto(list_url)
    found = re.search(rf'href="({re.escape(prefix)}[0-9a-f-]{{36}}/)"', page.content())
    return found.group(1) if found else ""


def _named(page: Page, list_url: str, word: str) -> str:
    page.goto(list_url)
    row = page.locator("a.row", has_text=word).first
    return str(row.get_attribute("href")) if row.count() else ""


def _forecast(page: Page, vat: str) -> None:
    """Wait until the worker has worked the vat out."""
    for _ in range(120):
        page.goto(vat)
        if page.locator("figure.picture svg").count() and not page.locator(".coming").count():
            return
        time.sleep(0.5)
    raise SystemExit("the forecast of the demo did not come")


def _chromium() -> str:
    for name in ("chromium", "chromium-browser", "google-chrome"):
        if found := shutil.which(name):
            return found
    raise SystemExit("no Chromium is on the PATH; install one")


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def _wait_for(base: str) -> None:
    for _ in range(240):
        try:
            urllib.request.urlopen(base, timeout=2)
            return
        except OSError:
            time.sleep(0.5)
    raise SystemExit("the yard did not open")


if __name__ == "__main__":
    os.environ.setdefault("TANWRIGHT_DEBUG", "0")
    main()
