"""Many phones logging at once against SQLite: errors, lost entries, and how long they wait."""

from __future__ import annotations

import statistics
import tempfile
import threading
import time
import uuid
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from benchmarks.yard.kept import faults, ids, lost
from benchmarks.yard.server import Phone, Server, tanwright

PAUSE_S: Final = 1.0
"""Between two entries of one phone: quicker than any thumb."""
MOST_WAIT_S: Final = 30.0
_VERSIONS: Final = (
    "SELECT t.record_ptr_id FROM tannage_tannage t JOIN journal_record r ON r.id = t.record_ptr_id "
    "JOIN tannage_forecast f ON f.tannage_id = r.id WHERE t.state = 'running' "
    "GROUP BY r.id HAVING MAX(f.of_version) >= r.version"
)


@dataclass
class Soaked:
    """What was seen; seconds of each entry, and seconds until its forecast was there."""

    phones: int
    log_s: list[float] = field(default_factory=list)
    forecast_s: list[float] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)
    lost: int = 0
    faults: list[str] = field(default_factory=list)

    def __str__(self) -> str:
        return (
            f"{self.phones} phones: {len(self.log_s)} entries, {len(self.errors)} errors, "
            f"{self.lost} lost; log p50 {_percentile(self.log_s, 50) * 1e3:.0f} ms, "
            f"p95 {_percentile(self.log_s, 95) * 1e3:.0f} ms; forecast there after p50 "
            f"{_percentile(self.forecast_s, 50):.1f} s, "
            f"p95 {_percentile(self.forecast_s, 95):.1f} s"
        )


def soaked(phones: int, seconds: float) -> Soaked:
    """Let ``phones`` phones log for ``seconds`` in a demo yard, while one waits for forecasts."""
    found = Soaked(phones)
    with tempfile.TemporaryDirectory(prefix="yard-soaked-") as room:
        yard = Path(room) / "yard"
        yard.mkdir()
        tanwright(yard, "demo")
        with Server(yard) as server:
            acknowledged = _phones(server, yard, phones, seconds, found)
            _forecasts_after(server, yard, found)
        found.lost = len(lost(yard, acknowledged))
        found.faults = faults(yard)
    return found


def _phones(
    server: Server, yard: Path, phones: int, seconds: float, found: Soaked
) -> list[uuid.UUID]:
    lots = ids(yard, "SELECT record_ptr_id FROM stock_lot")
    vats = ids(yard, "SELECT record_ptr_id FROM tannage_tannage WHERE state = 'running'")
    paths = [f"/tannages/{id}/log/turned/" for id in vats]
    paths += [f"/stock/{id}/log/note/" for id in lots]
    acknowledged: list[uuid.UUID] = []
    end = time.monotonic() + seconds

    def log(number: int) -> None:
        time.sleep(PAUSE_S * number / phones)
        with closing(Phone(server.port)) as phone:
            talk(phone, number)

    def talk(phone: Phone, number: int) -> None:
        sent = 0
        while time.monotonic() < end:
            path = paths[(number + sent) % len(paths)]
            try:
                id, answer = phone.log(path, note=f"{number}-{sent}")
            except ConnectionError as error:
                found.errors.append(str(error))
                continue
            sent += 1
            if answer.acknowledged:
                acknowledged.append(id)
                found.log_s.append(answer.seconds)
            else:
                found.errors.append(f"status {answer.status}")
            time.sleep(max(0.0, PAUSE_S - answer.seconds))

    threads = [threading.Thread(target=log, args=(number,)) for number in range(phones)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return acknowledged


def _forecasts_after(server: Server, yard: Path, found: Soaked, times: int = 5) -> None:
    """With the phones quiet: from an acknowledged entry to the forecast that knows of it."""
    vats = ids(yard, "SELECT record_ptr_id FROM tannage_tannage WHERE state = 'running'")
    _wait_until_fresh(yard, vats)
    with closing(Phone(server.port)) as phone:
        _one_after_another(phone, yard, vats, found, times)


def _one_after_another(
    phone: Phone, yard: Path, vats: list[uuid.UUID], found: Soaked, times: int
) -> None:
    for number in range(times):
        _, answer = phone.log(f"/tannages/{vats[0]}/log/turned/", note=f"after {number}")
        if answer.acknowledged:
            waited = _wait_until_fresh(yard, vats[:1])
            if waited is None:
                found.errors.append(f"no forecast within {MOST_WAIT_S:.0f} s")
            else:
                found.forecast_s.append(waited)


def _wait_until_fresh(yard: Path, vats: list[uuid.UUID]) -> float | None:
    """Seconds until every one of ``vats`` has a forecast of its newest state."""
    began = time.monotonic()
    while time.monotonic() - began < MOST_WAIT_S:
        if set(vats) <= set(ids(yard, _VERSIONS)):
            return time.monotonic() - began
        time.sleep(0.02)
    return None


def _percentile(values: list[float], percent: int) -> float:
    if len(values) < 2:
        return values[0] if values else float("nan")
    return statistics.quantiles(values, n=100, method="inclusive")[percent - 1]
