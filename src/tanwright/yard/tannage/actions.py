"""What may be noted on the page of a vat: the form, its heading and what it is good for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from tanwright.yard.shell.forms import EntryForm
from tanwright.yard.tannage import forms
from tanwright.yard.tannage.models import Tannage


@dataclass(frozen=True)
class Action:
    """One thing to note. ``quick`` ones stand on top of the page, under the thumb."""

    what: str
    heading: str
    lead: str
    form: type[EntryForm]
    quick: bool = False
    noted: str = "Noted."


_RUNNING: Final = (
    Action("look", "Look", "How does the liquor look in a white cup?", forms.LookForm, quick=True),
    Action("cut", "Cut", "Cut a sliver and look at the wet edge: how much is still pale?",
           forms.CutForm, quick=True),
    Action("strength", "Strength", "Stir, float the instrument, read at the level of the liquor.",
           forms.StrengthForm, quick=True),
    Action("turned", "Turned", "You moved or turned the skins.", forms.EventForm, quick=True),
    Action("pour", "Poured in", "A ready liquor went into the vat.", forms.PourForm, quick=True),
    Action("cook", "Cooked in", "Fresh material was cooked in liquor of the vat.",
           forms.CookInForm, quick=True),
    Action("temperature", "Warmth", "How warm is the vat?", forms.WarmthForm),
    Action("smell", "Smell", "Sour and foul come before trouble can be seen.", forms.SmellForm),
    Action("ph", "pH", "What does the strip show?", forms.AcidityForm),
    Action("note", "Note", "What did you see or do?", forms.NoteForm),
    Action("photo", "Photo", "Kept in the log; place and camera data are taken out.",
           forms.PhotoForm),
    Action("topped_up", "Topped up", "Water was poured in to the old level.", forms.ToppedUpForm),
    Action("weight", "Weight", "Weigh one skin, wrung out alike each time.", forms.WeightForm),
    Action("moved", "Moved", "The vat stands elsewhere, or is warmer or colder from now on.",
           forms.MovedForm),
    Action("frozen", "Frozen", "A frozen vat stands still: nothing is lost, and no day counts.",
           forms.EventForm),
    Action("thawed", "Thawed", "From now on it goes on.", forms.EventForm),
    Action("away", "Going away", "Nobody will move the skins for a while.", forms.EventForm),
    Action("back", "Back", "Somebody is here again.", forms.EventForm),
    Action("heat", "Hot spell", "Warm days: quicker, and quicker to go foul.", forms.EventForm),
    Action("taken_out", "Take out", "Some skins, or all of them, come out of the vat.",
           forms.TakeOutForm),
)  # fmt: skip
_AFTER: Final = ("put_back", "note", "photo", "weight")
_BEFORE: Final = ("note", "photo")
ACTIONS: Final = {
    action.what: action
    for action in (
        *_RUNNING,
        Action("put_back", "Put back", "All its skins lie in the vat again.", forms.EventForm),
    )
}


def actions_for(tannage: Tannage) -> tuple[Action, ...]:
    """What may be noted of ``tannage`` as it stands now."""
    if tannage.state == Tannage.State.RUNNING:
        return _RUNNING
    names = _AFTER if tannage.state == Tannage.State.ENDED else _BEFORE
    return tuple(ACTIONS[name] for name in names)
