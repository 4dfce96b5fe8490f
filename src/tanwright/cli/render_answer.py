"""An answer as text for a terminal: what to know first, then the number, then the reason.

Works at 80 columns and without colour. The short form keeps to what is decided next; ``full``
shows every day, every caution's source and every default taken.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.console import Console
from rich.table import Table
from rich.text import Text

from tanwright.cli import phrases, say
from tanwright.cli.nearby import coloured_by, first_days, first_sentence, near_cautions
from tanwright.cli.paper import Paper, tied
from tanwright.cli.retell import retold
from tanwright.cli.say import Voice, sentence
from tanwright.units import rounded

if TYPE_CHECKING:
    from tanwright.planning.answers import Answer, Cause, MaterialNeed, Step

SHORT_LIST = 2
NARROW = 64
"""Below this width the days come as a list instead of a table."""


def render_plan(answer: Answer, console: Console, voice: Voice, *, full: bool = False) -> None:
    """Print the answer of a plan: is it enough, how much, when, what first."""
    answer = retold(answer, voice.words)
    page = _Page(console, voice, full)
    page.title(answer)
    page.enough(answer)
    page.amount(answer)
    page.when(answer)
    page.next_action(answer)
    page.one_pot(answer)
    page.measure(answer)
    page.days(answer)
    page.rest(answer)


def render_forecast(answer: Answer, console: Console, voice: Voice, *, full: bool = False) -> None:
    """Print the answer of a forecast: next action, what changed and why, then the rest."""
    answer = retold(answer, voice.words)
    page = _Page(console, voice, full)
    page.title(answer)
    page.next_action(answer)
    page.readings(answer)
    page.changes(answer)
    page.now(answer)
    page.when(answer)
    page.enough(answer)
    page.amount(answer)
    page.measure(answer)
    page.days(answer)
    page.one_pot(answer)
    page.rest(answer)


class _Page:
    """Sections of one answer on one console."""

    def __init__(self, console: Console, voice: Voice, full: bool) -> None:
        self._paper = Paper(console)
        self._voice = voice
        self._full = full

    def _some(self, count: int) -> int | None:
        return None if self._full else count

    def title(self, answer: Answer) -> None:
        voice = self._voice
        skins = ", ".join(
            say.skins(skin.count, skin.name) + (" with the hair on" if skin.hair_on else "")
            for skin in answer.skins
        )
        text = f"{skins}, started {voice.day(answer.start)}, seen from {voice.day(answer.today)}"
        if answer.today <= answer.start:
            text = f"{skins}, to go in on {voice.day(answer.start)}"
        text += f"; leather: {answer.leather}"
        self._paper.title(text)
        if voice.clock is not None and answer.today <= answer.start < voice.clock:
            self._paper.line(
                "That day is past. For a vat that stands already, write down what was done and ask "
                "tanwright forecast; else give a day to come, --start."
            )
        if self._full:
            for skin in answer.skins:
                self._paper.line(
                    f"{skin.name}: pelt {voice.masses(skin.pelt_kg)}, thickness"
                    f" {voice.thickness(skin.thickness_mm)},"
                    f" hide substance {voice.masses(skin.hide_substance_kg)}"
                )

    def enough(self, answer: Answer) -> None:
        voice = self._voice
        self._paper.head("Is it enough?")
        held = [need for need in answer.needs if need.have_kg is not None]
        chance = answer.enough.probability
        if not held:
            self._paper.line(
                "Nothing is in hand yet, so it depends on what is gathered; see how much below."
            )
        else:
            lots = " and ".join(f"{voice.mass(n.have_kg or 0.0)} of {n.name}" for n in held)
            self._paper.line(
                f"{phrases.enough_word(chance)}: {say.in_hundred(chance)}, with {lots}."
            )
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
            self._paper.line(text + ".")
        elif held:
            self._paper.line("No strength that this material can have would make it enough.")
        if answer.rule_of_thumb and self._full:
            self._paper.line(sentence(answer.rule_of_thumb))

    def amount(self, answer: Answer) -> None:
        voice = self._voice
        self._paper.head("How much")
        for need in answer.needs:
            own = voice.in_containers(need.need_kg, need)
            self._paper.line(
                f"{sentence(need.name).rstrip('.')} ({need.state}): {voice.masses(need.need_kg)}"
                + (f" ({own})" if own else "")
                + f"; {self._cooks(need)}."
            )
            if need.tans_skin_kg is not None and need.have_kg is not None:
                self._paper.line(
                    f"{voice.mass(need.have_kg)} of it tans {voice.masses(need.tans_skin_kg)}"
                    " of such skin.",
                    4,
                )
            if self._full:
                tannin = need.tannin_pct
                self._paper.line(
                    f"taken to hold {tannin.p05:.2g} to {tannin.p95:.2g} % tannin, most likely"
                    f" {tannin.p50:.2g} %; from {', '.join(need.sources) or 'memory'}.",
                    4,
                )
            more = answer.still_needed_kg.get(need.material_id)
            if more is not None and need.have_kg is not None and more.p95 > 0.0:
                if more.p50 <= 0.0:
                    text = (
                        f"Most likely none to gather beyond that; at worst {voice.mass(more.p95)}."
                    )
                else:
                    text = f"Still to gather: {voice.masses(more)}."
                self._paper.line(text, 4)
        self._causes("What makes this range", answer.amount_causes)

    def _cooks(self, need: MaterialNeed) -> str:
        number = say.count_range(need.cooks)
        word = "cook" if number == "1" else "cooks"
        return f"{number} {word} of {self._voice.mass(need.pot_kg)} in the pot"

    def _causes(self, label: str, causes: tuple[Cause, ...]) -> None:
        if not causes:
            return
        named = [cause for cause in causes if cause.name != "rest" or self._full]
        largest = sorted(named or causes, key=lambda cause: (cause.name == "rest", -cause.share))
        largest = largest[: self._some(3)]
        told = ", ".join(f"{cause.label} {say.per_cent(cause.share)}" for cause in largest)
        self._paper.line(f"{label}: {told}.")
        if largest[0].remedy:
            self._paper.line(f"The largest can be made smaller: {largest[0].remedy}.")

    def when(self, answer: Answer) -> None:
        voice = self._voice
        self._paper.head("When")
        coloured = coloured_by(answer)
        if coloured.p50 is not None and coloured.p50 > answer.today:
            self._paper.line(f"Colour through: {voice.window(coloured)}.")
        self._paper.line(f"Leather by: {voice.window(answer.finish)}.")
        if answer.wanted_by is not None and answer.in_time_probability is not None:
            chance = answer.in_time_probability
            word = say.chance_word(chance).capitalize()
            self._paper.line(
                f"{word} ready by {voice.day(answer.wanted_by)}: {say.in_hundred(chance)}."
            )
            if chance < 0.5:
                self._paper.line(phrases.sooner(answer))
        looks = [day for day in answer.look_on if day >= answer.today]
        if looks:
            shown = looks[: self._some(3)]
            self._paper.line("Look at a cut on " + ", ".join(voice.day(day) for day in shown) + ".")
        if self._full:
            self._causes("What makes this window", answer.finish_causes)

    def next_action(self, answer: Answer) -> None:
        voice = self._voice
        step = answer.next_action
        self._paper.head("Next")
        when = voice.day(step.date)
        if step.date == answer.today and voice.clock in (None, answer.today):
            when = "Today"
        self._paper.line(f"{when}: {self._doing(step)}.")
        if step.reason:
            self._paper.line(f"Why: {step.reason.rstrip('.')}.")
        if phrases.adds_a_look(step):
            self._paper.line(f"Look for: {step.look.rstrip('.')}.")

    def _doing(self, step: Step) -> str:
        voice = self._voice
        text = step.headline.rstrip(".")
        details = []
        if step.litres is not None and step.litres > 0.0 and step.action != "start":
            put_in = voice.volume(step.litres)
            if put_in not in text:
                details.append(f"put in {put_in}")
        if step.strength_bk is not None:
            details.append(f"the vat is then {voice.strength(step.strength_bk)}")
        return "; ".join([text, *details])

    def one_pot(self, answer: Answer) -> None:
        if answer.one_pot:
            self._paper.head("Starting with one pot")
            self._paper.bullets(sentence(line) for line in answer.one_pot)

    def measure(self, answer: Answer) -> None:
        options = answer.measure_next[: self._some(SHORT_LIST)]
        worth = answer.worth_knowing[: self._some(SHORT_LIST)]
        if not options and not worth:
            return
        self._paper.head("What to measure next, and what it saves")
        self._paper.bullets(
            f"{sentence(option.what)} {sentence(option.how)}".rstrip()
            + f" {phrases.saves(option.narrows_finish, option.narrows_amount)}"
            for option in options
        )
        self._paper.bullets(
            f"Not said yet: {phrases.FACTS.get(item.fact, item.fact)}. {sentence(item.how)}"
            f" {phrases.saves(0.0, item.narrows_amount)}"
            for item in worth
        )

    def days(self, answer: Answer) -> None:
        if not answer.schedule:
            return
        self._paper.head("Day by day")
        shown = answer.schedule if self._full else first_days(answer.schedule)
        if self._paper.width < NARROW:
            self._paper.bullets(self._step_line(step, answer) for step in shown)
        else:
            self._table(shown, answer)
        left = len(answer.schedule) - len(shown)
        if left:
            work = "day's" if left == 1 else "days'"
            self._paper.line(f"and {left} more {work} work between: --full shows all.")
        self._paper.line(
            "If a day slips, do it late and write it down: the days after it move with it."
        )

    def _told_above(self, step: Step, answer: Answer) -> bool:
        """Whether "Next" has given its reason already."""
        return not self._full and step == answer.next_action

    def _step_line(self, step: Step, answer: Answer) -> str:
        reason = "" if self._told_above(step, answer) else sentence(step.reason)
        return f"{self._voice.day(step.date)}: {sentence(self._doing(step))} {reason}".rstrip()

    def _table(self, shown: tuple[Step, ...], answer: Answer) -> None:
        table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="underline")
        table.add_column("Day", no_wrap=True)
        table.add_column("Do, and why", ratio=1)
        table.add_column("Put in", max_width=12)
        table.add_column("Vat then", max_width=19)
        for step in shown:
            table.add_row(
                Text(self._voice.short_day(step.date)),
                self._step_text(step, answer),
                Text(self._put_in(step)),
                Text(
                    "" if step.strength_bk is None else tied(self._voice.strength(step.strength_bk))
                ),
            )
        self._paper.grid(table)

    def _put_in(self, step: Step) -> str:
        if step.litres is None or step.action == "start":
            return ""
        return tied(self._voice.volume(step.litres))

    def _step_text(self, step: Step, answer: Answer) -> Text:
        text = Text(tied(sentence(step.headline)))
        if self._told_above(step, answer):
            return text
        if phrases.adds_a_look(step):
            text.append(tied(f" Look for: {step.look.rstrip('.')}."))
        if step.reason:
            text.append(tied(f" {sentence(step.reason)}"), style="dim")
        return text

    def readings(self, answer: Answer) -> None:
        told = [check for check in answer.checks if self._full or check.verdict != "ok"]
        if not told:
            return
        self._paper.head("Readings to look at again" if not self._full else "Readings")
        word = {"set-aside": "left out", "odd": "odd, but used", "ok": "as expected"}
        self._paper.bullets(
            f"line {check.line}, {check.what.removeprefix(f'line {check.line}, ')}:"
            f" {word.get(check.verdict, check.verdict)}."
            f" {sentence(check.text)}"
            for check in told
        )

    def changes(self, answer: Answer) -> None:
        told = [item for item in answer.changes if self._full or not phrases.is_bare(item)]
        if not told:
            return
        self._paper.head("What changed, and why")
        self._paper.bullets(
            f"{phrases.CHANGES.get(change.what) or sentence(change.what).rstrip('.')}:"
            f" {phrases.before_and_now(change)}."
            f" {sentence(change.why)}"
            for change in told
        )

    def now(self, answer: Answer) -> None:
        through = answer.struck_through
        self._paper.head("Now")
        self._paper.line(
            f"Struck through: {say.per_cent(through.p50)} of the thickness"
            f" ({say.per_cent(through.p05)} to {say.per_cent(through.p95)})."
        )
        aim, got = answer.target_degree, answer.degree_now
        self._paper.line(
            f"Tannin fixed: {100 * got.p50:.0f} g for 100 g of hide substance"
            f" ({100 * got.p05:.0f} to {100 * got.p95:.0f}); this leather wants"
            f" {100 * aim.p05:.0f} to {100 * aim.p95:.0f}."
        )

    def rest(self, answer: Answer) -> None:
        """What goes wrong first, cautions, the done gate, defaults taken, sources."""
        if answer.troubles:
            self._paper.head("What goes wrong first, and its sign")
            self._paper.bullets(
                sentence(trouble.what).rstrip(".")
                + ("" if trouble.chance is None else f" ({say.in_hundred(trouble.chance)})")
                + f". Sign: {trouble.sign.rstrip('.')}. Then: {trouble.remedy.rstrip('.')}."
                + (f" [{trouble.source}]" if self._full and trouble.source else "")
                for trouble in answer.troubles[: self._some(SHORT_LIST)]
            )
        if answer.questions:
            self._paper.head("Before you call it done")
            self._paper.bullets(sentence(question) for question in answer.questions)
        self._cautions(answer)
        if answer.notes:
            self._paper.head("Taken for granted")
            self._paper.bullets(sentence(note) for note in answer.notes)
        self._sources(answer)

    def _cautions(self, answer: Answer) -> None:
        if not answer.cautions:
            return
        if self._full:
            self._paper.head("Take care")
            self._paper.bullets(
                sentence(caution.text) + (f" [{caution.source}]" if caution.source else "")
                for caution in answer.cautions
            )
            return
        near = near_cautions(answer)
        self._paper.head("Take care in the next days")
        self._paper.bullets(sentence(first_sentence(caution.text)) for caution in near)
        left = len(answer.cautions) - len(near)
        if left:
            word = "caution" if left == 1 else "cautions"
            self._paper.line(f"{left} more {word} for later steps: --full shows them.")

    def _sources(self, answer: Answer) -> None:
        self._paper.gap()
        if self._full:
            self._paper.line(f"Sources: {', '.join(answer.sources)}.", 0)
            self._paper.line(
                f"Data: {answer.data_version}; {answer.members} worlds,"
                f" {answer.effective_members:.0f} of them still count.",
                0,
            )
        else:
            number = len(answer.sources)
            self._paper.line(
                f"From {number} source{'' if number == 1 else 's'}; --full names them and shows"
                " every day.",
                0,
            )
