"""``tanwright checks --recipes``: recipes of others beside the engine's answer."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tanwright.planning.recipes import RecipeCheck

LEAST_HELD = 0.8
"""Share of the recipes that count whose figure the 90 % range must hold."""


def show_recipes(source: str | None, failed: bool, json: bool) -> bool:
    """Print every recipe, or those of one source or missed; whether enough of all are held.

    Raises InputError for a source without recipes.
    """
    from tanwright.cli.output import print_json
    from tanwright.cli.progress import shown_progress
    from tanwright.errors import InputError
    from tanwright.planning import recipes

    known = list(dict.fromkeys(recipe.source for recipe in recipes.recipes()))
    if source is not None and source not in known:
        raise InputError(
            f'no recipe comes from "{source}"',
            place="--source",
            remedy=f"use one of {', '.join(known)}",
        )
    with shown_progress(quiet=json) as tell:
        every = recipes.run_recipes(progress=tell)
    shown = [c for c in every if source in (None, c.recipe.source) and not (failed and c.holds)]
    counted = [check for check in every if check.recipe.counts]
    held = sum(check.holds for check in counted)
    if json:
        rows = [_row(check) for check in shown]
        print_json({"recipes": rows, "held": held, "missed": len(counted) - held})
    else:
        _print(shown, held, len(counted))
    return held >= LEAST_HELD * len(counted)


def _row(check: RecipeCheck) -> dict[str, object]:
    recipe = check.recipe
    return {
        "id": recipe.id,
        "title": recipe.title,
        "kind": recipe.kind,
        "source": recipe.source,
        "citation": check.citation,
        "locator": recipe.locator,
        "as_printed": recipe.as_printed,
        "published": recipe.published,
        "unit": recipe.unit,
        "landmark": recipe.landmark,
        "p05": check.low,
        "p50": check.median,
        "p95": check.high,
        "rank": check.rank,
        "holds": check.holds,
        "holds_middle": check.holds_middle,
        "counts": recipe.counts,
        "liquors": recipe.liquors,
        "assumed": recipe.assumed,
        "circular": recipe.circular,
        "miss": recipe.miss,
    }


def _print(shown: Sequence[RecipeCheck], held: int, counted: int) -> None:
    from tanwright.cli.output import say, table

    for key in dict.fromkeys(check.recipe.source for check in shown):
        rows = [check for check in shown if check.recipe.source == key]
        say(f"{key}: {rows[0].citation}")
        table(
            ("recipe [id]", "published", "ours (5 to 95 %)", ""),
            (
                (
                    f"{check.recipe.title} [{check.recipe.id}]",
                    _published(check),
                    f"{_figure(check.median)} ({_figure(check.low)} to {_figure(check.high)})",
                    _verdict(check),
                )
                for check in rows
            ),
            whole=(3,),
        )
        say()
    say(
        f"{counted} recipes count: {held} held by our 90 % range, {counted - held} missed. "
        "--json adds the words of the print, the liquors, what was assumed, and the reasons."
    )


def _published(check: RecipeCheck) -> str:
    low, high = check.recipe.published
    figure = _figure(low) if low == high else f"{_figure(low)} to {_figure(high)}"
    landmark = f" until {check.recipe.landmark}" if check.recipe.landmark else ""
    return f"{figure} {check.recipe.unit}{landmark}"


def _verdict(check: RecipeCheck) -> str:
    held = "held" if check.holds else "MISSED"
    return held if check.recipe.counts else f"{held}, not counted"


def _figure(value: float) -> str:
    return f"{value:.3g}" if math.isfinite(value) else "not done in the run"
