"""What may be noted on the page of a lot: the form, its heading and what it starts with."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

from tanwright.yard.people.models import Person
from tanwright.yard.shell.forms import EntryForm
from tanwright.yard.stock import forms
from tanwright.yard.stock.models import Lot

Initial = Callable[[Lot], dict[str, Any]]


@dataclass(frozen=True)
class Action:
    """One thing to note of a record. ``lead`` says what it is good for."""

    what: str
    heading: str
    lead: str
    form: type[EntryForm]
    initial: Initial = lambda lot: {}
    keeper: bool = False
    noted: str = "Noted."


ACTIONS: Final = {
    action.what: action
    for action in (
        Action(
            "got",
            "More of it came",
            "Of the same plant, gathered alike. Anything else is a lot of its own.",
            forms.GotForm,
            lambda lot: {"state": lot.state, "where": lot.where},
        ),
        Action(
            "stocktake",
            "What is left",
            "From here on the yard reckons with what you weigh now.",
            forms.StocktakeForm,
        ),
        Action("lost", "Some of it is lost", "Gone without a cook.", forms.LostForm),
        Action(
            "dried",
            "It has dried",
            "Water leaves and tannin stays: each kg of it is stronger now.",
            forms.DriedForm,
        ),
        Action(
            "ground",
            "It is ground",
            "Small pieces give up their tannin faster and more of it; the dust harms the lungs.",
            forms.GroundForm,
            lambda lot: {"grind": lot.ground or lot.history.get("grind", "")},
        ),
        Action("moved", "Moved", "Where it lies from now on.", forms.MovedForm),
        Action(
            "trial",
            "Trial cook",
            "A handful, 2 litres of water and an hour of attention tell how strong this lot is. "
            "Nothing else narrows the amounts so much.",
            forms.TrialForm,
            lambda lot: {"material_id": lot.material_id, "state": lot.state},
        ),
        Action(
            "tannin",
            "A tannin figure",
            "From an analysis, or from somebody who has tanned with this very lot.",
            forms.TanninForm,
            keeper=True,
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


def actions_for(lot: Lot, person: Person) -> tuple[Action, ...]:
    """What ``person`` may note of ``lot`` now, the most used first."""
    left_out = {"dried"} if lot.state != "fresh" else set()
    return tuple(
        action
        for action in ACTIONS.values()
        if action.what not in left_out and (person.is_keeper or not action.keeper)
    )
