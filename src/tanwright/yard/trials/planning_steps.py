"""The short path to a trial: its small pages, and what each of them keeps."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from django.db import transaction

from tanwright.errors import InputError
from tanwright.yard.people.models import Person
from tanwright.yard.shell.forms import YardForm
from tanwright.yard.skins.models import Skin
from tanwright.yard.tannage.models import Tannage
from tanwright.yard.trials import planning_forms as forms
from tanwright.yard.trials import services
from tanwright.yard.trials.models import Trial
from tanwright.yard.trials.reckoning import usual_of
from tanwright.yard.trials.vat_ratios import VatRatios, ratios_of_vat


@dataclass(frozen=True)
class Step:
    """One small page. ``next`` is the name of the one after it, "design" at the end; ``short`` is
    what the row of steps calls it."""

    name: str
    short: str
    heading: str
    lead: str
    next: str


STEPS: Final = {
    step.name: step
    for step in (
        Step(
            "question", "Question", "What you want to know",
            "One question is enough for one trial: it can then be answered.", "compare",
        ),
        Step(
            "compare", "Compared", "What is compared",
            "The usual way is always among them: without it nobody can say what is better.",
            "pieces",
        ),
        Step(
            "pieces", "Patches", "The patches",
            "Count what your offcuts give, or draw them later and have the patches laid out.",
            "jars",
        ),
        Step(
            "jars", "Jars", "The jars",
            "The jars keep the ratios of the real vat, so that what they show holds for a skin.",
            "design",
        ),
    )
}  # fmt: skip
_COMPARED: Final = ("plants", "lots", "doses", "span", "ways", "usual_way")
_PIECES: Final = ("width_cm", "height_cm", "thickness_mm", "graders", "jars_each", "skin")
_JARS: Final = ("litres_per_kg", "dose", "temperature_c", "move", "hair_on", "start")


def form_of(step: Step, trial: Trial | None, data: Any, system: Any) -> YardForm:
    """The form of ``step``, holding what was said before."""
    if step.name == "question" or trial is None:
        initial = {"question": trial.question, "name": trial.name} if trial else {}
        return forms.QuestionForm(data, system=system, initial=initial)
    said = {key: value for key, value in trial.facts.items() if value not in (None, "")}
    if step.name == "compare":
        said["tannage"] = str(trial.tannage_id or "")
        said.pop("usual", None)
        if isinstance(said.get("ways"), list):
            said["ways"] = "\n".join(said["ways"])
        if "span" in said:
            said["span"] = f"{float(said['span']):g}"
        return forms.COMPARE[trial.question](data, system=system, trial=trial, initial=said)
    if step.name == "pieces":
        return forms.PiecesForm(data, system=system, trial=trial, initial=said)
    said["leather"] = trial.leather
    return forms.JarsForm(data, system=system, trial=trial, initial=said)


@transaction.atomic
def save(
    step: Step, trial: Trial | None, form: YardForm, by: Person, id: uuid.UUID | None = None
) -> Trial:
    """Keep what was said on one page; the first one opens the trial. Raises InputError."""
    said = form.cleaned_data
    if step.name == "question" or trial is None:
        if trial is None:
            return services.begin_trial(by, said["question"], id=id, name=said["name"])
        services.set_facts(trial, {}, by, question=said["question"], name=said["name"])
    elif step.name == "compare":
        _compare(trial, said, by)
    elif step.name == "pieces":
        assert isinstance(form, forms.PiecesForm)
        _pieces(trial, form, by)
    else:
        facts = {name: said[name] for name in _JARS}
        services.set_facts(trial, facts, by, leather=said["leather"])
    return trial


def _compare(trial: Trial, said: Mapping[str, Any], by: Person) -> None:
    facts = {name: said[name] for name in _COMPARED if name in said}
    if "span" in facts:
        facts["span"] = float(facts["span"])
    vat = Tannage.objects.filter(pk=said["tannage"]).first() if said.get("tannage") else None
    kept = ratios_of_vat(vat) if vat is not None else VatRatios()
    facts["usual"] = {said["usual"]: 1.0} if said.get("usual") else kept.shares or usual_of(trial)
    if not facts["usual"]:
        raise InputError(
            "that vat has no plant yet", place="usual", remedy="write what you usually take"
        )
    if vat is not None and vat.pk != trial.tannage_id:
        for name in ("litres_per_kg", "dose", "temperature_c", "move", "water"):
            if (value := getattr(kept, name)) not in (None, ""):
                facts[name] = value
    columns = {"tannage": vat}
    if vat is not None and vat.leather and not trial.leather:
        services.set_facts(trial, facts, by, leather=vat.leather, **columns)
    else:
        services.set_facts(trial, facts, by, **columns)


def _pieces(trial: Trial, form: forms.PiecesForm, by: Person) -> None:
    said, counts = form.cleaned_data, form.counts()
    facts: dict[str, Any] = {name: said[name] for name in _PIECES if name in said}
    skin = Skin.objects.filter(pk=said["skin"]).first() if said.get("skin") else None
    if skin is not None:
        facts["animal"] = skin.animal
        facts["hair_on"] = skin.hair_on
    if form.laid_out:
        services.set_facts(trial, facts, by)
        return
    changed = counts != dict(trial.facts.get("counts") or {}) or any(
        facts[name] != trial.facts.get(name) for name in ("width_cm", "height_cm", "skin")
    )
    services.set_facts(trial, {**facts, "counts": counts}, by)
    if counts and (changed or not trial.patches.exists()):
        services.count_patches(trial, counts, by, skin)
        services.set_facts(trial, {}, by)
    elif not counts and trial.patches.exists():
        services.forget_patches(trial)
        services.set_facts(trial, {}, by)
