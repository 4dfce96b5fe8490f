"""Eight phones at once against SQLite through the real server; fifty in benchmarks.yard soak."""

from __future__ import annotations

from benchmarks.yard.soak import soaked


def test_nothing_is_refused_and_nothing_is_lost() -> None:
    found = soaked(phones=8, seconds=5.0)
    assert found.errors == []
    assert len(found.log_s) >= 8
    assert found.lost == 0
    assert found.faults == []
    assert found.forecast_s, "no forecast followed an entry"
