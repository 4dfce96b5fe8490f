"""What may be noted on the page of a skin: the form, its heading and what it starts with."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

from tanwright.yard.shell.forms import EntryForm
from tanwright.yard.skins import forms
from tanwright.yard.skins.models import IN_VAT, LEATHER, Skin
from tanwright.yard.skins.services import weighing_stage

Initial = Callable[[Skin], dict[str, Any]]


@dataclass(frozen=True)
class Action:
    """One thing to note of a skin. ``lead`` says what it is good for."""

    what: str
    heading: str
    lead: str
    form: type[EntryForm]
    initial: Initial = lambda skin: {}


def _stage_on_scale(skin: Skin) -> str:
    """Where it stands; in the vat and after it nobody is led to call leather a pelt."""
    return "" if skin.stage in (IN_VAT, LEATHER) else weighing_stage(skin)


ACTIONS: Final = {
    action.what: action
    for action in (
        Action(
            "weighed",
            "Weighed",
            "All amounts of water, lime and bark follow from the latest weight.",
            forms.WeighedForm,
            lambda skin: {"stage": _stage_on_scale(skin), "on_scale": 1},
        ),
        Action(
            "measured",
            "Measured",
            "Time in the vat grows with the square of the thickness: nothing else narrows the day "
            "it is through so much.",
            forms.MeasuredForm,
        ),
        Action(
            "moved",
            "Moved or salted",
            "Where it lies and how it keeps there; the yard reminds you before it spoils.",
            forms.MovedForm,
            lambda skin: {"place": skin.place},
        ),
        Action(
            "flaw",
            "A flaw",
            "Seen now, it is not put down to the tan later.",
            forms.FlawForm,
        ),
        Action(
            "photo",
            "Photo",
            "Shown in its log; place and camera data are taken out.",
            forms.PhotoForm,
        ),
        Action("note", "Note", "Anything worth remembering.", forms.NoteForm),
    )
}
