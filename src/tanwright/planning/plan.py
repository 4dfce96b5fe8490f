"""From a sheet to a plan: is it enough, how much, when, what to do and to look for."""

from __future__ import annotations

from datetime import date

import numpy as np

from tanwright.planning.amounts import Amounts, front_days, work_out
from tanwright.planning.answering import answer
from tanwright.planning.answers import Answer
from tanwright.planning.course import spells_of
from tanwright.planning.outcome import Course, Outcome, run_until_done
from tanwright.planning.policy import plan_cooks
from tanwright.planning.setting import Notify, Setting, settle
from tanwright.planning.sheet import Sheet
from tanwright.planning.worlds import Worlds, make_worlds, middle_world
from tanwright.science.belief.unknowns import Floats, draw

MEMBERS = 1000


def _quiet(message: str) -> None:
    """Tell nobody."""


def make_plan(
    sheet: Sheet,
    *,
    today: date,
    members: int = MEMBERS,
    seed: int = 1,
    progress: Notify = _quiet,
) -> Answer:
    """The plan for ``sheet`` as seen on ``today``.

    Parameters
    ----------
    members:
        Plausible worlds in the ensemble; percentiles of fewer than 200 are rough.
    seed:
        Seed of the draws; the same seed gives the same plan.
    progress:
        Told what is being worked on.

    Raises
    ------
    InputError
        For a sheet that cannot be planned, with place and remedy.
    """
    progress("reading the evidence")
    setting = settle(sheet)
    rng = np.random.default_rng(seed)
    z = draw(members, setting.unknowns, rng)
    worlds = make_worlds(setting, z)
    amounts = work_out(worlds, setting)
    progress("working out the cooks")
    course = plan_course(setting, worlds, amounts)
    progress(f"running {members} plausible vats")
    outcome = run_to_end(worlds, setting, course)
    progress("putting the answer together")
    return answer(setting, z, worlds, amounts, course, outcome, today, rng)


def stock_kg(setting: Setting, amounts: Amounts) -> Floats:
    """Material the plan may use, kg as it lies: what is in hand, and wanted ones up to the 95 %."""
    high = np.quantile(amounts.need_kg, 0.95, axis=0)
    return np.array(
        [
            lot.lot.have_kg if lot.lot.have_kg is not None else high[j]
            for j, lot in enumerate(setting.lots)
        ]
    )


def plan_course(setting: Setting, worlds: Worlds, amounts: Amounts) -> Course:
    """The cooks of the middle world, for all worlds."""
    guess = guess_days(worlds, setting)
    spells = spells_of(setting, 10_000.0)
    cooks = plan_cooks(
        middle_world(setting), setting, stock_kg(setting, amounts), spells, horizon_days=2.0 * guess
    )
    return Course(cooks[0], cooks[1:], spells)


def guess_days(worlds: Worlds, setting: Setting) -> float:
    """A first length of the run, days."""
    return float(np.clip(2.5 * np.median(front_days(worlds, setting)), 14.0, 400.0))


def run_to_end(worlds: Worlds, setting: Setting, course: Course) -> Outcome:
    """Run the course until nearly all worlds that can finish have finished."""
    return run_until_done(worlds, setting, course, guess_days(worlds, setting))
