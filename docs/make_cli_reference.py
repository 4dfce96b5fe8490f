"""Writes docs/reference/command-line.md from the commands' own help and from the error family.

python docs/make_cli_reference.py
"""

from __future__ import annotations

import os
from pathlib import Path

PAGE = Path(__file__).resolve().parent / "reference" / "command-line.md"
HEAD = """# Command line

`docs/make_cli_reference.py` writes this page from the commands' own help; `make docs` renews it.

Text goes to standard output, one line about anything wrong to standard error.

| exit status | meaning |
| --- | --- |
| 0 | done |
| 1 | an outside check failed (`tanwright checks`), or the yard is not well (`tanwright doctor`) |
| 2 | something to put right: an option, a sheet, a reading |
| 70 | a fault of tanwright's own; please report it |
| 130 | stopped with Ctrl-C |

`TANWRIGHT_UNITS` set to `metric` or `us` takes the place of `--units`.
"""


def commands() -> dict[str, str]:
    """The help of each command by its name, ``tanwright`` itself first."""
    os.environ["COLUMNS"] = "80"
    os.environ.pop("TANWRIGHT_UNITS", None)
    import typer

    from tanwright.cli.app import make_app

    found: dict[str, str] = {}

    def walk(command: object, name: str, parent: object) -> None:
        context = command.make_context(name, [], parent=parent, resilient_parsing=True)  # type: ignore[attr-defined]
        found[context.command_path] = context.get_help()
        for child_name in getattr(command, "commands", {}):
            walk(command.commands[child_name], child_name, context)  # type: ignore[attr-defined]

    walk(typer.main.get_command(make_app()), "tanwright", None)
    return found


def error_codes() -> dict[str, str]:
    """Each code of the error family with the first line of its description."""
    from tanwright.errors import TanwrightError

    found: dict[str, str] = {}

    def walk(kind: type[TanwrightError]) -> None:
        found[kind.code] = (kind.__doc__ or "").strip().splitlines()[0]
        for child in kind.__subclasses__():
            if child.__module__ == TanwrightError.__module__:
                walk(child)

    walk(TanwrightError)
    return found


def text() -> str:
    """The whole page."""
    parts = [HEAD, "## Errors\n", "| code | when |\n| --- | --- |"]
    parts += [f"| `{code}` | {when} |" for code, when in error_codes().items()]
    parts.append("")
    for name, help_text in commands().items():
        lines = "\n".join(line.rstrip() for line in help_text.splitlines())
        parts.append(f"## {name}\n\n```text\n{lines}\n```\n")
    return "\n".join(parts)


if __name__ == "__main__":
    PAGE.parent.mkdir(parents=True, exist_ok=True)
    PAGE.write_text(text(), encoding="utf-8")
