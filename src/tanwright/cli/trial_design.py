"""``tanwright trial design``: how sure a trial can be, which patch gets what, and the jars."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from tanwright.cli.options import Json, Units
from tanwright.errors import InputError

if TYPE_CHECKING:
    from tanwright.cli.paper import Paper
    from tanwright.planning.telling.voice import Voice
    from tanwright.planning.trials.question import Proposal
    from tanwright.planning.trials.trial_file import TrialFile
    from tanwright.planning.trials.whole import WholeTrial


def design_command(
    trial: Annotated[Path, typer.Argument(metavar="TRIAL", help="The trial's TOML file.")],
    patches: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="patches.csv of the cutting map; else [patches] counts."),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Write patches with treatment and jar here."),
    ] = None,
    only_chance: Annotated[
        bool, typer.Option("--only-chance", help="Only how sure it would be; nothing is laid out.")
    ] = False,
    seed: Annotated[
        int | None, typer.Option(min=0, help="The same seed gives the same design.")
    ] = None,
    today: Annotated[
        str | None,
        typer.Option(metavar="DATE", help="The day to look from, like 2026-03-10."),
    ] = None,
    units: Units = "metric",
    as_json: Json = False,
) -> None:
    """How sure a trial on offcuts can be, which patch gets which treatment, and the jars."""
    from tanwright.planning.telling.voice import Voice
    from tanwright.planning.trials.files import patches_csv, read_patches
    from tanwright.planning.trials.trial_file import read_trial
    from tanwright.planning.trials.whole import counted_patches, proposal_for, whole_trial

    day = _day(today)
    file = read_trial(trial, today=day)
    there = counted_patches(file) if patches is None else read_patches(patches)
    voice = Voice(units, None, (), day.year, day)
    if only_chance:
        _tell_chance(file, proposal_for(file, there), voice, as_json=as_json)
        return
    whole = whole_trial(file, there, today=day, seed=seed)
    if out is not None:
        _write(out, patches_csv(whole.design.patches))
    _tell(file, whole, voice, out, as_json=as_json)


def _day(text: str | None) -> date:
    from tanwright.planning.sheet_fields import parse_day

    if text is None:
        return date.today()
    found = parse_day(text)
    if found is None:
        raise InputError(
            f'"{text}" is not a date', place="--today", remedy="write it like 2026-03-10"
        )
    return found


def _write(path: Path, text: str) -> None:
    try:
        path.write_text(text, encoding="utf-8")
    except OSError as trouble:
        raise InputError(
            f"cannot be written ({trouble.strerror})",
            place=str(path),
            remedy="name a folder that can be written",
        ) from None


def _tell_chance(file: TrialFile, found: Proposal, voice: Voice, *, as_json: bool) -> None:
    from tanwright.cli.output import console, print_json
    from tanwright.cli.paper import Paper

    if as_json:
        print_json({"question": file.question, "proposal": found})
        return
    _chance(Paper(console()), file, found)


def _chance(paper: Paper, file: TrialFile, found: Proposal) -> None:
    from tanwright.planning.trials.treatments import ASKED

    paper.title(ASKED[file.question])
    for answer in found.answers:
        paper.line(answer)
    lines = [
        f"{item.patches} patches: one step shows {item.in_words} "
        f"(good to {item.half_width:.1f} steps)"
        for item in found.more
    ]
    if found.second_jar is not None:
        lines.append(f"one jar more of each treatment: {found.second_jar.in_words}")
    if found.second_grader is not None:
        lines.append(f"one grader more: {found.second_grader.in_words}")
    if lines:
        paper.head("What more would buy")
        paper.bullets(lines)
    paper.head("To bear in mind")
    paper.bullets(found.notes)


def _tell(
    file: TrialFile, whole: WholeTrial, voice: Voice, out: Path | None, *, as_json: bool
) -> None:
    from tanwright.cli.output import console, print_json
    from tanwright.cli.paper import Paper

    if as_json:
        print_json(_record(file, whole))
        return
    paper = Paper(console())
    _chance(paper, file, whole.proposal)
    paper.head("The design")
    for line in whole.design.words:
        paper.line(line)
    labels = {item.key: item.label for item in whole.design.treatments}
    counts = whole.design.counts
    paper.bullets(f"{labels[key]}: {many} patches" for key, many in counts.items())
    paper.head("The jars")
    paper.bullets(
        f"Jar {jar.number}: {labels[jar.treatment]}; {jar.patches} patches, "
        f"{voice.volume(jar.litres)} of liquor, "
        + ", ".join(f"{voice.mass(kg)} {_name(id)}" for id, kg in jar.dry_kg.items())
        + f" (a jar of {voice.volume(jar.holds_l)} or more)"
        for jar in whole.jars
    )
    paper.bullets(voice.words(note) for note in whole.notes)
    paper.head("To get ready (air-dry, a tenth to spare)")
    paper.bullets(
        f"{line.name}: {voice.mass(line.dry_kg)}"
        + (f", of which {voice.mass(line.missing_kg)} lack" if line.missing_kg > 0 else "")
        for line in whole.bought
    )
    paper.head("The days")
    paper.bullets(f"{voice.day(day.on)}: {day.what}. {day.why}" for day in whole.schedule.days)
    paper.bullets(_ends(whole, voice))
    paper.bullets(whole.schedule.notes)
    paper.head("Take care")
    paper.bullets(caution.text for caution in whole.cautions)
    paper.gap()
    if out is not None:
        paper.line(f"{out.name} says which patch gets what. Seed {whole.design.seed}.", 0)
    else:
        paper.line(f"Seed {whole.design.seed}. Add --out patches.csv to keep the design.", 0)


def _ends(whole: WholeTrial, voice: Voice) -> list[str]:
    return [
        f"Jar {item.number}: first liquor about {item.first_bk:.0f} °Bk, "
        f"done {voice.window(item.finish)}"
        for item in whole.schedule.jars
        if item.first_bk is not None
    ]


def _name(id: str) -> str:
    from tanwright.reference import materials

    return materials.material(id).name


def _record(file: TrialFile, whole: WholeTrial) -> dict[str, Any]:
    return {
        "question": file.question,
        "proposal": whole.proposal,
        "treatments": whole.design.treatments,
        "seed": whole.design.seed,
        "efficiency": round(whole.design.efficiency, 4),
        "bound": round(whole.design.bound, 4),
        "blend_efficiency": round(file.efficiency, 4),
        "patches": whole.design.patches,
        "jars": whole.jars,
        "ratios": file.ratios,
        "bought": whole.bought,
        "schedule": whole.schedule,
        "notes": whole.notes,
    }
