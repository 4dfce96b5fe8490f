"""What may be noted on the page of a liquor: the form, its heading and what it starts with."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from tanwright.yard.liquors import forms
from tanwright.yard.liquors.models import Liquor
from tanwright.yard.people.models import Person
from tanwright.yard.shell.forms import EntryForm


@dataclass(frozen=True)
class Action:
    """One thing to note of a liquor. ``lead`` says what it is good for."""

    what: str
    heading: str
    lead: str
    form: type[EntryForm]
    keeper: bool = False
    noted: str = "Noted."


ACTIONS: Final = {
    action.what: action
    for action in (
        Action(
            "strength",
            "Strength",
            "Stir, let a glassful cool to the room, float the instrument, read at the level of the "
            "liquor.",
            forms.StrengthForm,
        ),
        Action(
            "look",
            "How it looks",
            "Nothing to measure with? A white cup tells roughly how strong it is.",
            forms.LookForm,
        ),
        Action(
            "measured",
            "How much is left",
            "Look into the tub: steam and spills go unnoticed.",
            forms.MeasuredForm,
        ),
        Action(
            "joined",
            "Pour another into it",
            "Volumes add up, and strengths mix by volume.",
            forms.JoinedForm,
        ),
        Action(
            "split",
            "Split some off",
            "Into a tub of its own, as strong as this one.",
            forms.SplitForm,
            keeper=True,
        ),
        Action("thinned", "Thin it", "With water, for a first bath.", forms.ThinnedForm),
        Action("moved", "Moved", "Where it stands from now on.", forms.MovedForm),
        Action(
            "spent",
            "Spent",
            "Its tannin is gone, but it is sour and mild: the best first bath for the next skin.",
            forms.NothingForm,
        ),
        Action(
            "thrown",
            "Thrown away",
            "Only where your local rules allow it.",
            forms.ThrownForm,
        ),
        Action("used_up", "Used up", "Nothing is left in the tub.", forms.NothingForm),
        Action(
            "photo",
            "Photo",
            "Shown in its log; place and camera data are taken out.",
            forms.PhotoForm,
        ),
        Action("note", "Note", "Anything worth remembering.", forms.NoteForm),
    )
}


def actions_for(liquor: Liquor, person: Person) -> tuple[Action, ...]:
    """What ``person`` may note of ``liquor`` now, the most used first."""
    if liquor.state == Liquor.State.GONE:
        left: tuple[str, ...] = ("measured", "joined", "photo", "note")
    elif liquor.spent_at is not None:
        left = tuple(what for what in ACTIONS if what != "spent")
    else:
        left = tuple(ACTIONS)
    return tuple(ACTIONS[what] for what in left if person.is_keeper or not ACTIONS[what].keeper)
