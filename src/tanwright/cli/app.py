"""Puts the commands together, one module each."""

from __future__ import annotations

from typing import Annotated

import typer

from tanwright.cli import (
    almanac,
    checks,
    choose,
    gather,
    home_test,
    keeping,
    materials,
    occurrences,
    plan,
    serve,
    strength,
    strengthen,
    tree,
    trial,
    try_pile,
    version,
)

COMMANDS = (
    plan,
    try_pile,
    strengthen,
    materials,
    choose,
    almanac,
    home_test,
    occurrences,
    tree,
    gather,
    strength,
    checks,
    trial,
    serve,
    keeping,
    version,
)


def make_app() -> typer.Typer:
    """The whole application; every command module hangs its own commands on it."""
    app = typer.Typer(
        name="tanwright",
        rich_markup_mode=None,
        add_completion=False,
        pretty_exceptions_enable=False,
        context_settings={"help_option_names": ["-h", "--help"]},
    )

    @app.callback(invoke_without_command=True)
    def tanwright(
        context: typer.Context,
        show_version: Annotated[
            bool, typer.Option("--version", help="Print the version and stop.")
        ] = False,
        debug: Annotated[
            bool, typer.Option("--debug", help="Show the whole traceback of any error.")
        ] = False,
    ) -> None:
        """Plan and forecast vegetable tanning: how much bark, which liquors, how long.

        Quantities take any unit ("2.4 kg", "5 lb 4 oz", "20 L", "60 F", "12 Bk"); put them in
        quotes. Every command prints JSON with --json. Exit status: 0 done, 1 an outside check
        failed, 2 something to put right, 70 a fault of tanwright's own, 130 stopped.
        """
        if show_version:
            from importlib.metadata import version as version_of

            typer.echo(version_of("tanwright"))
            raise typer.Exit
        if context.invoked_subcommand is None:
            typer.echo(context.get_help())

    for module in COMMANDS:
        module.register(app)
    return app
