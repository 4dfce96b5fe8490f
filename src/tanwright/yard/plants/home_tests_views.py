"""Tests of an unknown plant at home: how each is done, and what the results make likely."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from tanwright.errors import TanwrightError
from tanwright.planning.home_tests import HomeTest, Judged, home_tests, judge
from tanwright.reference import materials
from tanwright.reference.cautions import Caution
from tanwright.reference.sources import cite
from tanwright.yard.people.access import system_of
from tanwright.yard.plants.forms import PICK
from tanwright.yard.plants.queries import strength_words
from tanwright.yard.plants.wording import CLASSES, part_words
from tanwright.yard.shell.forms import YardForm

NOT_DONE = ("", "not done")
COMMON = ("bark", "leaf", "gall", "pod", "root", "wood", "fruit")


class ResultsForm(YardForm):
    """What was seen; every test may be left out."""

    part = forms.ChoiceField(label="What you have", error_messages=PICK)
    plant = forms.CharField(
        label="Which plant, if you know it",
        required=False,
        max_length=80,
        help_text="Any of its names; empty for a plant that nobody could name.",
    )

    material_id = ""
    """What was tested, once it is judged."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        part = self.fields["part"]
        assert isinstance(part, forms.ChoiceField)
        rest = [word for word in materials.PARTS if word not in COMMON]
        part.choices = [(word, part_words(word)) for word in (*COMMON, *rest)]
        for test in at_home():
            self.fields[test.id] = forms.ChoiceField(
                label=f"{test.name[:1].upper()}{test.name[1:]}: what you saw",
                help_text=f"It tells {test.asks}.",
                required=False,
                error_messages=PICK,
                choices=[NOT_DONE, *((result.id, result.words) for result in test.results)],
            )

    def judged(self) -> Judged | None:
        """What the results make likely; None with the trouble beside its field."""
        if not self.is_valid():
            return None
        said = self.cleaned_data
        results = {test.id: said[test.id] for test in at_home() if said[test.id]}
        try:
            plant = materials.find(said["plant"]) if said["plant"].strip() else None
        except TanwrightError as error:
            self.add_problem(error, "plant")
            return None
        try:
            part, id = (plant.part, plant.id) if plant else (said["part"], None)
            found = judge(part, results, id)
        except TanwrightError as error:
            self.add_problem(error, error.place or None)
            return None
        self.material_id = id or f"unknown-{part}"
        return found


def at_home() -> tuple[HomeTest, ...]:
    """Tests that may be done at home."""
    return tuple(test for test in home_tests() if test.place == "home")


def common_cautions() -> list[Caution]:
    """Cautions that most tests at home call for: they stand once, above them all."""
    count = Counter(part for test in at_home() for part in test.cautions)
    return [part for part, times in count.items() if 2 * times > len(at_home())]


@dataclass(frozen=True)
class Chance:
    """One class of tannin and how likely it is, in per cent."""

    name: str
    per_cent: str
    share: float
    long: str


def tests(request: HttpRequest) -> HttpResponse:
    """How each test is done, the form of results, and once something was sent, the answer."""
    form = ResultsForm(request.GET or None, system=system_of(request))
    judged = form.judged() if request.GET else None
    common = common_cautions()
    return render(
        request,
        "plants/home_tests.html",
        {
            "form": form,
            "judged": judged,
            "chances": _chances(judged) if judged else (),
            "strength": strength_words(judged.tannin_pct) if judged else "",
            "before": strength_words(judged.tannin_before_pct) if judged else "",
            "hardly_any": f"{100.0 * judged.hardly_any:.0f} %" if judged else "",
            "cited": cite(judged.sources) if judged else (),
            "headline": judged.verdict.partition(". ")[0].rstrip(".") if judged else "",
            "verdict": judged.verdict.partition(". ")[2] if judged else "",
            "lot_of": form.material_id if judged and judged.hardly_any < 0.5 else "",
            "common": common,
            "tests": [
                (test, form[test.id], [part for part in test.cautions if part not in common])
                for test in at_home()
            ],
            "laboratory": [test for test in home_tests() if test.place != "home"],
        },
    )


def _chances(judged: Judged) -> tuple[Chance, ...]:
    ordered = sorted(judged.classes.items(), key=lambda item: -item[1])
    return tuple(
        Chance(CLASSES[name].short, f"{100.0 * share:.0f}", share, CLASSES[name].long)
        for name, share in ordered
    )
