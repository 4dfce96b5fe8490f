"""``tanwright checks``: what others printed, beside what tanwright makes of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from tanwright.cli.options import Json

if TYPE_CHECKING:
    from tanwright.planning.outside_checks import OutsideCheck

FAILED = 1


def register(app: typer.Typer) -> None:
    """Hang the command on ``app``."""

    @app.command()
    def checks(
        source: Annotated[
            str | None, typer.Option("--source", help="Only one source, such as procter1903.")
        ] = None,
        failed: Annotated[bool, typer.Option("--failed", help="Only those that fail.")] = False,
        recipes: Annotated[
            bool, typer.Option("--recipes", help="Recipes of handbooks and tanners instead.")
        ] = False,
        json: Json = False,
    ) -> None:
        """Every outside check: published, ours, difference, source.

        Ends with status 1 if any check fails, or if fewer than four in five recipes are held.
        """
        if recipes:
            from tanwright.cli.checks_recipes import show_recipes

            if not show_recipes(source, failed, json):
                raise typer.Exit(FAILED)
            return
        from tanwright.errors import InputError
        from tanwright.planning.outside_checks import run_checks

        every = run_checks()
        sources = list(dict.fromkeys(check.source for check in every))
        if source is not None and source not in sources:
            raise InputError(
                f'no check comes from "{source}"',
                place="--source",
                remedy=f"use one of {', '.join(sources)}",
            )
        asked = [check for check in every if source in (None, check.source)]
        shown = [check for check in asked if not (failed and check.ok)]
        misses = sum(not check.ok for check in asked)
        if json:
            from tanwright.cli.output import print_json

            print_json({"checks": shown, "agree": len(asked) - misses, "fail": misses})
        else:
            _print(shown, len(asked), misses)
        if misses:
            raise typer.Exit(FAILED)


def _print(shown: list[OutsideCheck], count: int, misses: int) -> None:
    from tanwright.cli.output import say, table

    for key in dict.fromkeys(check.source for check in shown):
        rows = [check for check in shown if check.source == key]
        say(f"{key}: {rows[0].citation}")
        table(
            ("quantity [id]", "published", "ours", "difference", ""),
            (
                (
                    f"{check.label} [{check.id}]",
                    f"{check.published} {check.unit}".strip(),
                    check.ours,
                    _difference(check.difference),
                    "agrees" if check.ok else "FAILS",
                )
                for check in rows
            ),
            whole=(3, 4),
        )
        say()
    say(
        f"{count} checks: {count - misses} agree, {misses} fail. "
        "--json adds inputs, tolerances and places."
    )


def _difference(difference: float | None) -> str:
    if difference is None:
        return "-"
    return "0" if abs(difference) < 1e-9 else f"{difference:+.2g}"
