"""What a trial says, told for a page: answers in words, pictures, figures, blends, what went in."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from django.utils.safestring import SafeString, mark_safe

from tanwright.errors import InputError
from tanwright.planning.pictures.mixture import draw_mixture, mix_words
from tanwright.planning.pictures.trial_effects import draw_effects
from tanwright.planning.pictures.writing import Picture
from tanwright.planning.trials.analysis import (
    Better,
    QualityResult,
    TrialAnalysis,
    analyse,
)
from tanwright.planning.trials.answer_words import (
    answer,
    chances,
    figure,
    pair_words,
    start,
    summary,
    telling_words,
    typical_words,
)
from tanwright.planning.trials.blending import BlendAnswer, Wanted, blend, wanted_of
from tanwright.planning.trials.diagnosing import Note, diagnose
from tanwright.planning.trials.records import Seen
from tanwright.planning.trials.took_up import Fed, TookUp, cheapest_as_good, took_up
from tanwright.reference.grading import grading_measure, grading_scale
from tanwright.reference.materials import material
from tanwright.units import System, format_mass
from tanwright.yard.journal.models import Entry
from tanwright.yard.trials.grading_sheets import graded_patches, seen_of, sheets_of
from tanwright.yard.trials.models import Trial

Wish = tuple[str, str]
"""Quality and what is wanted of it: more, less, or a step."""
SOFT, FIRM = ("soft", "bag"), ("firm", "sole")


@dataclass(frozen=True)
class EffectRow:
    """One treatment of one quality, as a table row."""

    label: str
    typical: str
    against: str
    chance: str


@dataclass(frozen=True)
class Shown:
    """One quality on the page."""

    result: QualityResult
    name: str
    answer: str
    svg: SafeString
    picture: Picture
    rows: tuple[EffectRow, ...]
    pairs: tuple[str, ...]
    graders: tuple[str, ...]
    rests_on: str


@dataclass(frozen=True)
class MixShown:
    """One surface on the page."""

    name: str
    svg: SafeString
    picture: Picture


@dataclass(frozen=True)
class BlendShown:
    """The blends on the page; ``use`` is empty as long as nothing is wanted."""

    use: str
    wanted: str
    sure: str
    expected: tuple[str, ...]
    next: str
    why_not: str
    pictures: tuple[MixShown, ...]


@dataclass(frozen=True)
class AccountRow:
    """What one treatment was given and took up."""

    label: str
    material: str
    tannin: str
    taken: str


@dataclass(frozen=True)
class ResultPage:
    """The whole page."""

    short: tuple[str, ...]
    notes: tuple[Note, ...]
    telling: str
    shown: tuple[Shown, ...]
    blends: BlendShown | None
    account: tuple[AccountRow, ...]
    savings: tuple[str, ...]
    late_sheets: int


def graded_qualities(seen: Seen) -> list[str]:
    """Qualities that were graded or laid in a row, each once."""
    found = [grade.quality for grade in seen.grades] + [row.quality for row in seen.rankings]
    return list(dict.fromkeys(found))


def usual_wishes(trial: Trial, seen: Seen) -> tuple[Wish, ...]:
    """What is wanted unless somebody says otherwise: by the leather, and what is always better."""
    found = []
    for quality in dict.fromkeys(
        [g.quality for g in seen.grades] + [r.quality for r in seen.rankings]
    ):
        scale = grading_scale(quality)
        if scale.better != "by-use":
            found.append((quality, scale.better))
        elif quality == "firmness" and trial.leather:
            found.append((quality, "more" if trial.leather in FIRM else "less"))
    return tuple(found)


def page_of(trial: Trial, wishes: tuple[Wish, ...] | None, system: System) -> ResultPage:
    """The page of ``trial``; ``None`` for the usual wishes. Raises InputError."""
    entries = Entry.objects.filter(record_id=trial.pk).order_by("-written_at", "id")
    last = entries.values_list("id", flat=True).first()
    return _page(trial.pk, (trial.version, last), wishes, system)


@lru_cache(maxsize=16)
def _page(
    id: uuid.UUID,
    state: tuple[int, uuid.UUID | None],
    wishes: tuple[Wish, ...] | None,
    system: System,
) -> ResultPage:
    """Reckoned once for each state of a trial (version and last entry), as it takes a second."""
    trial = Trial.objects.get(pk=id)
    patches, sheets = graded_patches(trial), sheets_of(trial)
    seen = seen_of(trial, sheets, patches)
    wishes = usual_wishes(trial, seen) if wishes is None else wishes
    wanted = tuple(wanted_of(quality, word) for quality, word in wishes)
    ends: dict[str, Better] = {
        quality: "more" if word == "more" else "less"
        for quality, word in wishes
        if word in ("more", "less")
    }
    found = analyse(seen, wanted=ends)
    account = account_of(trial, seen)
    return ResultPage(
        short=tuple(summary(found)),
        notes=diagnose(seen, found),
        telling=telling_words(found.telling),
        shown=tuple(_shown(result, found) for result in found.qualities),
        blends=_blends(seen, wanted),
        account=tuple(_account_row(row, system) for row in account),
        savings=tuple(_savings(found, account)),
        late_sheets=sheets.after,
    )


def pictures_of(page: ResultPage) -> dict[str, Picture]:
    """Every picture of the page by its name."""
    pictures = [part.picture for part in page.shown]
    if page.blends is not None:
        pictures += [part.picture for part in page.blends.pictures]
    return {picture.name: picture for picture in pictures}


def account_of(trial: Trial, seen: Seen) -> tuple[TookUp, ...]:
    """What each treatment was given and took up; empty when the jars do not say."""
    fed = [
        Fed(
            str(jar.number),
            jar.treatment,
            {str(id): float(kg) for id, kg in jar.shares.items()},
            jar.pelt_kg,
        )
        for jar in trial.jars.all()
        if jar.pelt_kg > 0.0
    ]
    try:
        return took_up(seen, fed)
    except InputError:
        return ()


def _inline(svg: str) -> SafeString:
    """A picture of our own drawing, without the line that declares it a file."""
    return mark_safe(svg[svg.index("<svg") :])


def _shown(result: QualityResult, found: TrialAnalysis) -> Shown:
    picture = draw_effects(result, found)
    rows = []
    for item in result.effects:
        against = item.against
        span = ""
        if against is not None:
            span = f"{figure(against.p50)} ({figure(against.p05)} to {figure(against.p95)})"
        chance = "" if item.chance_more is None else f"{100 * item.chance_more:.0f} in 100"
        rows.append(EffectRow(item.label, typical_words(result, item), span, chance))
    graders = tuple(
        f"{part.grader}: {_severity(part.steps.p50)} ({part.looks} patches)"
        for part in result.graders
    )
    return Shown(
        result=result,
        name=start(result.name),
        answer=answer(result, found.labels),
        svg=_inline(picture.svg),
        picture=picture,
        rows=tuple(rows),
        pairs=tuple(pair_words(result, pair, found.labels) for pair in result.pairs),
        graders=graders,
        rests_on=_rests_on(result),
    )


def _severity(steps: float) -> str:
    if abs(steps) < 0.15:
        return "grades as the others do"
    size = figure(abs(steps))
    return f"about {size} step{'' if size == '1' else 's'} {'lower' if steps < 0 else 'higher'}"


def _rests_on(result: QualityResult) -> str:
    what = {
        "grades": f"{result.seen} grades",
        "rows": f"{result.seen} rows of pieces",
        "grades and rows": "grades and rows of pieces",
        "measure": f"{result.seen} readings",
    }[result.kind]
    if result.agreement is None:
        return f"Rests on {what}."
    return (
        f"Rests on {what}. How far the graders agree: {result.agreement:.2f} (1 the same order, "
        f"0 none; Kendall's W of {result.agreement_of} patches)."
    )


def _blends(seen: Seen, wanted: Sequence[Wanted]) -> BlendShown | None:
    if not any(len(item.shares) > 1 for item in seen.treatments):
        return None
    try:
        found = blend(seen, wanted)
    except InputError as trouble:
        return BlendShown("", "", "", (), "", f"{start(trouble.what)}; {trouble.remedy}.", ())
    names = {id: material(id).name for id in found.materials}
    pictures = []
    if len(found.materials) <= 3:
        for surface in found.surfaces:
            picture = draw_mixture(found, surface, names)
            pictures.append(MixShown(start(surface.name), _inline(picture.svg), picture))
    if found.best is None:
        return BlendShown("", "", "", (), "", "", tuple(pictures))
    return BlendShown(
        use=mix_words(found.best.shares, names),
        wanted=", ".join(item.words for item in found.wanted),
        sure=chances(found.chance_best),
        expected=tuple(_expected(found)),
        next="" if found.next is None else mix_words(found.next.shares, names),
        why_not="",
        pictures=tuple(pictures),
    )


def _expected(found: BlendAnswer) -> list[str]:
    assert found.best is not None
    out = []
    for surface in found.surfaces:
        span = found.best.expected[surface.quality]
        text = f"{figure(span.p50)} ({figure(span.p05)} to {figure(span.p95)})"
        unit = f" of {surface.steps}" if surface.steps else f" {surface.unit}"
        out.append(f"{start(surface.name)}: {text}{unit}")
    return out


def _account_row(row: TookUp, system: System) -> AccountRow:
    parts = [
        f"{format_mass(kg, system)} {material(id).name}" for id, kg in row.kg_per_kg.items() if kg
    ]
    taken = "not weighed before and after"
    if row.degree is not None:
        span = f"{figure(row.degree.p05)} to {figure(row.degree.p95)}"
        taken = f"{span} g to 100 g of hide substance ({row.weighed} patches)"
    if row.more_than_given:
        taken += "; more than was given, so a weight is off or they were not dry"
    tannin = row.tannin_g_per_kg
    return AccountRow(
        row.label,
        " and ".join(parts) or "nothing",
        f"{figure(tannin.p05)} to {figure(tannin.p95)} g",
        taken,
    )


def _savings(found: TrialAnalysis, account: Sequence[TookUp]) -> list[str]:
    out = []
    for result in found.qualities:
        pair = cheapest_as_good(result, account)
        if pair is None:
            continue
        less, best = pair
        share = sum(less.kg_per_kg.values()) / sum(best.kg_per_kg.values())
        out.append(
            f"For {result.name}, {less.label} took {100 * share:.0f} % of the material of "
            f"{best.label} and was not told to be worse."
        )
    return out


def wish_choices(trial: Trial, seen: Seen) -> Mapping[str, list[tuple[str, str]]]:
    """What may be wanted of each quality that was seen: value and words."""
    found: dict[str, list[tuple[str, str]]] = {}
    for quality in dict.fromkeys(
        [g.quality for g in seen.grades] + [r.quality for r in seen.rankings]
    ):
        scale = grading_scale(quality)
        steps = [(str(k), words) for k, words in enumerate(scale.anchors, 1)]
        found[quality] = [
            ("", "does not matter"), ("more", scale.more), ("less", scale.less), *steps,
        ]  # fmt: skip
    for name in dict.fromkeys(m.name for m in seen.measures):
        measure = grading_measure(name)
        if measure.when == "after":
            found[name] = [
                ("", "does not matter"), ("more", measure.more), ("less", measure.less),
            ]  # fmt: skip
    return found
