"""``tanwright trial``: trials on offcuts, from the cutting table to the decision."""

from __future__ import annotations

import typer

from tanwright.cli.trial_analyse import analyse_command
from tanwright.cli.trial_design import design_command
from tanwright.cli.trial_map import map_command


def register(app: typer.Typer) -> None:
    """Hang the commands on ``app``."""
    trial = typer.Typer(
        name="trial",
        rich_markup_mode=None,
        invoke_without_command=True,
        context_settings={"help_option_names": ["-h", "--help"]},
    )

    @trial.callback()
    def no_command(context: typer.Context) -> None:
        """Trials on offcuts: map the patches, design the trial, analyse what was seen."""
        if context.invoked_subcommand is None:
            typer.echo(context.get_help())

    trial.command("map")(map_command)
    trial.command("design")(design_command)
    trial.command("analyse")(analyse_command)
    app.add_typer(trial)
