"""Server time, weight and queries of every page with the big yard: ``pages(yard)``."""

from __future__ import annotations

import os
import statistics
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Final

TIMES: Final = 7
MOST_MS: Final = 100.0
MOST_KB: Final = 150.0


@dataclass(frozen=True)
class Page:
    """One address, the slowest of its paths: median server time, bytes sent, queries."""

    name: str
    status: int
    median_ms: float
    kb: float
    queries: int

    @property
    def holds(self) -> bool:
        """Whether it keeps to both bars."""
        return self.median_ms <= MOST_MS and self.kb <= MOST_KB


def pages(yard: Path) -> list[Page]:
    """Measure every page of the yard in the folder ``yard``. Sets Django up: once in a process."""
    os.environ |= {"TANWRIGHT_YARD": str(yard), "TANWRIGHT_LAN": "0"}
    os.environ["DJANGO_SETTINGS_MODULE"] = "tanwright.yard.config.settings"
    import django

    django.setup()
    from django.conf import settings

    settings.FORECASTS = "off"
    settings.ALLOWED_HOSTS = ["localhost"]
    from django.test import Client

    from benchmarks.yard.addresses import all_addresses
    from tanwright.yard.config.starting import lay_out_static_files

    lay_out_static_files()

    client = Client(SERVER_NAME="localhost", raise_request_exception=False)
    found: dict[str, Page] = {}
    for address in all_addresses():
        page = _measured(client, address.name, address.path)
        known = found.get(address.name)
        if page and (known is None or page.median_ms > known.median_ms):
            found[address.name] = page
    return sorted(found.values(), key=lambda page: page.median_ms, reverse=True)


def _measured(client: object, name: str, path: str) -> Page | None:
    from django.db import connection
    from django.test import Client
    from django.test.utils import CaptureQueriesContext

    assert isinstance(client, Client)
    with CaptureQueriesContext(connection) as queries:
        first = client.get(path)
    # Counted now: the next request clears the list.
    count = len(queries)
    if first.status_code not in (200, 500) or getattr(first, "streaming", False):
        return None
    seconds = []
    for _ in range(TIMES):
        began = time.perf_counter()
        response = client.get(path)
        seconds.append(time.perf_counter() - began)
    median_ms = statistics.median(seconds) * 1e3
    return Page(name, response.status_code, median_ms, len(response.content) / 1e3, count)
