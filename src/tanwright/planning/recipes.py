"""Recipes given by others, as worked examples: does the engine's 90 % range hold their figure?

They lie in reference/published/recipes.toml, each with its skin and material as a sheet, the
liquors and the figure as printed, every assumption, and, where the engine misses it, why.  An
amount is worked out as a plan does; a time is run in the printed liquors, or, where none are
printed, in those that the plan would make.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import numpy as np

from tanwright.errors import DataError
from tanwright.planning.amounts import work_out
from tanwright.planning.course import Cook, Poured, spells_of
from tanwright.planning.outcome import Course, run_course
from tanwright.planning.outside_checks import FOLDER, citations
from tanwright.planning.plan import plan_course
from tanwright.planning.setting import Notify, Setting, settle
from tanwright.planning.sheet_reader import sheet_from_options
from tanwright.planning.worlds import make_worlds
from tanwright.science.belief.unknowns import Floats, draw
from tanwright.science.uptake.solver import Resolution

KINDS = ("handbook", "bulletin", "web", "memory")
QUANTITIES = ("amount", "days")
LANDMARKS = ("struck through", "tanned")
START = date(2026, 3, 1)
MEMBERS = 400

YARD_L_PER_KG = 20.0
"""Liquor to each kg of pelt in a yard whose pits are kept at their strength (our assumption)."""
PIECE_DAYS = 4.0
MOST_PIECES = 4
"""A stage whose strength rises is run in pieces of about four days, four at most."""
QUICK = Resolution(cells=16, steps_per_root_day=2.0, fewest_steps=2)
"""Within 2 % of the finish days of the resolution that plans use (docs/method/recipes.md)."""


@dataclass(frozen=True)
class Stage:
    """Liquors of one stage: strength at entry and exit in °Bk, and days in it."""

    from_bk: float
    to_bk: float
    days: float


@dataclass(frozen=True)
class Recipe:
    """One recipe.

    Attributes
    ----------
    kind:
        handbook, bulletin, web, or memory (nobody's printed figure).
    quantity, unit:
        An amount of the first material in ``unit``, or days.
    unit_kg:
        Kg of material that one ``unit`` stands for in the sheet; 1 for days.
    published:
        Lowest and highest figure in ``unit``.
    landmark:
        For days: struck through (the thickest place is coloured) or tanned (it is leather, and the
        mean degree is that of the aim).
    assumed:
        All that the source does not say.
    liquors:
        As printed; empty if none are.
    circular:
        Why the figure is no test of the engine; empty if it is one.
    miss:
        Why the middle of the figure lies outside the engine's range, where it does.
    sheet:
        Tables as in a sheet.
    """

    id: str
    title: str
    source: str
    locator: str
    kind: str
    as_printed: str
    quantity: str
    unit: str
    unit_kg: float
    published: tuple[float, float]
    landmark: str
    assumed: tuple[str, ...]
    liquors: tuple[Stage, ...]
    circular: str
    miss: str
    sheet: Mapping[str, object]

    @property
    def middle(self) -> float:
        """Geometric mean of the lowest and highest published figure."""
        return math.sqrt(self.published[0] * self.published[1])

    @property
    def counts(self) -> bool:
        """Whether it is somebody's own figure and a test of the engine."""
        return self.kind != "memory" and not self.circular


@dataclass(frozen=True)
class RecipeCheck:
    """A recipe beside the engine's answer in the recipe's unit.

    Attributes
    ----------
    low, median, high:
        5th, 50th and 95th percentile; infinite where the skins are not done within the run.
    rank:
        Share of the worlds at or below the middle of the published figure.
    """

    recipe: Recipe
    citation: str
    low: float
    median: float
    high: float
    rank: float

    @property
    def holds(self) -> bool:
        """Whether any part of the published figure lies in the 90 % range."""
        low, high = self.recipe.published
        return self.low <= high and low <= self.high

    @property
    def holds_middle(self) -> bool:
        """Whether the middle of the published figure lies in it: the harder question."""
        return self.low <= self.recipe.middle <= self.high


def recipes(folder: Path = FOLDER) -> tuple[Recipe, ...]:
    """All recipes in their order. Raises DataError naming the recipe that breaks a rule."""
    raw = tomllib.loads((folder / "recipes.toml").read_text(encoding="utf-8"))
    told = citations()
    found = tuple(_recipe(entry, told) for entry in raw.get("recipe", ()))
    ids = [recipe.id for recipe in found]
    for name in ids:
        if ids.count(name) > 1:
            raise DataError(f"two recipes have the id {name}", place="recipes.toml")
    return found


TEXTS = ("id", "title", "source", "locator", "kind", "as_printed", "quantity", "unit")
OPTIONAL = ("unit_kg", "landmark", "liquors", "circular", "miss")


def _recipe(entry: Mapping[str, object], told: Mapping[str, str]) -> Recipe:
    place = f"recipes.toml recipe {entry.get('id', '?')}"
    needed = (*TEXTS, "published", "assumed", "sheet")
    for name in needed:
        if not entry.get(name):
            raise DataError(f"{name} is missing", place=place)
    for name in entry:
        if name not in (*needed, *OPTIONAL):
            raise DataError(f"{name} is not a field of a recipe", place=place)
    texts = {name: str(entry[name]) for name in TEXTS}
    _one_of(texts["kind"], "kind", KINDS, place)
    _one_of(texts["quantity"], "quantity", QUANTITIES, place)
    _one_of(texts["source"], "source", tuple(told), place)
    landmark = str(entry.get("landmark", ""))
    if texts["quantity"] == "days":
        _one_of(landmark, "landmark", LANDMARKS, place)
    published, assumed = _numbers(entry["published"]), entry["assumed"]
    if len(published) != 2 or not 0.0 < published[0] <= published[1]:
        raise DataError(
            "published is not a rising pair", place=place, remedy="write [lowest, highest]"
        )
    unit_kg = _numbers([entry.get("unit_kg", 1.0)])
    if not unit_kg or unit_kg[0] <= 0.0:
        raise DataError("unit_kg is not a positive number", place=place)
    sheet = entry["sheet"]
    if not isinstance(sheet, dict) or not isinstance(assumed, list):
        raise DataError("sheet or assumed cannot be read", place=place)
    return Recipe(
        **texts,
        unit_kg=unit_kg[0],
        published=(published[0], published[1]),
        landmark=landmark,
        assumed=tuple(str(each) for each in assumed),
        liquors=_stages(entry.get("liquors", []), place),
        circular=str(entry.get("circular", "")),
        miss=str(entry.get("miss", "")),
        sheet=sheet,
    )


def _one_of(word: str, name: str, known: Sequence[str], place: str) -> None:
    if word not in known:
        raise DataError(
            f'unknown {name} "{word}"', place=place, remedy="use one of " + ", ".join(known)
        )


def _numbers(value: object) -> list[float]:
    """The numbers of a list; empty if it is none."""
    if not isinstance(value, list) or any(
        isinstance(each, bool) or not isinstance(each, int | float) for each in value
    ):
        return []
    return [float(each) for each in value]


def _stages(value: object, place: str) -> tuple[Stage, ...]:
    rows = [_numbers(row) for row in value] if isinstance(value, list) else [[]]
    if any(len(row) != 3 or min(row) < 0.0 or row[2] == 0.0 for row in rows):
        raise DataError(
            "liquors cannot be read", place=place, remedy="write [[from °Bk, to °Bk, days], ...]"
        )
    return tuple(Stage(*row) for row in rows)


def check_recipe(recipe: Recipe, *, members: int = MEMBERS, seed: int = 1) -> RecipeCheck:
    """Work the recipe out in ``members`` plausible worlds."""
    setting = settle(sheet_from_options(_tables(recipe), today=START))
    z = draw(members, setting.unknowns, np.random.default_rng(seed))
    if recipe.quantity == "amount":
        ours = work_out(make_worlds(setting, z), setting).need_kg[:, 0] / recipe.unit_kg
    else:
        ours = _days(recipe, setting, z)
    low, median, high = np.quantile(ours, (0.05, 0.5, 0.95), method="nearest")
    rank = float(np.mean(ours <= recipe.middle))
    citation = citations()[recipe.source]
    return RecipeCheck(recipe, citation, float(low), float(median), float(high), rank)


def _tables(recipe: Recipe) -> dict[str, object]:
    aim = recipe.sheet.get("aim", {})
    return {**recipe.sheet, "aim": {**(aim if isinstance(aim, dict) else {}), "start": START}}


def _days(recipe: Recipe, setting: Setting, z: Floats) -> Floats:
    """Days to the landmark, (m,): in the printed liquors, or in those of the plan."""
    worlds = make_worlds(setting, z)
    latest = max(recipe.published[1], sum(stage.days for stage in recipe.liquors))
    end_day = max(2.5 * latest, latest + 60.0)
    if recipe.liquors:
        pelt_kg = sum(skin.pelt.median * skin.count for skin in setting.skins)
        setting = replace(setting, vat_l=YARD_L_PER_KG * pelt_kg)
        course = yard_course(recipe.liquors, setting, end_day)
    else:
        course = plan_course(setting, worlds, work_out(worlds, setting))
    outcome = run_course(worlds, setting, course, end_day, resolution=QUICK)
    return outcome.through_day if recipe.landmark == LANDMARKS[0] else outcome.finish_day


def yard_course(liquors: Sequence[Stage], setting: Setting, end_day: float) -> Course:
    """The pits of a yard: the whole liquor changed at each rise of strength.

    After the last stage the skins stay at its strength, renewed at every half of the printed time.
    """
    vat = setting.vat_l
    changes: list[Poured] = []
    day = 0.0
    for stage in liquors:
        rises = stage.to_bk != stage.from_bk
        pieces = min(max(math.ceil(stage.days / PIECE_DAYS), 1), MOST_PIECES) if rises else 1
        for piece in range(pieces):
            share = (piece + 0.5) / pieces
            strength = stage.from_bk + share * (stage.to_bk - stage.from_bk)
            changes.append(Poured(day + piece * stage.days / pieces, vat, vat, strength))
        day += stage.days
    total = day
    while day < end_day:
        changes.append(Poured(day, vat, vat, liquors[-1].to_bk))
        day += 0.5 * total
    nothing = Cook(0.0, (0.0,) * len(setting.lots), vat)
    return Course(nothing, tuple(changes), spells_of(setting, end_day))


def _quiet(message: str) -> None:
    """Tell nobody."""


def run_recipes(
    *, members: int = MEMBERS, seed: int = 1, progress: Notify = _quiet
) -> tuple[RecipeCheck, ...]:
    """Every recipe beside the engine's answer; about ten seconds in all."""
    done = []
    for recipe in recipes():
        progress(f"working out {recipe.title}")
        done.append(check_recipe(recipe, members=members, seed=seed))
    return tuple(done)
