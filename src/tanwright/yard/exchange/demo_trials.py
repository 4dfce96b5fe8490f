"""Scenes of the demo on offcuts: a trial that was graded, one that runs, one being planned."""

from __future__ import annotations

from typing import Final

from tanwright.planning.trials.cutting import Cut
from tanwright.planning.trials.offcuts import usual_outline
from tanwright.reference.offcuts import offcut_shape
from tanwright.yard.exchange.demo_cast import Cast, day_ago, days_ago, id_of
from tanwright.yard.people.models import Person
from tanwright.yard.skins.models import Skin
from tanwright.yard.tannage.models import Tannage
from tanwright.yard.trials import grading_services as grading
from tanwright.yard.trials import offcut_services as offcuts
from tanwright.yard.trials import services as trials
from tanwright.yard.trials.models import Offcut, Trial

PIECES: Final = ("neck", "belly-strip", "belly-strip", "hind-leg", "hind-leg")
USUAL: Final = {"quercus-robur-bark": 1.0}
COMPARED: Final = ("salix-caprea-bark", "picea-abies-bark")
GRADES: Final = {
    "firmness": {"control": 4, "salix-caprea-bark": 2, "picea-abies-bark": 4},
    "colour": {"control": 4, "salix-caprea-bark": 3, "picea-abies-bark": 4},
    "grain": {"control": 4, "salix-caprea-bark": 4, "picea-abies-bark": 3},
}
"""The step about which the grades of each treatment lie."""
JITTER: Final = (0, 0, 1, 0, -1, 0, 0, 1, -1, 0, 0)


def graded_trial(cast: Cast) -> None:
    """Oak against willow and spruce on the offcuts of the kid, graded blind by two."""
    by = cast.keeper
    trial = _planned(cast, "trial: graded", "which bark for soft leather (demo)")
    kid = Skin.objects.get(pk=id_of("skin: kid"))
    for shape in PIECES:
        offcuts.add_offcut(
            trial,
            usual_outline(shape, "goat", green_kg=2.5),
            by,
            region=offcut_shape(shape).region,
            how=Offcut.How.PRESET,
            label=offcut_shape(shape).name,
            skin=kid,
        )
    offcuts.lay_out(trial, Cut(4.0, 4.0, gap_cm=0.2, most=24), by)
    trials.make_the_design(trial, by, id=id_of("graded: designed"), happened_at=days_ago(70, 9))
    trial.refresh_from_db()
    trials.start(trial, by, id=id_of("graded: started"), happened_at=days_ago(69, 10))
    jars = list(trial.jars.values_list("number", flat=True))
    for days, strength, share in ((66, 7.0, 0.3), (62, 6.0, 0.6), (57, 6.5, 1.0)):
        trials.log_jars(
            trial,
            "strength",
            {jar: {"value": strength + 0.5 * (jar % 3), "scale": "bk", "liquor_c": 14.0}
             for jar in jars},
            cast.helper, id=id_of(f"graded: read {days}"), happened_at=days_ago(days, 9),
        )  # fmt: skip
        trials.log_jars(
            trial, "cut", {jar: {"share": share} for jar in jars}, by,
            id=id_of(f"graded: cut {days}"), happened_at=days_ago(days, 10),
        )  # fmt: skip
    trials.log_jars(
        trial, "taken_out", {jar: {} for jar in jars}, by, id=id_of("graded: out"),
        happened_at=days_ago(56, 10),
    )  # fmt: skip
    _grade(trial, cast.keeper, "the keeper", 0)
    _grade(trial, cast.helper, "the helper", 3)
    grading.finish(trial, by, id=id_of("graded: finished"), happened_at=days_ago(44, 18))


def _grade(trial: Trial, by: Person, grader: str, shift: int) -> None:
    treatments = dict(trial.patches.exclude(treatment="").values_list("number", "treatment"))
    for at, (quality, usual) in enumerate(GRADES.items()):
        steps = {
            number: usual[treatment] + JITTER[(3 * number + shift + 5 * at) % len(JITTER)]
            for number, treatment in treatments.items()
        }
        grading.grade(
            trial, grader, quality, {n: max(1, min(5, step)) for n, step in steps.items()}, by,
            id=id_of(f"graded: {grader} {quality}"), happened_at=days_ago(45, 10 + at),
        )  # fmt: skip


def running_trial(cast: Cast) -> None:
    """Oak against alder, two jars of each, in the middle of its work."""
    by = cast.keeper
    trial = trials.begin_trial(
        by, "which", id=id_of("trial: running"), name="oak or alder for bags (demo)"
    )
    counts = {"shoulder": 4, "belly": 4, "shanks": 4}
    trials.set_facts(
        trial,
        {"usual": USUAL, "plants": ["alnus-glutinosa-bark"],
         "lots": [str(id_of("lot: oak bark"))], "width_cm": 6.0, "height_cm": 5.0,
         "thickness_mm": 1.8, "graders": 2, "jars_each": 2, "litres_per_kg": 6.0, "dose": 2.5,
         "temperature_c": 13.0, "counts": counts},
        by,
        leather="bag",
    )  # fmt: skip
    trials.count_patches(trial, counts, by)
    trials.make_the_design(trial, by, id=id_of("running: designed"), happened_at=days_ago(16, 9))
    trials.start(trial, by, id=id_of("running: started"), happened_at=days_ago(15, 10), part=0.5)
    trials.log_jars(
        trial, "cut", {1: {"share": 0.5}, 2: {"share": 0.7}, 3: {"share": 0.45}, 4: {"share": 0.7}},
        cast.helper, id=id_of("running: cuts"), happened_at=days_ago(7, 9),
    )  # fmt: skip


def draft_trial(cast: Cast) -> None:
    """How much oak to a skin: asked, not yet laid out."""
    trial = trials.begin_trial(
        cast.keeper, "dose", id=id_of("trial: draft"), name="how much oak (demo)"
    )
    trials.set_facts(trial, {"usual": USUAL, "doses": 3}, cast.keeper)


def _planned(cast: Cast, what: str, name: str) -> Trial:
    trial = trials.begin_trial(cast.keeper, "which", id=id_of(what), name=name)
    trials.set_facts(
        trial,
        {"usual": USUAL, "plants": list(COMPARED), "graders": 2, "thickness_mm": 1.6,
         "temperature_c": 14.0, "start": day_ago(69)},
        cast.keeper,
        tannage=Tannage.objects.get(pk=id_of("vat: kid")),
        leather="soft",
    )  # fmt: skip
    return trial
