"""Every part of an answer as plain sentences, most needed first, without any markup."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from tanwright.planning.telling import phrases
from tanwright.planning.telling import voice as say
from tanwright.planning.telling.nearby import coloured_by
from tanwright.planning.telling.retell import retold
from tanwright.planning.telling.voice import sentence
from tanwright.units import rounded

if TYPE_CHECKING:
    from tanwright.planning.answers import (
        Answer,
        Cause,
        Caution,
        MaterialNeed,
        MeasureOption,
        ReadingCheck,
        Step,
        Trouble,
        Worth,
    )
    from tanwright.planning.telling.voice import Voice


@dataclass(frozen=True)
class Day:
    """One step: when, what, why, and what the vat is afterwards."""

    when: str
    what: str
    why: str
    look: str
    put_in: str
    vat_then: str
    action: str


@dataclass(frozen=True)
class AccountLine:
    """One place of the tannin account, in words."""

    what: str
    likely: str
    between: str
    share: float
    """Part of what was brought in, 0 to 1."""


ACCOUNT: Final = {
    "brought-in": "Brought in with the liquors",
    "fixed": "Fixed in the skins",
    "in-skin": "Loose in the skins' water",
    "in-liquor": "In the liquor",
    "poured-away": "Taken out with weak liquor",
    "lost": "Spoiled or settled out",
}


@dataclass(frozen=True)
class Told:
    """An answer in the reader's words; an empty part has nothing to tell."""

    title: str
    enough: tuple[str, ...]
    amount: tuple[str, ...]
    when: tuple[str, ...]
    now: tuple[str, ...]
    next: Day
    days: tuple[Day, ...]
    one_pot: tuple[str, ...]
    measure: tuple[str, ...]
    changes: tuple[str, ...]
    readings: tuple[tuple[int, str, str], ...]
    """(line of the readings, verdict, sentence) of every reading."""
    troubles: tuple[str, ...]
    gate: tuple[str, ...]
    taken_for_granted: tuple[str, ...]
    cautions: tuple[tuple[str, str], ...]
    """(topic, text)"""
    sources: tuple[str, ...]
    account: tuple[AccountLine, ...] = ()
    """What was brought in first, then where it is; the middle figures add up."""


def tell(answer: Answer, voice: Voice) -> Told:
    """``answer`` in the words and units of ``voice``."""
    answer = retold(answer, voice.words)
    return Told(
        title=title(answer, voice),
        enough=tuple(enough(answer, voice)),
        amount=tuple(text for text, _ in amount(answer, voice)),
        when=tuple(when(answer, voice)),
        now=tuple(now(answer)),
        next=day_of(answer.next_action, answer, voice),
        days=tuple(day_of(step, answer, voice) for step in answer.schedule),
        one_pot=tuple(sentence(line) for line in answer.one_pot),
        measure=tuple(measure(answer.measure_next, answer.worth_knowing)),
        changes=tuple(changes(answer)),
        readings=tuple(
            (check.line, check.verdict, sentence(check.text)) for check in answer.checks
        ),
        troubles=tuple(trouble(item) for item in answer.troubles),
        gate=tuple(sentence(question) for question in answer.questions),
        taken_for_granted=tuple(sentence(note) for note in answer.notes),
        cautions=tuple((item.topic, sentence(item.text)) for item in answer.cautions),
        sources=answer.sources,
        account=tuple(account(answer, voice)),
    )


def title(answer: Answer, voice: Voice) -> str:
    """Which skins, since when, for which leather."""
    skins = ", ".join(
        say.skins(skin.count, skin.name) + (" with the hair on" if skin.hair_on else "")
        for skin in answer.skins
    )
    text = f"{skins}, started {voice.day(answer.start)}, seen from {voice.day(answer.today)}"
    if answer.today <= answer.start:
        text = f"{skins}, to go in on {voice.day(answer.start)}"
    return f"{text}; leather: {answer.leather}"


def enough(answer: Answer, voice: Voice, *, full: bool = False) -> list[str]:
    """Is it enough, and at which strength the answer tips."""
    told = []
    held = [need for need in answer.needs if need.have_kg is not None]
    chance = answer.enough.probability
    if not held:
        told.append(
            "Nothing is in hand yet, so it depends on what is gathered; see how much below."
        )
    else:
        lots = " and ".join(f"{voice.mass(n.have_kg or 0.0)} of {n.name}" for n in held)
        told.append(f"{phrases.enough_word(chance)}: {say.in_hundred(chance)}, with {lots}.")
    tips = answer.enough.break_even_tannin_pct
    if tips is not None:
        name = phrases.name_of(answer, answer.enough.material_id)
        what = "Enough" if held else "The most likely amount below is enough"
        text = f"{what} if the {name} holds {rounded(tips)} % tannin or more"
        if tips < 0.1 and len(held) > 1:
            text = f"What else lies here would do alone, without the {name}"
        sure = answer.enough.break_even_sure_pct
        if sure is not None and sure >= 0.1:
            text += f"; safe (9 times in 10) at {rounded(sure)} %"
        told.append(text + ".")
    elif held:
        told.append("No strength that this material can have would make it enough.")
    if answer.rule_of_thumb and full:
        told.append(sentence(answer.rule_of_thumb))
    return told


def amount(answer: Answer, voice: Voice, *, full: bool = False) -> list[tuple[str, bool]]:
    """How much of each material; True marks a sentence that explains the one before."""
    told: list[tuple[str, bool]] = []
    for need in answer.needs:
        own = voice.in_containers(need.need_kg, need)
        told.append(
            (
                f"{sentence(need.name).rstrip('.')} ({need.state}): {voice.masses(need.need_kg)}"
                + (f" ({own})" if own else "")
                + f"; {_cooks(need, voice)}.",
                False,
            )
        )
        if need.tans_skin_kg is not None and need.have_kg is not None:
            text = (
                f"{voice.mass(need.have_kg)} of it tans {voice.masses(need.tans_skin_kg)}"
                " of such skin."
            )
            told.append((text, True))
        if full:
            tannin = need.tannin_pct
            text = (
                f"taken to hold {tannin.p05:.2g} to {tannin.p95:.2g} % tannin, most likely"
                f" {tannin.p50:.2g} %; from {', '.join(need.sources) or 'memory'}."
            )
            told.append((text, True))
        if more := still_to_gather(need, answer, voice):
            told.append((more, True))
    told += [(text, False) for text in causes("What makes this range", answer.amount_causes, full)]
    return told


def still_to_gather(need: MaterialNeed, answer: Answer, voice: Voice) -> str:
    """What is missing beyond what is in hand; empty when that is nothing."""
    more = answer.still_needed_kg.get(need.material_id)
    if more is None or need.have_kg is None or more.p95 <= 0.0:
        return ""
    if more.p50 <= 0.0:
        return f"Most likely none to gather beyond that; at worst {voice.mass(more.p95)}."
    return f"Still to gather: {voice.masses(more)}."


def _cooks(need: MaterialNeed, voice: Voice) -> str:
    number = say.count_range(need.cooks)
    word = "cook" if number == "1" else "cooks"
    return f"{number} {word} of {voice.mass(need.pot_kg)} in the pot"


def causes(label: str, found: tuple[Cause, ...], full: bool) -> list[str]:
    """What makes a range wide, and how the largest cause can be made smaller."""
    if not found:
        return []
    named = [cause for cause in found if cause.name != "rest" or full]
    largest = sorted(named or found, key=lambda cause: (cause.name == "rest", -cause.share))
    largest = largest[: None if full else 3]
    told = ", ".join(f"{cause.label} {say.per_cent(cause.share)}" for cause in largest)
    lines = [f"{label}: {told}."]
    if largest[0].remedy:
        lines.append(f"The largest can be made smaller: {largest[0].remedy}.")
    return lines


def when(answer: Answer, voice: Voice, *, full: bool = False) -> list[str]:
    """When it is coloured through, when it is leather, and when to look."""
    told = []
    coloured = coloured_by(answer)
    if coloured.p50 is not None and coloured.p50 > answer.today:
        told.append(f"Colour through: {voice.window(coloured)}.")
    told.append(f"Leather by: {voice.window(answer.finish)}.")
    if answer.wanted_by is not None and answer.in_time_probability is not None:
        chance = answer.in_time_probability
        word = say.chance_word(chance).capitalize()
        told.append(f"{word} ready by {voice.day(answer.wanted_by)}: {say.in_hundred(chance)}.")
        if chance < 0.5:
            told.append(phrases.sooner(answer))
    looks = [day for day in answer.look_on if day >= answer.today]
    if looks:
        shown = looks[: None if full else 3]
        told.append("Look at a cut on " + ", ".join(voice.day(day) for day in shown) + ".")
    if full:
        told += causes("What makes this window", answer.finish_causes, full)
    return told


def day_of(step: Step, answer: Answer, voice: Voice) -> Day:
    """One step in words."""
    text = voice.day(step.date)
    if step.date == answer.today and voice.clock in (None, answer.today):
        text = "Today"
    put_in = ""
    if step.litres is not None and step.litres > 0.0 and step.action != "start":
        put_in = voice.volume(step.litres)
    return Day(
        when=text,
        what=step.headline.rstrip("."),
        why=sentence(step.reason),
        look=sentence(step.look) if phrases.adds_a_look(step) else "",
        put_in=put_in,
        vat_then="" if step.strength_bk is None else voice.strength(step.strength_bk),
        action=step.action,
    )


def doing(day: Day) -> str:
    """What to do on a day in one sentence without its full stop, with amounts."""
    details = [day.what]
    if day.put_in and day.put_in not in day.what:
        details.append(f"put in {day.put_in}")
    if day.vat_then:
        details.append(f"the vat is then {day.vat_then}")
    return "; ".join(details)


def measure(options: tuple[MeasureOption, ...], worth: tuple[Worth, ...]) -> list[str]:
    """What to measure next, what is not said yet, and what each takes off the ranges."""
    told = [
        f"{sentence(option.what)} {sentence(option.how)}".rstrip()
        + f" {phrases.saves(option.narrows_finish, option.narrows_amount)}"
        for option in options
    ]
    return told + [
        f"Not said yet: {phrases.FACTS.get(item.fact, item.fact)}. {sentence(item.how)}"
        f" {phrases.saves(0.0, item.narrows_amount)}"
        for item in worth
    ]


def reading(check: ReadingCheck) -> str:
    """A reading held against what was expected, with the line that it stands in."""
    word = {"set-aside": "left out", "odd": "odd, but used", "ok": "as expected"}
    return (
        f"line {check.line}, {check.what.removeprefix(f'line {check.line}, ')}:"
        f" {word.get(check.verdict, check.verdict)}. {sentence(check.text)}"
    )


def changes(answer: Answer, *, full: bool = False) -> list[str]:
    """What the readings changed, and why."""
    return [
        f"{phrases.CHANGES.get(change.what) or sentence(change.what).rstrip('.')}:"
        f" {phrases.before_and_now(change)}. {sentence(change.why)}"
        for change in answer.changes
        if full or not phrases.is_bare(change)
    ]


def now(answer: Answer) -> list[str]:
    """How far the tan is and how much is fixed."""
    through, aim, got = answer.struck_through, answer.target_degree, answer.degree_now
    return [
        f"Struck through: {say.per_cent(through.p50)} of the thickness"
        f" ({say.per_cent(through.p05)} to {say.per_cent(through.p95)}).",
        f"Tannin fixed: {100 * got.p50:.0f} g for 100 g of hide substance"
        f" ({100 * got.p05:.0f} to {100 * got.p95:.0f}); this leather wants"
        f" {100 * aim.p05:.0f} to {100 * aim.p95:.0f}.",
    ]


def account(answer: Answer, voice: Voice) -> list[AccountLine]:
    """Where the tannin is; amounts are means, so that they add up."""
    brought = next((term.mean_g for term in answer.account if term.name == "brought-in"), 0.0)
    return [
        AccountLine(
            what=ACCOUNT[term.name],
            likely=voice.mass(term.mean_g / 1000.0),
            between=voice.spread(term.range_g.p05 / 1000.0, term.range_g.p95 / 1000.0),
            share=round(min(max(term.mean_g / brought, 0.0), 1.0), 3) if brought > 0.0 else 0.0,
        )
        for term in answer.account
    ]


def trouble(item: Trouble) -> str:
    """What goes wrong first, with its sign and remedy."""
    chance = "" if item.chance is None else f" ({say.in_hundred(item.chance)})"
    return (
        f"{sentence(item.what).rstrip('.')}{chance}. Sign: {item.sign.rstrip('.')}."
        f" Then: {item.remedy.rstrip('.')}."
    )


def caution(item: Caution, *, full: bool) -> str:
    """A caution, with its source for those who asked for everything."""
    return sentence(item.text) + (f" [{item.source}]" if full and item.source else "")
