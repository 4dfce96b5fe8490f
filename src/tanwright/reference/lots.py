"""One gathered batch of a material, and what its history does to the belief about it."""

from __future__ import annotations

from dataclasses import dataclass

from tanwright.errors import InputError
from tanwright.reference.loader import Row, table
from tanwright.reference.materials import Material

STATES = ("dry", "fresh")
TRUNK_PARTS = ("bottom", "middle", "top", "branches", "inner", "outer")
TREE_AGES = ("young", "middle", "old")
LIGHTS = ("open", "shade")
SOILS = ("limestone", "other")
GRINDS = ("coarse", "fine")


@dataclass(frozen=True)
class Lot:
    """What is known of one gathered batch; everything may be left out.

    Attributes
    ----------
    state:
        ``"dry"`` (air-dry) or ``"fresh"``.
    part_of_trunk:
        ``"bottom"``, ``"middle"``, ``"top"``, ``"branches"``, ``"inner"`` or ``"outer"``.
    tree_age:
        Years, or ``"young"``, ``"middle"``, ``"old"``.
    light:
        ``"open"`` or ``"shade"``.
    rained_on:
        Rain fell on it after it was peeled or dried.
    age_years:
        Years in store.
    mouldy:
        Mould is seen or smelled.
    grind:
        ``"coarse"`` or ``"fine"``.
    soil:
        ``"limestone"`` or ``"other"``.

    Raises InputError for a word or a number that cannot be.
    """

    state: str = "dry"
    part_of_trunk: str | None = None
    tree_age: float | str | None = None
    light: str | None = None
    rained_on: bool | None = None
    age_years: float | None = None
    mouldy: bool | None = None
    grind: str | None = None
    soil: str | None = None

    def __post_init__(self) -> None:
        _one_of("state", self.state, STATES)
        _one_of("part_of_trunk", self.part_of_trunk, TRUNK_PARTS)
        _one_of("light", self.light, LIGHTS)
        _one_of("grind", self.grind, GRINDS)
        _one_of("soil", self.soil, SOILS)
        if isinstance(self.tree_age, str):
            _one_of("tree_age", self.tree_age, TREE_AGES)
        elif self.tree_age is not None and not 0.0 < self.tree_age <= 3000.0:
            raise InputError(
                f"a tree cannot be {self.tree_age:g} years old",
                place="tree_age",
                remedy="write its age in years, or young, middle or old",
            )
        if self.age_years is not None and not 0.0 <= self.age_years <= 200.0:
            raise InputError(
                f"{self.age_years:g} years in store cannot be",
                place="age_years",
                remedy="write the years since it was gathered",
            )


@dataclass(frozen=True)
class Modifier:
    """Effect of one fact about a lot, in log-odds of the tannin share."""

    name: str
    log_shift: float
    extra_spread: float
    reason: str
    source: str

    @property
    def sources(self) -> tuple[str, ...]:
        """Citation keys."""
        return tuple(self.source.split(";"))


def modifiers_for(item: Material, lot: Lot) -> tuple[Modifier, ...]:
    """Modifiers that a lot's history calls for; those that change nothing are left out."""
    found = []
    for field, value in _facts(item, lot).items():
        row = _first_fitting(item, "modifiers", field, value)
        if row is None:
            continue
        part = Modifier(
            name=row.text("id"),
            log_shift=row.number("log_shift"),
            extra_spread=row.number("extra_spread"),
            reason=row.text("reason"),
            source=row.text("source"),
        )
        if part.log_shift or part.extra_spread:
            found.append(part)
    return tuple(found)


def _facts(item: Material, lot: Lot) -> dict[str, str]:
    facts: dict[str, str | None] = {
        "rained_on": _yes_no(lot.rained_on),
        "tree_age": _age_word(item, lot.tree_age),
        "part_of_trunk": lot.part_of_trunk,
        "light": lot.light,
        "soil": lot.soil,
        "stored": _stored(lot.age_years),
        "mouldy": _yes_no(lot.mouldy),
        "grind": lot.grind,
    }
    return {field: value for field, value in facts.items() if value is not None}


def _age_word(item: Material, age: float | str | None) -> str | None:
    if age is None or isinstance(age, str):
        return age
    for row in table("tree_ages"):
        if _fits(item, row.text("scope")):
            if age < row.number("young_below_y"):
                return "young"
            return "old" if age > row.number("old_above_y") else "middle"
    return None


def _first_fitting(item: Material, name: str, field: str, value: str) -> Row | None:
    for row in table(name):
        if row.text("field") != field or row.text("value") not in (value, "any"):
            continue
        if _fits(item, row.text("scope")):
            return row
    return None


def _fits(item: Material, scope: str) -> bool:
    kind, _, word = scope.partition(":")
    if kind == "any":
        return True
    have = {"part": item.part, "genus": item.genus, "species": item.scientific_name}
    return have[kind] == word


def _yes_no(flag: bool | None) -> str | None:
    return None if flag is None else ("yes" if flag else "no")


def _stored(years: float | None) -> str | None:
    if years is None:
        return None
    if years < 1.0:
        return "short"
    return "middle" if years <= 3.0 else "long"


def _one_of(field: str, value: str | None, allowed: tuple[str, ...]) -> None:
    if value is not None and value not in allowed:
        raise InputError(
            f'{field} "{value}" is not known', place=field, remedy="write " + ", ".join(allowed)
        )
