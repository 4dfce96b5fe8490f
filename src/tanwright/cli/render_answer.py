"""An answer as text for a terminal: what to know first, then the number, then the reason.

Works at 80 columns and without colour. The short form keeps to what is decided next; ``full``
shows every day, every caution's source and every default taken.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.console import Console
from rich.table import Table
from rich.text import Text

from tanwright.cli.paper import Paper, tied
from tanwright.planning.telling import phrases, told
from tanwright.planning.telling.nearby import first_days, first_sentence, near_cautions
from tanwright.planning.telling.retell import retold
from tanwright.planning.telling.voice import Voice, sentence

if TYPE_CHECKING:
    from tanwright.planning.answers import Answer, Step

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
        self._paper.title(told.title(answer, voice))
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
        self._paper.head("Is it enough?")
        for text in told.enough(answer, self._voice, full=self._full):
            self._paper.line(text)

    def amount(self, answer: Answer) -> None:
        self._paper.head("How much")
        for text, explains in told.amount(answer, self._voice, full=self._full):
            self._paper.line(text, 4 if explains else 2)

    def when(self, answer: Answer) -> None:
        self._paper.head("When")
        for text in told.when(answer, self._voice, full=self._full):
            self._paper.line(text)

    def next_action(self, answer: Answer) -> None:
        step = told.day_of(answer.next_action, answer, self._voice)
        self._paper.head("Next")
        self._paper.line(f"{step.when}: {told.doing(step)}.")
        if step.why:
            self._paper.line(f"Why: {answer.next_action.reason.rstrip('.')}.")
        if step.look:
            self._paper.line(f"Look for: {answer.next_action.look.rstrip('.')}.")

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
        self._paper.bullets(told.measure(options, worth))

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
        work = sentence(told.doing(told.day_of(step, answer, self._voice)))
        return f"{self._voice.day(step.date)}: {work} {reason}".rstrip()

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
        shown = [check for check in answer.checks if self._full or check.verdict != "ok"]
        if not shown:
            return
        self._paper.head("Readings to look at again" if not self._full else "Readings")
        self._paper.bullets(told.reading(check) for check in shown)

    def changes(self, answer: Answer) -> None:
        lines = told.changes(answer, full=self._full)
        if lines:
            self._paper.head("What changed, and why")
            self._paper.bullets(lines)

    def now(self, answer: Answer) -> None:
        self._paper.head("Now")
        for text in told.now(answer):
            self._paper.line(text)
        lines = told.account(answer, self._voice)
        if self._full and lines:
            self._paper.head("Where the tannin is")
            self._paper.bullets(f"{line.what}: {line.likely} ({line.between})." for line in lines)

    def rest(self, answer: Answer) -> None:
        """What goes wrong first, cautions, the done gate, defaults taken, sources."""
        if answer.troubles:
            self._paper.head("What goes wrong first, and its sign")
            self._paper.bullets(
                told.trouble(item) + (f" [{item.source}]" if self._full and item.source else "")
                for item in answer.troubles[: self._some(SHORT_LIST)]
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
            self._paper.bullets(told.caution(item, full=True) for item in answer.cautions)
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
