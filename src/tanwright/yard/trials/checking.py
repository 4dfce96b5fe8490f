"""What is checked before anything is done with a trial."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Final

from django.core.exceptions import PermissionDenied
from django.utils import timezone

from tanwright.errors import InputError
from tanwright.yard.journal.models import Entry
from tanwright.yard.people.models import Person
from tanwright.yard.trials.models import Trial

SLIP: Final = 0.02
"""So much more may be cooked than was planned: nobody weighs a jar's share to the gram."""
OF_JARS: Final = frozenset(
    ("strength", "look", "cut", "temperature", "cooked", "turned", "taken_out")
)
"""What can only be noted of patches that lie in their jars."""


def only_keeper(by: Person, what: str) -> None:
    """Raises PermissionDenied for a helper."""
    if not by.is_keeper:
        raise PermissionDenied(f"Only a keeper may {what}. A helper logs what was done and seen.")


def known_question(question: str) -> str:
    """``question`` if it is one of the four. Raises InputError."""
    if question not in Trial.Question.values:
        raise InputError(
            f'"{question}" is no question of a trial',
            place="question",
            remedy="choose one of " + ", ".join(Trial.Question.values),
        )
    return question


def not_begun(trial: Trial) -> None:
    """Raises InputError once patches lie in jars: the design is then what it is."""
    if trial.begun_at is not None:
        raise InputError(
            "the patches are in the jars already",
            place="trial",
            remedy="plan another trial, or withdraw the entry that says so",
        )


def in_the_jars(trial: Trial, when: datetime) -> None:
    """Raises InputError for a ``when`` at which no patch lay in a jar yet."""
    if trial.begun_at is None:
        raise InputError(
            "no patch lies in a jar yet", place="trial", remedy="note first that they went in"
        )
    if when < trial.begun_at - timedelta(minutes=1):
        began = timezone.localtime(trial.begun_at)
        raise InputError(
            "the patches were not in the jars yet",
            place="when",
            remedy=f"they went in on {began.day} {began:%B %Y at %H:%M}; write a later time",
        )


def left_to_cook(trial: Trial) -> float:
    """Part of the jars' material that was not cooked yet."""
    cooked = Entry.objects.filter(
        record_id=trial.pk, kind="trial.cooked", standing=Entry.Standing.LIVE
    )
    parts = [float(data["part"]) for data in cooked.values_list("data", flat=True)]
    return max(1.0 - sum(parts), 0.0)
