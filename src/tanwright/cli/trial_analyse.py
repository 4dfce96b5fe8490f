"""``tanwright trial analyse``: what the graded patches say, words first."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tanwright.cli.options import Json
from tanwright.errors import InputError

if TYPE_CHECKING:
    from tanwright.planning.trials.analysis import Better, TrialAnalysis
    from tanwright.planning.trials.blending import BlendAnswer, Wanted
    from tanwright.planning.trials.diagnosing import Note
    from tanwright.planning.trials.records import Seen
    from tanwright.planning.trials.took_up import TookUp


def analyse_command(
    trial: Annotated[
        Path, typer.Argument(metavar="TRIAL.toml", help="The file with the treatments.")
    ],
    folder: Annotated[
        Path | None,
        typer.Option(
            metavar="DIR",
            help="Where patches.csv, grades.csv, ranks.csv and measures.csv lie; beside the trial.",
        ),
    ] = None,
    want: Annotated[
        list[str] | None,
        typer.Option(
            metavar="QUALITY=WHAT",
            help="What the leather should be: firmness=more, colour=less, feel=4; several times.",
        ),
    ] = None,
    pictures: Annotated[
        Path | None, typer.Option(metavar="DIR", help="Write pictures, their words and numbers.")
    ] = None,
    seed: Annotated[int, typer.Option(min=0, help="The same seed gives the same answer.")] = 0,
    as_json: Json = False,
) -> None:
    """What the graded patches say: each treatment against the usual way, and how sure."""
    from tanwright.planning.trials.analysis import analyse
    from tanwright.planning.trials.diagnosing import diagnose
    from tanwright.planning.trials.files import read_seen

    seen = read_seen(trial, folder)
    wanted = _wanted(want or ())
    found = analyse(seen, wanted=_ends(wanted), seed=seed)
    notes = diagnose(seen, found)
    mix, why_no_mix = _blend(seen, wanted, seed)
    account = _account(trial, seen)
    if pictures is not None:
        _draw(pictures, found, mix)
    if as_json:
        _print_json(found, notes, mix, account)
        return
    _tell(found, notes, account)
    if mix is not None:
        _tell_blend(mix)
    elif why_no_mix:
        _tell_no_blend(why_no_mix)


def _wanted(words: Sequence[str]) -> tuple[Wanted, ...]:
    from tanwright.planning.trials.blending import wanted_of

    found = []
    for text in words:
        quality, mark, word = text.partition("=")
        if not mark:
            raise InputError(
                f'"{text}" names no wish', place="--want", remedy="write firmness=more"
            )
        try:
            found.append(wanted_of(quality, word))
        except InputError as error:
            raise InputError(error.what, place="--want", remedy=error.remedy) from None
    return tuple(found)


def _ends(wanted: Sequence[Wanted]) -> dict[str, Better]:
    return {
        item.quality: "more" if item.wish.best > item.wish.worst else "less"
        for item in wanted
        if item.wish.beyond is None
    }


def _blend(seen: Seen, wanted: Sequence[Wanted], seed: int) -> tuple[BlendAnswer | None, str]:
    """The blends, where the treatments are blends at all; else why none can be told."""
    from tanwright.planning.trials.blending import blend

    if not any(len(item.shares) > 1 for item in seen.treatments):
        return None, ""
    try:
        return blend(seen, wanted, seed=seed), ""
    except InputError as trouble:
        return None, f"{trouble.what}; {trouble.remedy}" if trouble.remedy else trouble.what


def _account(trial: Path, seen: Seen) -> tuple[TookUp, ...]:
    """What went in, from the doses of the trial's file; empty when it does not say."""
    from tanwright.planning.trials.took_up import Fed, took_up
    from tanwright.planning.trials.trial_file import read_trial

    try:
        usual = read_trial(trial, today=date.today()).ratios.dose
    except InputError:
        return ()
    fed = [
        Fed(
            jar=item.key,
            treatment=item.key,
            kg={id: share * (item.dose or usual) for id, share in item.shares.items()},
            pelt_kg=1.0,
        )
        for item in seen.treatments
        if item.shares
    ]
    return took_up(seen, fed)


def _draw(folder: Path, found: TrialAnalysis, mix: BlendAnswer | None) -> None:
    from tanwright.planning.pictures.mixture import draw_mixture
    from tanwright.planning.pictures.trial_effects import draw_effects

    drawn = [draw_effects(result, found) for result in found.qualities]
    if mix is not None and len(mix.materials) <= 3:
        drawn += [draw_mixture(mix, surface, _names(mix.materials)) for surface in mix.surfaces]
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for picture in drawn:
            for ending, text in (
                ("svg", picture.svg),
                ("txt", f"{picture.title}\n\n{picture.words}\n"),
                ("csv", picture.numbers),
            ):
                (folder / f"{picture.name}.{ending}").write_text(text, encoding="utf-8")
    except OSError as trouble:
        raise InputError(
            f"the pictures cannot be written here ({trouble.strerror or trouble})",
            place="--pictures",
            remedy="name a folder that can be written",
        ) from trouble


def _names(ids: Sequence[str]) -> dict[str, str]:
    from tanwright.reference.materials import material

    return {id: material(id).name for id in ids}


def _print_json(
    found: TrialAnalysis,
    notes: Sequence[Note],
    mix: BlendAnswer | None,
    account: Sequence[TookUp],
) -> None:
    from tanwright.cli.output import print_json
    from tanwright.planning.trials.answer_words import summary

    print_json(
        {
            "answers": summary(found),
            "notes": notes,
            "telling": found.telling,
            "qualities": found.qualities,
            "left_out": found.left_out,
            "material": account,
            "blend": None
            if mix is None
            else {
                "materials": mix.materials,
                "degree": mix.degree,
                "use": mix.best,
                "chance_best": mix.chance_best,
                "try_next": mix.next,
            },
        }
    )


def _tell(found: TrialAnalysis, notes: Sequence[Note], account: Sequence[TookUp]) -> None:
    from tanwright.cli.output import say, table
    from tanwright.planning.trials.answer_words import (
        figure,
        start,
        summary,
        telling_words,
        typical_words,
    )

    for words in summary(found):
        say(words)
    if found.telling.looked_at:
        say(telling_words(found.telling))
    for note in notes:
        say()
        say(f"{start(note.weight)}: {note.what} {note.remedy}".rstrip())
    for result in found.qualities:
        say()
        unit = f" ({result.unit})" if result.kind == "measure" else ""
        say(f"{start(result.name)}{unit}")
        rows = []
        for item in result.effects:
            against = item.against
            rows.append(
                (
                    item.label,
                    typical_words(result, item),
                    ""
                    if against is None
                    else f"{figure(against.p50)} ({figure(against.p05)} to {figure(against.p95)})",
                    "" if item.chance_more is None else f"{100 * item.chance_more:.0f} %",
                )
            )
        table(
            ("treatment", "an average patch", "against the usual", f"chance {result.more}"),
            rows,
            right=(3,),
        )
    _tell_material(account)


def _tell_material(account: Sequence[TookUp]) -> None:
    from tanwright.cli.output import say, table
    from tanwright.planning.trials.answer_words import figure

    if not account:
        return
    say()
    say("What went in for 1 kg of pelt")
    rows = []
    for item in account:
        tannin = item.tannin_g_per_kg
        taken = "not weighed"
        if item.degree is not None:
            taken = f"{figure(item.degree.p05)} to {figure(item.degree.p95)} g to 100 g of hide"
        if item.more_than_given:
            taken += "; more than was given: weigh again"
        rows.append(
            (
                item.label,
                f"{figure(sum(item.kg_per_kg.values()))} kg",
                f"{figure(tannin.p05)} to {figure(tannin.p95)} g",
                taken,
            )
        )
    table(("treatment", "material", "tannin in it", "taken up"), rows)


def _tell_no_blend(why: str) -> None:
    from tanwright.cli.output import say

    say()
    say(f"No blend can be told: {why}.")


def _tell_blend(mix: BlendAnswer) -> None:
    from tanwright.cli.output import say
    from tanwright.planning.pictures.mixture import mix_words
    from tanwright.planning.trials.answer_words import chances

    say()
    if mix.best is None:
        say("To hear which blend to use, say what is wanted: --want firmness=more")
        return
    names = _names(mix.materials)
    wanted = ", ".join(item.words for item in mix.wanted)
    say(
        f"For {wanted}: {mix_words(mix.best.shares, names)} "
        f"({chances(mix.chance_best)} that the best mix is this one or within a tenth of it)."
    )
    if mix.next is None:
        say("Another jar promises less than it costs.")
    else:
        say(f"The next jar to try: {mix_words(mix.next.shares, names)}.")
