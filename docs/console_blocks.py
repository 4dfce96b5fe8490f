"""The ``console`` blocks of the pages: run what they show, and write what it prints into them.

    python docs/console_blocks.py        writes the output of every example anew

In a block, a line that begins with ``$ tanwright`` is a command (a backslash at its end joins the
next line) and the lines below it are what it prints.  A shown line that is only ``...`` stands for
any number of lines; such an example is left as it is while it still fits, and is cut again at the
same places when it does not.  The blocks of one page run in order in one folder that holds a copy
of ``examples``.
"""

from __future__ import annotations

import difflib
import os
import re
import shlex
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
BLOCK = re.compile(r"^```console\n(?P<body>.*?)^```$", re.MULTILINE | re.DOTALL)
PROMPT = "$ "


@dataclass(frozen=True)
class Example:
    """A command of a page, as written, and what the page says that it prints."""

    page: Path
    line: int
    written: str
    shown: str

    @property
    def arguments(self) -> list[str]:
        """The command as a shell would split it."""
        return shlex.split(self.written.replace("\\\n", " ").removeprefix(PROMPT))


@dataclass(frozen=True)
class Outcome:
    """What a command printed (stdout, then stderr) and its exit status."""

    text: str
    status: int


def pages() -> list[Path]:
    """README and every page of docs."""
    return [ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md"))]


def examples(page: Path) -> Iterator[Example]:
    """The commands in the console blocks of ``page``, from top to bottom."""
    text = page.read_text(encoding="utf-8")
    for block in BLOCK.finditer(text):
        first = text.count("\n", 0, block.start("body")) + 1
        lines = block["body"].splitlines()
        at = 0
        while at < len(lines):
            begin = at
            if not lines[at].startswith(PROMPT):
                raise ValueError(f"{page.name}:{first + at}: a block begins with '$ tanwright'")
            while lines[at].endswith("\\"):
                at += 1
            at += 1
            written = "\n".join(lines[begin:at])
            shown = at
            while at < len(lines) and not lines[at].startswith(PROMPT):
                at += 1
            yield Example(page, first + begin, written, "\n".join(lines[shown:at]))


def folder_for_examples(folder: Path) -> Path:
    """Lay a copy of ``examples`` into ``folder`` and return it."""
    shutil.copytree(ROOT / "examples", folder / "examples")
    return folder


def outcome(example: Example, folder: Path) -> Outcome:
    """Run the command of ``example`` in ``folder``."""
    program, *arguments = example.arguments
    if program != "tanwright":
        raise ValueError(
            f"{example.page.name}:{example.line}: only tanwright is run, not {program}"
        )
    environment = {key: value for key, value in os.environ.items() if key != "TANWRIGHT_UNITS"}
    environment |= {"COLUMNS": "80", "NO_COLOR": "1", "PYTHONIOENCODING": "utf-8"}
    done = subprocess.run(
        [sys.executable, "-m", "tanwright", *arguments],
        cwd=folder,
        env=environment,
        capture_output=True,
        encoding="utf-8",
        timeout=300,
        check=False,
    )
    return Outcome(tidy(done.stdout + done.stderr), done.returncode)


def tidy(text: str) -> str:
    """Without spaces at the ends of lines and without empty lines at either end."""
    return "\n".join(line.rstrip() for line in text.splitlines()).strip("\n")


def fits(shown: str, printed: str) -> bool:
    """Whether ``printed`` is what the page shows; ``...`` alone on a line stands for any lines."""
    parts = [re.escape(part) for part in re.split(r"^\.\.\.$", tidy(shown), flags=re.MULTILINE)]
    return re.fullmatch(r".*?".join(parts), tidy(printed), flags=re.DOTALL) is not None


def cut_anew(shown: str, printed: str) -> str:
    """``printed`` cut as ``shown`` was: its passages between ``...``, as they read now.

    A passage is found by the line that most resembles its first; it is as long as it was, or to its
    empty line if that is no more than two lines off.  All of ``printed`` where that fails.
    """
    lines = tidy(printed).split("\n")
    kept: list[str] = []
    at, begin = 0, True
    for paragraph in re.split(r"\n\n|(?<=\n)(?=\.\.\.$)|(?<=^\.\.\.)\n", tidy(shown), flags=re.M):
        old = paragraph.strip("\n").split("\n")
        if old == ["..."]:
            kept.append("...")
            begin = False
            continue
        if not begin:
            at = max(range(at, len(lines)), key=lambda k: _alike(lines[k], old[0]), default=at)
        end = next((k for k in range(at, len(lines)) if not lines[k]), len(lines))
        if abs(end - at - len(old)) > 2:
            end = min(at + len(old), len(lines))
        kept += ([""] if kept and kept[-1] != "..." else []) + lines[at:end]
        at, begin = end, False
    new = "\n".join(kept)
    return new if fits(new, printed) else tidy(printed)


def _alike(one: str, other: str) -> float:
    return difflib.SequenceMatcher(None, one, other, autojunk=False).ratio()


def refresh(page: Path) -> bool:
    """Write into ``page`` what its commands print now; True when something changed."""
    found = list(examples(page))
    if not found:
        return False
    text = page.read_text(encoding="utf-8")
    with tempfile.TemporaryDirectory() as name:
        folder = folder_for_examples(Path(name))
        for example in found:
            printed = outcome(example, folder).text
            if not fits(example.shown, printed):
                old = example.written + "\n" + (example.shown + "\n" if example.shown else "")
                if re.search(r"^\.\.\.$", example.shown, re.MULTILINE):
                    printed = cut_anew(example.shown, printed)
                new = example.written + "\n" + printed + "\n\n"
                text = text.replace(old, new if old.endswith("\n\n") else new[:-1], 1)
    changed = text != page.read_text(encoding="utf-8")
    page.write_text(text, encoding="utf-8")
    return changed


if __name__ == "__main__":
    for each in pages():
        if refresh(each):
            print("written anew:", each.relative_to(ROOT))
