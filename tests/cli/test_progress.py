"""What is told on stderr while the engine works."""

from __future__ import annotations

import numba
import pytest

from tanwright.cli.progress import NOTICE, shown_progress


def fresh() -> tuple[numba.core.dispatcher.Dispatcher, ...]:
    """Two compiled functions that nothing has called yet."""
    return numba.njit(lambda x: x + 1), numba.njit(lambda x: x - 1)


def test_a_first_run_says_once_that_the_solver_is_compiled(
    capsys: pytest.CaptureFixture[str],
) -> None:
    up, down = fresh()
    with shown_progress(quiet=False):
        assert up(1) == 2
        assert down(1) == 0
    told = capsys.readouterr()
    assert told.err == f"{NOTICE}\n"
    assert told.out == ""


def test_what_is_compiled_already_is_not_told_of(capsys: pytest.CaptureFixture[str]) -> None:
    up, _ = fresh()
    up(1)
    with shown_progress(quiet=False):
        assert up(2) == 3
    assert capsys.readouterr().err == ""


def test_another_number_of_kinds_is_compiled_and_told_of(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """As the solver's ``kinds``: the length of a tuple is part of its type."""
    count = numba.njit(lambda kinds: len(kinds))
    count((0,))
    with shown_progress(quiet=False):
        assert count((0, 0)) == 2
    assert capsys.readouterr().err == f"{NOTICE}\n"


def test_quiet_work_and_work_afterwards_say_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    up, down = fresh()
    with shown_progress(quiet=True):
        up(1)
    with shown_progress(quiet=False):
        pass
    down(1)
    assert capsys.readouterr().err == ""
