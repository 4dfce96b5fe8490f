"""What to do next with a trial: the headline of its page, why, and where it is done."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from django.urls import reverse
from django.utils import timezone

from tanwright.yard.trials import reckoning
from tanwright.yard.trials.blinding import is_covered
from tanwright.yard.trials.due import next_day
from tanwright.yard.trials.models import Trial


@dataclass(frozen=True)
class Next:
    """One thing to do. ``more`` says it at length; the second address is another way on."""

    headline: str
    reason: str
    url: str
    action: str
    second_url: str = ""
    second_action: str = ""
    more: str = ""


_SHORT: Final = {
    "strengthen": "strengthen every jar",
    "look": "cut a sliver of each jar",
    "gate": "are the patches through?",
}
"""What a day of the schedule asks for, in a few words."""


def next_of(trial: Trial, is_keeper: bool) -> Next:
    """What to do next, by where the trial stands, for who reads it."""
    if trial.state == Trial.State.DRAFT:
        return _in_draft(trial)
    if trial.state == Trial.State.CUT:
        return _when_dealt(trial)
    if trial.state == Trial.State.RUNNING:
        return _while_running(trial)
    if trial.state == Trial.State.GRADING and is_covered(trial):
        return Next(
            "Grade the patches, blind",
            "By their edge marks, while all of them lie side by side.",
            _url("grading", trial), "To the grading", _url("results", trial), "What they say",
            "First rinse, oil, dry and soften all of them alike and on the same days: a patch that "
            "was worked longer feels softer whatever it lay in.",
        )  # fmt: skip
    if trial.became is not None:
        return Next(
            "It has become a tannage",
            "What was chosen is planned for a skin.",
            trial.became.get_absolute_url(), trial.became.title,
            _url("results", trial), "What they said",
        )  # fmt: skip
    return Next(
        "Read what the patches say",
        "Then the best way may be planned for a whole skin.",
        _url("results", trial), "What they say",
        _url("to-skin", trial) if is_keeper else "", "To a skin",
    )  # fmt: skip


def _when_dealt(trial: Trial) -> Next:
    if reckoning.is_outdated(trial):
        return Next(
            "Deal the patches out anew",
            "The plan was changed since they were dealt out.",
            _url("design", trial), "To the design",
        )  # fmt: skip
    laid = trial.patches.exclude(offcut__rings={}).exists()
    return Next(
        "Cut, fill the jars, lay the patches in",
        "All on one day: else the days would differ along with the plants.",
        _url("jars", trial), "To the jars",
        _url("offcuts" if laid else "design", trial), "Cutting map" if laid else "Their marks",
    )  # fmt: skip


def _in_draft(trial: Trial) -> Next:
    if not trial.treatments:
        return Next(
            "Say what is compared",
            "The usual way is always among them.",
            step_url(trial, "compare"), "Go on",
        )  # fmt: skip
    if not reckoning.blocks_of(trial):
        return Next(
            "Count or lay out the patches",
            "From legs, belly and neck that are cut off anyway.",
            step_url(trial, "pieces"), "Go on", _url("offcuts", trial), "Draw the offcuts",
        )  # fmt: skip
    return Next(
        "See how sure it would be",
        "And then have the patches dealt out by chance.",
        _url("design", trial), "To the design", _url("offcuts", trial), "Draw the offcuts",
    )  # fmt: skip


def _while_running(trial: Trial) -> Next:
    day, cuts = next_day(trial, timezone.now()), f"{_url('log', trial)}?what=cut"
    if day is None:
        return Next(
            "Look at the jars",
            "A cut tells whether the patches are through.",
            cuts, "Note the cuts", _url("jars", trial), "The jars",
        )  # fmt: skip
    url = cuts
    if day.action == "strengthen":
        url = reverse("trials:log-one", args=[trial.pk, "cooked"])
    when = "Today" if day.on <= timezone.localdate() else f"On {day.on.day} {day.on:%B}"
    return Next(
        f"{when}: {_SHORT[day.action]}", day.why, url, "Note it", _url("jars", trial), "The jars",
        f"{day.what}.",
    )  # fmt: skip


def step_url(trial: Trial, step: str) -> str:
    """Address of a page of the path."""
    return reverse("trials:step", args=[trial.pk, step])


def _url(name: str, trial: Trial) -> str:
    return reverse(f"trials:{name}", args=[trial.pk])
