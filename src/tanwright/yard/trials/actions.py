"""What may be noted on the page of a trial: the form, its heading and what it is good for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from tanwright.yard.shell.forms import EntryForm
from tanwright.yard.trials import jar_forms as forms
from tanwright.yard.trials.models import Trial


@dataclass(frozen=True)
class Action:
    """One thing to note of the jars."""

    what: str
    heading: str
    lead: str
    form: type[EntryForm]


_RUNNING: Final = (
    Action("cooked", "Cooked for all", "Each jar is strengthened with its own material, all on "
           "the same day and by the same part.", forms.CookForm),
    Action("turned", "Turned", "You moved or turned the patches of every jar.", forms.EventForm),
    Action("temperature", "Warmth", "How warm do the jars stand?", forms.WarmthForm),
    Action("strength", "Strength of one", "One jar alone.", forms.StrengthForm),
    Action("look", "Look of one", "One jar alone.", forms.LookForm),
    Action("cut", "Cut of one", "One jar alone.", forms.CutForm),
)  # fmt: skip
_ALWAYS: Final = (
    Action("note", "Note", "What did you see or do?", forms.NoteForm),
    Action("photo", "Photo", "Kept in the log; place and camera data are taken out.",
           forms.PhotoForm),
)  # fmt: skip
ACTIONS: Final = {action.what: action for action in (*_RUNNING, *_ALWAYS)}


def actions_for(trial: Trial) -> tuple[Action, ...]:
    """What may be noted of ``trial`` as it stands now."""
    return (*_RUNNING, *_ALWAYS) if trial.state == Trial.State.RUNNING else _ALWAYS
