"""A real browser before a real server: what every test of pages in a browser starts from."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, sync_playwright
from pytest_django.live_server_helper import LiveServer

from tests.yard.browser.screens import PHONE

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome")

OpenContext = Callable[..., BrowserContext]


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    """Headless Chromium of this machine, for one module.

    Not for the session: playwright keeps an event loop running in this thread, and Django would
    refuse the database to every other test.
    """
    program = next((found for name in NAMES if (found := shutil.which(name))), None)
    if program is None:
        pytest.fail(f"no Chromium is on the PATH (looked for {', '.join(NAMES)}); install one")
    before = os.environ.get("DJANGO_ALLOW_ASYNC_UNSAFE")
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=program, args=["--no-sandbox", "--disable-dev-shm-usage"]
        )
        yield browser
        browser.close()
    if before is None:
        del os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"]
    else:
        os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = before


@pytest.fixture
def open_context(chromium: Browser, live_server: LiveServer) -> Iterator[OpenContext]:
    """Opens a browser of its own with paths relative to the live server: ``page.goto("/")``.

    Takes what ``Browser.new_context`` takes: ``viewport=LAPTOP``, ``color_scheme="dark"``,
    ``java_script_enabled=False``, ``reduced_motion="reduce"``.
    """
    opened: list[BrowserContext] = []

    def open_one(**how: Any) -> BrowserContext:
        context = chromium.new_context(
            **{
                "base_url": live_server.url,
                "viewport": PHONE,
                "reduced_motion": "reduce",
                **how,
            }
        )
        context.set_default_timeout(15_000)
        opened.append(context)
        return context

    yield open_one
    for context in opened:
        context.close()
