"""Reads what was seen and measured during a tannage from a CSV file.

The header holds ``date, kind, value, unit, place, note``; ``at`` (temperature of the liquor when it
was read), ``material`` (of the liquor put in) and ``skin`` (which skin was cut or weighed) may be
added.  Values that are far from what the tannage should show are kept: the engine tells of them.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Final, cast

from tanwright import units
from tanwright.errors import InputError
from tanwright.planning import reading_words as words
from tanwright.planning.looks import find_liquor_look, liquor_looks
from tanwright.planning.reading_rows import COLUMNS, Row, header_of
from tanwright.planning.readings import (
    KINDS,
    Acidity,
    Cut,
    Event,
    How,
    Kind,
    LiquorLook,
    Reading,
    Readings,
    Scale,
    Seen,
    Strength,
    Strengthened,
    Warmth,
    Weighed,
)
from tanwright.planning.sheet_fields import did_you_mean

if TYPE_CHECKING:
    from tanwright.planning.sheet import Sheet

__all__ = ["COLUMNS", "parse_readings", "read_readings"]

MOST_DAYS: Final = 3 * 365
"""No skin lies longer in its liquors: a later reading has a slip in its year."""
COLDEST_C, WARMEST_C = -40.0, 60.0
HEAVIEST_KG: Final = 200.0


def read_readings(path: Path, *, start: date | None, sheet: Sheet | None = None) -> Readings:
    """Read and check the readings in the CSV file ``path``.

    Parameters
    ----------
    path:
        The file; comma, semicolon or tab between the columns, UTF-8.
    start:
        First day of the tannage; a reading before it is refused. ``None`` if nobody said: then
        the first reading stands for it.
    sheet:
        Its containers and the names of its plants may be used in the file.

    Raises
    ------
    InputError
        File missing, not CSV, or a cell that cannot be used (with line and column).
    """
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        raise InputError(
            "there is no such file", place=str(path), remedy="see docs/sheet.md for how to write it"
        ) from None
    except IsADirectoryError:
        raise InputError(
            "this is a folder, not a readings file", place=str(path), remedy="name the CSV in it"
        ) from None
    except UnicodeDecodeError:
        raise InputError(
            "this is not UTF-8 text", place=str(path), remedy="save it as CSV with UTF-8"
        ) from None
    except OSError as error:
        raise InputError(
            f"cannot be read ({error.strerror})", place=str(path), remedy="check its permissions"
        ) from None
    return parse_readings(text, source=path.name, start=start, sheet=sheet)


def parse_readings(
    text: str,
    *,
    source: str,
    start: date | None,
    sheet: Sheet | None = None,
) -> Readings:
    """The readings in ``text``; see :func:`read_readings`. Raises InputError."""
    first = text.split("\n", 1)[0]
    comma = max(",;\t", key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=comma, strict=True)
    rows: list[Reading] = []
    notes: list[str] = []
    before: dict[tuple[str, ...], int] = {}
    header: list[str] | None = None
    line = 1
    try:
        for cells in reader:
            at, line = line, reader.line_num + 1
            if not any(cell.strip() for cell in cells) or cells[0].lstrip().startswith("#"):
                continue
            if header is None:
                header = header_of(cells, f"{source}, line {at}")
                continue
            if any(cell.strip() for cell in cells[len(header) :]):
                raise InputError(
                    f"has {len(cells)} cells, but the header has {len(header)}",
                    place=f"{source}, line {at}",
                    remedy='put a text that holds a comma in double quotes, like "neck, left"',
                )
            row = Row(
                dict(zip(header, (c.strip() for c in cells), strict=False)), source, at, sheet
            )
            reading = _reading(row, start)
            key = (str(reading.when), reading.kind, *(row.get(c).lower() for c in COLUMNS[2:]))
            if key in before:
                notes.append(
                    f"{source}, line {at} says the same as line {before[key]}; it is counted once."
                )
                continue
            before[key] = at
            rows.append(reading)
    except csv.Error as error:
        raise InputError(
            f"not valid CSV: {error}",
            place=f"{source}, line {reader.line_num}",
            remedy="close every double quote on its line",
        ) from None
    if header is None:
        raise InputError(
            "there is no header line",
            place=source,
            remedy="begin with: date,kind,value,unit,place,note",
        )
    rows.sort(key=lambda reading: reading.when)
    if start is None and rows:
        first_day = rows[0].when.date()
        return parse_readings(text, source=source, start=first_day, sheet=sheet)
    return Readings(source, tuple(rows), tuple(notes))


def _reading(row: Row, start: date | None) -> Reading:
    said = row.get("kind").lower()
    if said not in KINDS:
        row.refuse("kind", f'"{row.get("kind")}" is not a kind', did_you_mean(said, KINDS))
    when = _when(row, start)
    if not row.get("value"):
        row.refuse("value", "is empty", f"say what the {said} was")
    return Reading(
        line=row.line,
        when=when,
        kind=cast("Kind", said),
        seen=_SEEN[said](row),
        written=f"{row.get('value')} {row.get('unit')}".strip(),
        place=row.get("place"),
        note=row.get("note"),
        skin=row.get("skin"),
    )


def _when(row: Row, start: date | None) -> datetime:
    text = row.get("date")
    try:
        when = datetime.fromisoformat(text)
    except ValueError:
        row.refuse("date", f'"{text}" is not a date', "write 2026-03-04 or 2026-03-04 18:00")
    when = when.replace(tzinfo=None)
    if start is None:
        return when
    if when.date() < start:
        row.refuse(
            "date",
            f"{when.date()} is before the start, {start}",
            "correct the date here, or start in [aim] of the sheet",
        )
    if (when.date() - start).days > MOST_DAYS:
        row.refuse(
            "date",
            f"{when.date()} is more than {MOST_DAYS // 365} years after the start, {start}",
            "correct the year here, or start in [aim] of the sheet",
        )
    return when


def _degrees(row: Row, column: str, text: str) -> float:
    """A temperature of water that liquor can have, °C."""
    try:
        degrees = units.temperature_c(text)
    except InputError as error:
        raise type(error)(
            error.what, place=row.place(column), remedy=error.remedy or 'write "18 C"'
        ) from None
    if not COLDEST_C <= degrees <= WARMEST_C:
        row.refuse(
            column,
            f'"{text}" is outside {COLDEST_C:g} to {WARMEST_C:g} °C',
            "check the unit (C or F) and the number",
        )
    return degrees


def _strength(row: Row) -> Strength:
    at = row.get("at")
    liquor_c: float | None = None
    if at:
        liquor_c = max(_degrees(row, "at", at), 0.0)
    found = words.strength_in(f"{row.get('value')} {row.get('unit')}")
    if not row.get("unit") and found is not None:
        return _on_scale(row, _gravity(*found), found[1], liquor_c)
    number = row.number("1.012 with unit sg, or 12 with unit bk")
    unit = row.get("unit").lower()
    if unit not in words.SCALES:
        row.refuse(
            "unit",
            f'"{row.get("unit")}" is not a scale of strength' if unit else "needs a scale",
            "write one of: bk, sg, tw, be, brix, g/L",
        )
    scale = words.SCALES[unit]
    return _on_scale(row, _gravity(number, scale), scale, liquor_c)


def _on_scale(row: Row, value: float, scale: str, liquor_c: float | None) -> Strength:
    """A strength that the scale can show at all; whether it is likely is for the forecast."""
    from tanwright.science import strength

    try:
        if scale == "solubles":
            strength.bk_from_solubles(value)
        else:
            strength.convert(value, scale, "sg")
    except InputError as error:
        raise type(error)(error.what, place=row.place("value"), remedy=error.remedy) from None
    return Strength(value, cast("Scale", scale), liquor_c)


def _gravity(number: float, scale: str) -> float:
    """A specific gravity read as "1012" means 1.012."""
    return number / 1000.0 if scale == "sg" and 900.0 <= number < 1300.0 else number


def _cut(row: Row) -> Cut:
    share = words.share_struck_through(row.get("value"), row.get("unit"))
    if share is None:
        row.refuse(
            "value",
            f'"{row.get("value")}" is not a share of the cut',
            'write 0.4, "40 %", "a third pale", "half", "through" or "nothing"',
        )
    if not 0.0 <= share <= 1.0:
        row.refuse(
            "value", f"{share:.3g} is not a share", "write a share from 0 to 1, or a per cent"
        )
    return Cut(share, words.side_of(row.get("place")), words.zone_of(row.get("place")))


def _look(row: Row) -> Seen:
    share = words.share_struck_through(row.get("value"), row.get("unit"))
    if share is not None and 0.0 <= share <= 1.0:
        return _cut(row)
    look = find_liquor_look(row.get("value"))
    if look is None:
        remedy = did_you_mean(row.get("value"), liquor_looks())
        row.refuse("value", f'"{row.get("value")}" is not a look', remedy)
    return LiquorLook(look)


def _acidity(row: Row) -> Acidity:
    ph = row.number("4.6")
    if row.get("unit").lower() not in ("", "ph"):
        row.refuse("unit", "a pH has no unit", "leave it empty")
    if not 0.0 <= ph <= 14.0:
        row.refuse("value", f"{ph:g} is not a pH", "write a pH from 0 to 14, like 4.6")
    return Acidity(ph)


def _warmth(row: Row) -> Warmth:
    row.quantity(units.temperature_c, "12 with unit C")
    return Warmth(_degrees(row, "value", f"{row.get('value')} {row.get('unit')}".strip()))


def _weighed(row: Row) -> Weighed:
    kg = row.quantity(units.mass_kg, "1.9 with unit kg")
    if kg <= 0.0:
        row.refuse("value", f'"{row.get("value")}" is not above nought', "write 1.9 with unit kg")
    if kg > HEAVIEST_KG:
        row.refuse(
            "value",
            f'"{row.get("value")} {row.get("unit")}" is more than any one skin weighs',
            "give one skin, and check the unit",
        )
    said = f"{row.get('place')} {row.get('note')}".lower()
    if "leather" in said:
        return Weighed(kg, "dry leather" if "dry" in said else "wet leather")
    return Weighed(kg, "pelt")


def _strengthened(row: Row) -> Strengthened:
    said = f"{row.get('place')} {row.get('note')}".lower()
    how: How = "swap" if "swap" in said else "top-up" if "top" in said else "unsaid"
    material_id, lot = row.material()
    if row.holds_kg():
        cooked = row.mass_kg()
        if cooked <= 0.0:
            row.refuse(
                "value", f'"{row.get("value")}" is not above nought', "write 1.5 with unit kg"
            )
        return Strengthened(row.volume_noted(said), how, None, material_id, cooked, lot)
    litres = row.volume_l()
    if litres <= 0.0:
        row.refuse("value", f'"{row.get("value")}" is not above nought', "write 5 with unit L")
    found = words.strength_in(said)
    liquor = None
    if found is None and not row.get("material") and re.search(r"\bwater\b", said):
        liquor = Strength(0.0, "bk", None)
    if found is not None:
        liquor = Strength(_gravity(*found), cast("Scale", found[1]), None)
    return Strengthened(litres, how, liquor, material_id, None, lot)


def _event(row: Row) -> Event:
    said = f"{row.get('value')} {row.get('unit')}".strip()
    what = words.event_in(said)
    if what is None:
        row.refuse(
            "value",
            f'"{row.get("value")}" is not an event',
            did_you_mean(row.get("value"), set(words.EVENTS.values())),
        )
    written = words.temperature_in(f"{said} {row.get('note')}")
    degrees = None if written is None else _degrees(row, "value", written)
    if what == "moved" and degrees is None:
        row.refuse("value", "does not say how warm it is there", 'write "moved to 8 C"')
    return Event(what, degrees)


_SEEN: Final[dict[str, Callable[[Row], Seen]]] = {
    "strength": _strength,
    "cut": _cut,
    "look": _look,
    "ph": _acidity,
    "temperature": _warmth,
    "weight": _weighed,
    "strengthened": _strengthened,
    "event": _event,
}
