"""What may be noted on the page of a leather: the form, its heading and what it is good for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from tanwright.yard.leather import forms
from tanwright.yard.leather.entry_kinds import GRADED, MEASURED, TEST_LABELS
from tanwright.yard.shell.forms import EntryForm


@dataclass(frozen=True)
class Action:
    """One thing to note. ``test`` names the test that it enters, if it is one."""

    what: str
    kind: str
    heading: str
    lead: str
    form: type[EntryForm]
    initial: Mapping[str, Any] = field(default_factory=dict)
    test: str = ""


_LEADS: Final = {
    "shrinkage": "The temperature at which a wet strip begins to shrink tells how well it is "
    "tanned. Needs a thermometer and a pot.",
    "boil": "How much of its length a strip keeps in boiling water.",
    "water_drop": "How long a drop stands on the grain tells how much fat is in it.",
    "cut": "A fresh cut through a thick place.",
    "bend": "Bend it grain outward, first easily, then double.",
    "feel": "In the hand, dry.",
}
_TESTS: Final = tuple(
    Action(
        test.replace("_", "-"),
        "leather.graded" if test in GRADED else "leather.tested",
        TEST_LABELS[test],
        _LEADS[test],
        forms.GradedForm if test in GRADED else forms.TestedForm,
        {"test": test},
        test,
    )
    for test in (*GRADED, *MEASURED)
)
ACTIONS: Final = {
    action.what: action
    for action in (
        Action("weighed", "leather.weighed", "Weight",
               "Damp, it sets the oil; dry, it tells how much tan the leather holds.",
               forms.WeighedForm, {"state": "dry"}),
        Action("measured", "leather.measured", "Thickness and area",
               "What a maker asks for first.", forms.MeasuredForm),
        *_TESTS,
        Action("photo", "leather.photo", "Photo",
               "Shown in its log; place and camera data are taken out.", forms.PhotoForm),
        Action("note", "leather.note", "Note", "Anything worth remembering.", forms.NoteForm),
    )
}  # fmt: skip
