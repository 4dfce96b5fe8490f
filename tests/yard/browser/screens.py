"""The two screens every page is looked at on."""

from __future__ import annotations

from typing import Final

from playwright.sync_api import ViewportSize

PHONE: Final[ViewportSize] = {"width": 360, "height": 740}
LAPTOP: Final[ViewportSize] = {"width": 1280, "height": 800}
