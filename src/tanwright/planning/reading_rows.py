"""One row of a readings file: its cells by column, and amounts and plants in the sheet's words."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Final, NoReturn

from tanwright import units
from tanwright.errors import InputError
from tanwright.planning import reading_words as words
from tanwright.planning.containers import mass_in, volume_in
from tanwright.planning.sheet_fields import Convert, did_you_mean

if TYPE_CHECKING:
    from tanwright.planning.sheet import Container, Lot, Sheet

COLUMNS: Final = ("date", "kind", "value", "unit", "place", "note", "at", "material", "skin")
_NEEDED: Final = ("date", "kind", "value")


def header_of(cells: list[str], place: str) -> list[str]:
    """Names of the columns. Raises InputError for one that is unknown or lacks."""
    header = [cell.strip().lower() for cell in cells]
    for name in header:
        if name and name not in COLUMNS:
            raise InputError(
                f'there is no column "{name}"', place=place, remedy=did_you_mean(name, COLUMNS)
            )
    missing = [name for name in _NEEDED if name not in header]
    if missing:
        raise InputError(
            "the header lacks " + " and ".join(missing),
            place=place,
            remedy="begin with: date,kind,value,unit,place,note",
        )
    return header


class Row:
    """One row with its place, and what of the sheet its words may speak of."""

    def __init__(
        self, cells: Mapping[str, str], source: str, line: int, sheet: Sheet | None = None
    ) -> None:
        self._cells = cells
        self._source = source
        self.line = line
        self._lots: tuple[Lot, ...] = () if sheet is None else sheet.lots
        self.containers: tuple[Container, ...] = () if sheet is None else sheet.containers

    def get(self, column: str) -> str:
        return self._cells.get(column, "")

    def place(self, column: str) -> str:
        return f"{self._source}, line {self.line}, {column}"

    def refuse(self, column: str, what: str, remedy: str) -> NoReturn:
        raise InputError(what, place=self.place(column), remedy=remedy)

    def number(self, example: str) -> float:
        number = words.number_in(self.get("value"))
        if number is None:
            self.refuse("value", f'"{self.get("value")}" is not a number', f"write {example}")
        return number

    def quantity(self, convert: Convert, example: str) -> float:
        """Value and unit together, like ("2.1", "kg") or ("2.1 kg", "")."""
        text = f"{self.get('value')} {self.get('unit')}".strip()
        number = words.number_in(self.get("value"))
        if number is not None:
            text = f"{number!r} {self.get('unit')}".strip()
        try:
            return convert(text)
        except InputError as error:
            column = "unit" if number is not None and number >= 0.0 else "value"
            raise type(error)(
                error.what, place=self.place(column), remedy=error.remedy or f"write {example}"
            ) from None

    @property
    def amount(self) -> str:
        """Value and unit as written together."""
        return f"{self.get('value')} {self.get('unit')}".strip()

    def holds_kg(self) -> bool:
        """Whether the amount is a mass: in a unit, or in a container that was weighed."""
        if words.is_a_mass(self.amount):
            return True
        try:
            mass_in(self.amount, [item for item in self.containers if item.holds_kg])
        except InputError:
            return False
        return True

    def mass_kg(self) -> float:
        """The amount in kg, in units or in the person's own containers."""
        return self.quantity(lambda text: mass_in(text, self.containers), "1.5 with unit kg")

    def volume_l(self) -> float:
        """The amount in litres, in units or in the person's own containers."""
        return self.quantity(
            lambda text: volume_in(text, self.containers),
            "5 with unit L, or the material cooked with unit kg",
        )

    def volume_noted(self, said: str) -> float | None:
        """The first volume that ``said`` speaks of, in litres, or nothing."""
        written = words.volume_in(said)
        if written is not None:
            return units.volume_l(written, place=self.place("note"))
        for item in self.containers:
            counted = re.search(rf"(\d+(?:\.\d+)?)\s*{re.escape(item.name)}(?:e?s)?\b", said, re.I)
            if counted is not None and item.holds_l is not None:
                return float(counted[1]) * item.holds_l
        return None

    def material(self) -> tuple[str | None, int | None]:
        """Reference id of the material, and which lot of the sheet it is if it is one alone.

        The sheet's own names and ids come before those of the reference. Raises InputError.
        """
        said = " ".join(self.get("material").casefold().split())
        if not said:
            return None, None
        for fits in (_is_called, _is_short_for):
            found = [i for i in range(len(self._lots)) if fits(said, self._lots, i)]
            ids = {self._lots[i].material_id for i in found}
            if len(ids) == 1:
                return ids.pop(), found[0] if len(found) == 1 else None
        from tanwright.reference import materials

        try:
            return materials.find(self.get("material")).id, None
        except InputError as error:
            remedy = error.remedy
            if self._lots:
                remedy = f"write one of the sheet's: {', '.join(lot.name for lot in self._lots)}"
            raise type(error)(error.what, place=self.place("material"), remedy=remedy) from None


def _is_called(said: str, lots: Sequence[Lot], index: int) -> bool:
    """Whether ``said`` is the name or the id of a lot, or either with the number of the lot."""
    lot = lots[index]
    same_id = sum(other.material_id == lot.material_id for other in lots[: index + 1])
    same_name = sum(other.name.casefold() == lot.name.casefold() for other in lots[: index + 1])
    name, key = lot.name.casefold(), lot.material_id.casefold()
    return said in (name, key, f"{key}#{same_id}", f"{name}, lot {max(same_id, same_name)}")


def _is_short_for(said: str, lots: Sequence[Lot], index: int) -> bool:
    """Whether ``said`` is a word or more of the name of a lot ("oak" of "English oak bark")."""
    return f" {said} " in f" {lots[index].name.casefold()} "
