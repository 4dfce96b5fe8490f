"""Runs the command and turns whatever happens into an exit status.

0 done; 1 an outside check failed; 2 something to put right, told in one line; 70 a fault of
tanwright's own; 130 stopped with Ctrl-C.
"""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Sequence
from pathlib import Path

import typer

from tanwright.errors import TanwrightError

DONE, PUT_RIGHT, OUR_FAULT, STOPPED = 0, 2, 70, 130


def main() -> None:
    """Entry point of the ``tanwright`` command."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")
    status = run(sys.argv[1:])
    try:
        sys.stdout.flush()
    except BrokenPipeError:
        status = _pipe_closed()
    sys.exit(status)


def run(arguments: Sequence[str]) -> int:
    """Carry out ``arguments`` and return the exit status; messages go to stderr, one line each.

    ``--debug`` may stand anywhere before ``--`` and lets the traceback of any error through.
    """
    given = list(arguments)
    options = given[: given.index("--")] if "--" in given else given
    if "--debug" in options:
        given.remove("--debug")
        return _carry_out(given)
    try:
        return _carry_out(given)
    except (BrokenPipeError, SystemExit):
        # Whatever stops a command in this mode comes as typer's own errors; only the printing
        # libraries leave through SystemExit, and only when the pipe is closed.
        return _pipe_closed()
    except TanwrightError as error:
        return _tell(str(error), PUT_RIGHT)
    except typer.TyperException as error:
        return _tell(_usage(error), PUT_RIGHT)
    except typer.Abort:
        return _tell("stopped", STOPPED)
    except Exception as error:
        return _tell(
            f"a fault inside tanwright ({type(error).__name__}: {error}); please report it, "
            "with what the same command prints when --debug is added",
            OUR_FAULT,
        )


def _carry_out(arguments: list[str]) -> int:
    from tanwright.cli.app import make_app

    status = typer.main.get_command(make_app())(
        args=arguments, prog_name="tanwright", standalone_mode=False
    )
    if status == STOPPED:
        return _tell("stopped", STOPPED)
    return status if isinstance(status, int) else DONE


def _pipe_closed() -> int:
    """The reader of a pipe (``head``) has seen enough: nothing is wrong, and no more is written."""
    sys.stdout = Path(os.devnull).open("w", encoding="utf-8")  # noqa: SIM115
    return DONE


def _usage(error: typer.TyperException) -> str:
    message = error.format_message().strip().removesuffix(".")
    context = getattr(error, "ctx", None)
    command = context.command_path if context is not None else "tanwright"
    return f"{message}; see {command} --help"


def _tell(message: str, status: int) -> int:
    print("tanwright:", " ".join(message.split()), file=sys.stderr)
    return status
