"""Recipes given by others, as worked examples of the plan: does its 90 % range hold their figure?

They lie in reference/published/recipes.toml, each with a sheet, the figure as printed, what had to
be assumed, and, where the plan misses it, why.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from tanwright.errors import DataError
from tanwright.planning.answers import Answer
from tanwright.planning.outside_checks import FOLDER, citations
from tanwright.planning.plan import make_plan
from tanwright.planning.setting import Notify
from tanwright.planning.sheet_reader import sheet_from_options

QUANTITIES = ("material_kg", "days")
START = date(2026, 3, 1)
MEMBERS = 300


@dataclass(frozen=True)
class Recipe:
    """One recipe; ``published`` is its lowest and highest figure in the unit of ``quantity``."""

    id: str
    title: str
    source: str
    as_printed: str
    assumed: str
    quantity: str
    published: tuple[float, float]
    miss: str
    sheet: Mapping[str, object]


@dataclass(frozen=True)
class RecipeCheck:
    """A recipe beside the plan of its sheet.

    Attributes
    ----------
    ours_low, ours_middle, ours_high:
        5th, 50th and 95th percentile; infinite where the skins are not done within the horizon.
    holds:
        Whether the range holds the middle (geometric mean) of the printed figure.
    """

    recipe: Recipe
    citation: str
    ours_low: float
    ours_middle: float
    ours_high: float

    @property
    def middle(self) -> float:
        """Geometric mean of the printed lowest and highest figure."""
        low, high = self.recipe.published
        return math.sqrt(low * high)

    @property
    def holds(self) -> bool:
        """Whether the range holds the middle of the printed figure."""
        return self.ours_low <= self.middle <= self.ours_high


def recipes(folder: Path = FOLDER) -> tuple[Recipe, ...]:
    """All recipes in their order. Raises DataError naming the recipe that breaks a rule."""
    raw = tomllib.loads((folder / "recipes.toml").read_text(encoding="utf-8"))
    found = tuple(_recipe(entry) for entry in raw.get("recipe", ()))
    ids = [recipe.id for recipe in found]
    for name in ids:
        if ids.count(name) > 1:
            raise DataError(f"two recipes have the id {name}", place="recipes.toml")
    return found


def _recipe(entry: Mapping[str, object]) -> Recipe:
    place = f"recipes.toml recipe {entry.get('id', '?')}"
    needed = ("id", "title", "source", "as_printed", "assumed", "quantity", "published", "sheet")
    for name in needed:
        if not entry.get(name):
            raise DataError(f"{name} is missing", place=place)
    published, sheet = entry["published"], entry["sheet"]
    if (
        not isinstance(published, list)
        or len(published) != 2
        or not 0.0 < float(published[0]) <= float(published[1])
    ):
        raise DataError(
            "published is not a rising pair", place=place, remedy="write [lowest, highest]"
        )
    if entry["quantity"] not in QUANTITIES or not isinstance(sheet, dict):
        raise DataError(
            "quantity or sheet cannot be read",
            place=place,
            remedy="quantity is one of " + ", ".join(QUANTITIES),
        )
    texts = {name: str(entry[name]) for name in needed[:6]}
    return Recipe(
        **texts,
        published=(float(published[0]), float(published[1])),
        miss=str(entry.get("miss", "")),
        sheet=sheet,
    )


def _quiet(message: str) -> None:
    """Tell nobody."""


def check_recipe(recipe: Recipe, answer: Answer) -> RecipeCheck:
    """Read the recipe's amount or time off the plan of its sheet."""
    if recipe.quantity == "material_kg":
        need = answer.needs[0].need_kg
        low, middle, high = need.p05, need.p50, need.p95
    else:
        ends = (answer.finish.p05, answer.finish.p50, answer.finish.p95)
        low, middle, high = (math.inf if d is None else float((d - START).days) for d in ends)
    return RecipeCheck(recipe, citations()[recipe.source], low, middle, high)


def plan_of(recipe: Recipe, *, members: int = MEMBERS, seed: int = 1) -> Answer:
    """The plan of the recipe's sheet, begun on 1 March."""
    aim = recipe.sheet.get("aim", {})
    tables = {**recipe.sheet, "aim": {**(aim if isinstance(aim, dict) else {}), "start": START}}
    return make_plan(
        sheet_from_options(tables, today=START), today=START, members=members, seed=seed
    )


def run_recipes(
    *, members: int = MEMBERS, seed: int = 1, progress: Notify = _quiet
) -> tuple[RecipeCheck, ...]:
    """Every recipe beside its plan; one to three seconds for each sheet."""
    plans: dict[str, Answer] = {}
    done = []
    for recipe in recipes():
        sheet = repr(recipe.sheet)
        if sheet not in plans:
            progress(f"planning {recipe.title}")
            plans[sheet] = plan_of(recipe, members=members, seed=seed)
        done.append(check_recipe(recipe, plans[sheet]))
    return tuple(done)
