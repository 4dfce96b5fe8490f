"""The real server killed with SIGKILL while phones write; the long form is benchmarks.yard kill."""

from __future__ import annotations

from benchmarks.yard.kill import killed


def test_no_acknowledged_entry_is_lost_and_the_database_stays_sound() -> None:
    found = killed(rounds=6)
    assert found.rounds == 6
    assert found.acknowledged > 6
    assert found.lost == 0
    assert found.faults == []
