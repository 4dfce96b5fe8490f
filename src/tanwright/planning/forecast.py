"""The plan again after readings: narrower, with what changed and why, next action first."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, time

import numpy as np

from tanwright.planning.amounts import Amounts, work_out
from tanwright.planning.answering import Extras, answer
from tanwright.planning.answers import Answer, Mark, ReadingCheck
from tanwright.planning.changes import changes_of
from tanwright.planning.course import Poured, schedule_of
from tanwright.planning.history import History, read_history, resumed
from tanwright.planning.lately import lately_of
from tanwright.planning.observing import Observed
from tanwright.planning.outcome import Course, run_course
from tanwright.planning.plan import MEMBERS, guess_days, plan_course, run_to_end, stock_kg
from tanwright.planning.policy import COARSE, VatState, live_bk, plan_cooks
from tanwright.planning.readings import SET_ASIDE, Readings
from tanwright.planning.setting import Notify, Setting, settle
from tanwright.planning.sheet import Sheet
from tanwright.planning.worlds import Worlds, make_worlds, middle_world
from tanwright.science.belief.noise import CutNoise, LooksNoise
from tanwright.science.belief.summary import Percentiles
from tanwright.science.belief.unknowns import Floats, draw
from tanwright.science.belief.updating import (
    DegenerateEnsembleError,
    Forward,
    Posterior,
    update,
)
from tanwright.science.uptake.solver import LEAN, solve
from tanwright.units import format_mass


@dataclass(frozen=True)
class Updated:
    """Worlds after the readings, and how they were got."""

    z: Floats
    posterior: Posterior | None
    notes: tuple[str, ...]


def _quiet(message: str) -> None:
    """Tell nobody."""


def make_forecast(
    sheet: Sheet,
    readings: Readings,
    *,
    today: date,
    members: int = MEMBERS,
    seed: int = 1,
    progress: Notify = _quiet,
) -> Answer:
    """The plan for ``sheet`` after ``readings``, as seen on ``today``.

    The first liquor is what was recorded as cooked on the first day, else the plan's; later
    strengthenings are those that were recorded.
    Parameters as :func:`tanwright.planning.plan.make_plan`. Raises InputError.
    """
    progress("reading the evidence")
    setting = settle(sheet)
    moved: tuple[str, ...] = ()
    if readings.last_day is not None and readings.last_day > today:
        moved = (
            f"The last reading is of {readings.last_day}, later than {today}: seen from that day. "
            "If its date is a slip, correct it.",
        )
        today = readings.last_day
    # Read once before any vat is run, so that a row that cannot be is refused at once.
    read_history(readings.rows, setting, readings.source)
    rng = np.random.default_rng(seed)
    z = draw(members, setting.unknowns, rng)
    worlds = make_worlds(setting, z)
    amounts = work_out(worlds, setting)
    planned = plan_course(setting, worlds, amounts)
    before = run_to_end(worlds, setting, planned)
    history = read_history(readings.rows, setting, readings.source, planned.first.kg)
    progress("holding the readings against the plausible vats")
    first = planned.first
    if history.first_kg is not None:
        first = replace(first, kg=history.first_kg)
    so_far = Course(first, history.changes, history.spells)
    updated = take_in(z, setting, so_far, history, rng)
    worlds = make_worlds(setting, updated.z)
    now = _now(setting, today, readings)
    brought, thrown = poured_by_hand(worlds, setting, so_far, history, now)
    after_amounts = work_out(worlds, setting, history.vat_l, brought_g=brought, thrown_g=thrown)
    progress("bending the schedule")
    lately = lately_of(readings.rows, setting, history.waits_for(now), now)
    history = resumed(history, now, setting)
    so_far = replace(so_far, spells=history.spells)
    course, state_notes = continued(setting, updated.z, so_far, after_amounts, history, now)
    outcome = run_to_end(worlds, setting, course)
    if float(np.median(outcome.finish_day)) <= now:
        state_notes += ("In half of the plausible cases or more the done gate may be asked now.",)
    progress("putting the answer together")
    used = tuple(begun + later for begun, later in zip(first.kg, history.used_kg, strict=True))
    changes = changes_of(
        setting,
        z,
        updated.z,
        amounts,
        after_amounts,
        before,
        outcome,
        planned,
        course,
        history,
        now,
    )
    posterior = updated.posterior
    extras = Extras(
        marks=_marks(history, posterior),
        changes=changes,
        checks=_checks(history, posterior),
        effective_members=None if posterior is None else posterior.effective_members,
        poured_kg=used,
        notes=(*moved, *readings.notes, *history.notes, *updated.notes, *state_notes),
        lately=lately,
    )
    return answer(setting, updated.z, worlds, after_amounts, course, outcome, today, rng, extras)


def poured_by_hand(
    worlds: Worlds, setting: Setting, course: Course, history: History, now: float
) -> tuple[Floats, Floats]:
    """Tannin that came in as ready liquor of known strength, and that was poured away, g, (m,)."""
    poured = [change for change in history.changes if isinstance(change, Poured)]
    brought, thrown = np.zeros(worlds.members), np.zeros(worlds.members)
    if not poured:
        return brought, thrown
    outcome = run_course(worlds, setting, course, now, stops=[p.day - 1e-4 for p in poured])
    for change in poured:
        if change.strength_bk is not None:
            purity = worlds.purity[:, change.material]
            strength = change.strength_bk * worlds.solubles_per_degree * purity
            brought += change.in_l * strength
        before = outcome.result.at(change.day - 1e-4, outcome.result.vat_tannin_g_per_l)
        thrown += change.out_l * before.sum(axis=1)
    return brought, thrown


def forward_of(setting: Setting, course: Course, history: History) -> Forward:
    """The forward model of the readings: z (n, unknowns) -> predictions (n, readings)."""
    days = [seen.day for seen in history.observed]
    end = max(days, default=0.0) + 1e-3

    def forward(z: Floats) -> Floats:
        worlds = make_worlds(setting, z)
        outcome = run_course(worlds, setting, course, end, stops=days, resolution=LEAN)
        return np.stack([seen.predict(worlds, outcome) for seen in history.observed], axis=1)

    return forward


def take_in(
    z: Floats, setting: Setting, course: Course, history: History, rng: np.random.Generator
) -> Updated:
    """Worlds ``z`` after the observed readings."""
    if not history.observed:
        return Updated(z, None, ())
    forward = forward_of(setting, course, history)
    readings = [seen.reading for seen in history.observed]
    try:
        posterior = update(z, forward, readings, rng)
    except DegenerateEnsembleError as error:
        if error.partial is None:
            raise
        note = (
            "The readings do not fit together or fit no plausible vat well: the answer below "
            f"rests on about {error.partial.effective_members:.0f} worlds. Check the readings, "
            "then take another cut."
        )
        return Updated(error.partial.z, error.partial, (note,))
    return Updated(posterior.z, posterior, ())


def _now(setting: Setting, today: date, readings: Readings) -> float:
    """The moment the forecast speaks from: the end of the last reading, or today."""
    midnight = datetime.combine(setting.start, time())
    now = float((datetime.combine(today, time()) - midnight).days)
    if readings.rows:
        now = max(now, readings.rows[-1].day(setting.start) + 1e-3)
    return max(now, 1e-3)


def continued(
    setting: Setting,
    z: Floats,
    so_far: Course,
    amounts: Amounts,
    history: History,
    now: float,
) -> tuple[Course, tuple[str, ...]]:
    """The course so far and the cooks still to make, for the middle of the worlds ``z``."""
    world = middle_world(setting, z)
    used = np.array(so_far.first.kg) + np.array(history.used_kg)
    left = np.maximum(stock_kg(setting, amounts) - used, 0.0)
    schedule = schedule_of(world, setting, so_far.first, so_far.changes, so_far.spells, now)
    result = solve(
        world.uptake,
        schedule,
        colour_degree=world.colour_degree,
        leather_degree=world.leather_degree,
        resolution=COARSE,
    )
    notes: list[str] = []
    state = VatState(
        now,
        result.vat_tannin_g_per_l[:, -1, :],
        result.vat_nontan_g_per_l[:, -1],
        result.end,
    )
    last = max([0.0, *(change.day for change in so_far.changes)])
    since = np.flatnonzero(result.day >= last - 1e-6)
    best = since[np.argmax(result.vat_tannin_g_per_l[0, since].sum(axis=1))]
    highest = replace(state, tannin_g_per_l=result.vat_tannin_g_per_l[:, best, :])
    first = np.array(so_far.first.kg)
    mix = first / first.sum() if first.sum() > 0.0 else first
    cooks = plan_cooks(
        world,
        replace(setting, vat_l=history.vat_l),
        left,
        so_far.spells,
        begin=state,
        horizon_days=now + 2.0 * guess_days(world, setting),
        last_strength_bk=live_bk(world, highest, mix),
        last_cook_day=last,
    )
    have = sum(lot.lot.have_kg or 0.0 for lot in setting.lots)
    if 0.0 < 1.05 * have < used.sum() and all(lot.lot.have_kg for lot in setting.lots):
        notes.append(
            f"By this record {format_mass(float(used.sum()))} of material went in, the first "
            "liquor reckoned as planned unless it was written down, but the sheet has only "
            f"{format_mass(have)}: put one of them right."
        )
    elif left.sum() < 0.05 * max(float(used.sum()), 0.1):
        notes.append(
            "Nothing of the material is left by this record: if the done gate says no, gather more."
        )
    return Course(so_far.first, (*so_far.changes, *cooks), so_far.spells), tuple(notes)


def _marks(history: History, posterior: Posterior | None) -> tuple[Mark, ...]:
    """What was done and read; a reading that was not used is marked as set aside."""
    if posterior is None:
        return history.marks
    read = [
        replace(seen.mark, kind=seen.mark.kind + SET_ASIDE * (check.verdict == "set-aside"))
        for seen, check in zip(history.observed, posterior.checks, strict=True)
    ]
    return (*history.marks, *read)


def _between(seen: Observed, expected: Percentiles) -> str:
    """What was expected of a reading, in its own words or unit."""
    noise = seen.reading.noise
    if isinstance(noise, LooksNoise):
        words = [noise.words[round(number)] for number in (expected.p05, expected.p95)]
        return words[0] if words[0] == words[1] else f"{words[0]} to {words[1]}"
    if isinstance(noise, CutNoise):
        return f"{expected.p05:.0%} to {expected.p95:.0%}"
    return f"{max(expected.p05, 0.0):.3g} to {max(expected.p95, 0.0):.3g} {seen.unit}"


def _checks(history: History, posterior: Posterior | None) -> tuple[ReadingCheck, ...]:
    if posterior is None:
        return ()
    found = []
    for seen, check in zip(history.observed, posterior.checks, strict=True):
        between = _between(seen, check.expected)
        inside = check.expected.p05 <= seen.reading.observed <= check.expected.p95
        text = {
            "ok": f"{between} was expected" + ("" if inside else ", so it lies at the edge"),
            "odd": f"{between} was expected; look again",
            "set-aside": f"{between} was expected; taken for a slip and not used",
        }[check.verdict]
        found.append(ReadingCheck(seen.line, seen.reading.label, check.verdict, text))
    return tuple(found)
