"""When a material is gathered: windows of the year, moved to one's own latitude and height.

The days of the table are those of the place that its source speaks of; elsewhere they are moved by
Hopkins's law (:mod:`tanwright.science.phenology`).  That is a rule of thumb: a year can be two
weeks early or late (:data:`GIVE_OR_TAKE_DAYS`), so the tree has the last word.  Between the tropics
no date is given, only words.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

from tanwright.errors import InputError
from tanwright.reference import world
from tanwright.reference.loader import Row, table
from tanwright.reference.materials import Material, material
from tanwright.reference.sources import cite
from tanwright.science import phenology

GIVE_OR_TAKE_DAYS = 14
"""How early or late a year can be (from memory)."""
SHORTEST_DAYS = 7
"""A window that the law squeezes below a week is not told."""
FARTHEST_SHIFT_DAYS = 48
"""No window is moved farther, 12 degrees or some 1460 m: the law is not trusted so far (from
memory)."""
FARTHEST_LATITUDE = 72.0
"""Beyond it no window is told."""
FIRST_YEAR, LAST_YEAR = 1800, 2300
_TROPICAL = frozenset(
    (
        "West Tropical Africa", "West-Central Tropical Africa", "Northeast Tropical Africa",
        "East Tropical Africa", "South Tropical Africa", "Western Indian Ocean",
        "Arabian Peninsula", "Indian Subcontinent", "Indo-China", "Malesia", "Papuasia",
        "Southwestern Pacific", "South-Central Pacific", "Northwestern Pacific",
        "North-Central Pacific", "Mexico", "Central America", "Caribbean",
        "Northern South America", "Western South America", "Brazil",
    )
)  # fmt: skip
_PARTLY_TROPICAL = frozenset(("Arabian Peninsula", "Indian Subcontinent", "Mexico", "Brazil"))
_SOUTHERN = frozenset(
    (
        "Australia", "New Zealand", "Southern Africa", "South Tropical Africa",
        "Southern South America", "Brazil", "Subantarctic Islands", "Antarctic Continent",
    )
)  # fmt: skip
_IN_TROPICS = {
    "bark": "where seasons are wet and dry, bark comes away best in the rains, when the tree grows",
    "leaf": "where seasons are wet and dry, leaf is full grown towards the end of the rains",
    "twig-leaf": "where seasons are wet and dry, leaf is full grown towards the end of the rains",
    "pod": "pods are gathered ripe and dry, mostly in the dry season",
    "fruit": "fruit follows the rains: watch the trees",
    "fruit-hull": "hulls are left over in the season of the fruit",
    "root": "roots are dug when the plant rests, in the dry season",
    "rhizome": "rhizomes are dug when the plant rests, in the dry season",
    "root-bark": "roots are dug when the plant rests, in the dry season",
    "exudate": "gum and kino run after cuts in the dry season",
}


@dataclass(frozen=True)
class Window:
    """A stretch of days in which something is gathered.

    Attributes
    ----------
    what:
        What is done or taken, "bark slips".
    start, end:
        First and last day, both in it; "about", see :data:`GIVE_OR_TAKE_DAYS`.
    best:
        The time to choose when there is a choice.
    reason, note:
        Why then; years of plenty and what else to know.
    source:
        Citation keys, separated by ";".
    basis:
        For which place the days hold and how they came there, in words.
    """

    material_id: str
    what: str
    start: date
    end: date
    best: bool
    reason: str
    source: str
    note: str = ""
    basis: str = ""

    @property
    def all_year(self) -> bool:
        """Gathered at any time."""
        return (self.end - self.start).days >= 364

    @property
    def days(self) -> str:
        """The stretch in words: "about 15 April to 15 June", "at any time of the year"."""
        if self.all_year:
            return "at any time of the year"
        return f"about {_day(self.start)} to {_day(self.end)}"

    @property
    def cited(self) -> tuple[str, ...]:
        """Short references of the sources."""
        return cite(self.source.split(";"))

    def holds(self, day: date) -> bool:
        """Whether the day lies within."""
        return self.start <= day <= self.end


def lies_south(place: world.Place) -> bool | None:
    """Whether a place lies south of the equator, going by its regions; ``None`` where they lie on
    both sides or between the tropics."""
    inside = set(place.regions)
    if inside <= _SOUTHERN:
        return True
    return None if inside & (_SOUTHERN | _TROPICAL) else False


def lies_in_tropics(place: world.Place) -> bool:
    """Whether all of a place lies between the tropics, going by its regions."""
    return set(place.regions) <= _TROPICAL - _PARTLY_TROPICAL


def windows_for(
    material_id: str,
    *,
    latitude: float | None,
    altitude_m: float = 0.0,
    year: int,
    south: bool | None = None,
) -> tuple[Window, ...]:
    """Windows of the material that begin in the season of ``year``, by their first day.

    Parameters
    ----------
    latitude:
        Degrees, south negative; ``None`` leaves the days as the source has them, which
        ``basis`` says (turned by half a year for a plant of the south alone).
    altitude_m:
        Height above the sea; not looked at without a latitude.
    south:
        Half of the earth, looked at without a latitude only: days told for the other half are
        turned by half a year. ``None`` when it is not known.
    year:
        A window that runs over New Year belongs to the year in which the source has it begin.

    Returns
    -------
    Empty for what should not be gathered, where no season is known, between the tropics, and beyond
    72 degrees: :func:`in_words` tells those.

    Raises
    ------
    UnknownMaterialError
        For an unknown material.
    InputError
        For a place that is not on earth or a year outside 1800 to 2300.
    """
    item = material(material_id)
    check_year(year)
    if latitude is not None:
        phenology.days_later("spring", latitude, altitude_m, from_latitude=latitude)
    if not item.may_be_suggested:
        return ()
    if item.season == "any":
        return (_any_time(item, year),)
    found = [_window(item, row, latitude, altitude_m, year, south) for row in _rows_of(item)]
    return tuple(sorted((each for each in found if each), key=lambda each: each.start))


def windows_over(
    material_id: str,
    first: date,
    last: date,
    *,
    latitude: float | None,
    altitude_m: float = 0.0,
    south: bool | None = None,
) -> tuple[Window, ...]:
    """Windows of which a day lies between ``first`` and ``last``, by their first day.

    Windows that began the year before are with them; raises as :func:`windows_for`.
    """
    found = [
        window
        for year in range(first.year - 1, last.year + 2)
        for window in windows_for(
            material_id, latitude=latitude, altitude_m=altitude_m, year=year, south=south
        )
        if window.start <= last and window.end >= first
    ]
    return tuple(sorted(found, key=lambda window: window.start))


def check_year(year: int) -> None:
    """Raises InputError for a year outside 1800 to 2300."""
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise InputError(
            f"the year {year} cannot be used", place="year", remedy="write a year such as 2026"
        )


def in_words(
    material_id: str,
    *,
    latitude: float | None = None,
    altitude_m: float = 0.0,
    year: int,
    south: bool | None = None,
) -> str:
    """One sentence on when to gather, with days where they can be told and words where not.

    Raises as :func:`windows_for`.
    """
    item = material(material_id)
    if not item.may_be_suggested:
        return "Left alone: not to be gathered."
    windows = windows_for(
        material_id, latitude=latitude, altitude_m=altitude_m, year=year, south=south
    )
    best = [window for window in windows if window.best] or list(windows)
    if best:
        told = "; ".join(f"{window.what} {window.days}" for window in best)
        return f"{told[0].upper()}{told[1:]}."
    told = item.season or "no season is told for it"
    tropics = latitude is not None and phenology.in_tropics(latitude)
    if tropics or mostly_tropical(item):
        told = "; ".join(part for part in (told, _IN_TROPICS.get(item.part, "")) if part)
    return f"{told[0].upper()}{told[1:]}."


def mostly_tropical(item: Material) -> bool:
    """Whether half or more of the regions told for the plant are tropical, going by their names."""
    told = world.regions_of(item)
    return bool(told) and 2 * len(told & _TROPICAL) >= len(told)


@lru_cache(maxsize=4096)
def _rows_of(item: Material) -> tuple[Row, ...]:
    """Rows of the narrowest scope that fits; those for a whole part leave out tropical plants."""
    scopes = [
        f"material:{item.id}",
        f"species:{' '.join(item.scientific_name.split()[:2])}+part:{item.part}",
        f"genus:{item.genus}+part:{item.part}",
    ]
    if not mostly_tropical(item) or item.part == "wood":
        scopes.append(f"part:{item.part}")
    for scope in scopes:
        rows = tuple(row for row in table("gathering_windows") if row.text("scope") == scope)
        if rows:
            return rows
    return ()


def _window(
    item: Material,
    row: Row,
    latitude: float | None,
    altitude_m: float,
    year: int,
    south: bool | None,
) -> Window | None:
    start, end = _nominal(row, year)
    all_year = row.text("from_day") == "01-01" and row.text("to_day") == "12-31"
    turned = not all_year and _turned(item, row, latitude, south)
    if turned:
        start, end = _half_a_year_on(start), _half_a_year_on(start) + (end - start)
    if all_year:
        basis = "any place"
    elif latitude is None:
        basis = _basis_here(row, turned)
    else:
        if phenology.in_tropics(latitude) or abs(latitude) > FARTHEST_LATITUDE:
            return None
        moved = [_moved(row, end_of, latitude, altitude_m) for end_of in ("from", "to")]
        start, end = start + timedelta(days=moved[0]), end + timedelta(days=moved[1])
        if (end - start).days < SHORTEST_DAYS:
            return None
        basis = _basis_moved(row, moved[0], turned)
    return Window(
        material_id=item.id,
        what=row.text("what"),
        start=start,
        end=end,
        best=row.text("best") == "yes",
        reason=row.text("reason"),
        source=row.text("source"),
        note=row.text("note"),
        basis=basis,
    )


def _turned(item: Material, row: Row, latitude: float | None, south: bool | None) -> bool:
    """Whether the row was told for the other half of the earth."""
    if latitude is not None:
        south = latitude < 0.0
    if south is not None:
        return south != (row.number("latitude") < 0.0)
    told = world.regions_of(item)
    return bool(told) and told <= _SOUTHERN and row.number("latitude") > 0.0


def _any_time(item: Material, year: int) -> Window:
    return Window(
        material_id=item.id,
        what=item.part.replace("-", " "),
        start=date(year, 1, 1),
        end=date(year, 12, 31),
        best=False,
        reason="it is taken at any time",
        source=";".join(item.sources),
        basis="any place",
    )


def _nominal(row: Row, year: int) -> tuple[date, date]:
    (from_month, from_day), (to_month, to_day) = (
        (int(part) for part in row.text(name).split("-")) for name in ("from_day", "to_day")
    )
    start, end = date(year, from_month, from_day), date(year, to_month, to_day)
    return start, end if end >= start else date(year + 1, to_month, to_day)


def _moved(row: Row, end_of: str, latitude: float, altitude_m: float) -> int:
    days = phenology.days_later(
        row.text(f"{end_of}_moves"),  # type: ignore[arg-type]  # the table allows these words only
        latitude,
        altitude_m,
        from_latitude=row.number("latitude"),
        from_altitude_m=row.number("altitude_m"),
    )
    return round(min(max(float(days), -FARTHEST_SHIFT_DAYS), FARTHEST_SHIFT_DAYS))


def _half_a_year_on(day: date) -> date:
    """The same day of the month half a year on, within the same year where that can be."""
    month = (day.month + 5) % 12 + 1
    last = (date(day.year, month % 12 + 1, 1) - timedelta(days=1)).day
    return date(day.year, month, min(day.day, last))


def _basis_here(row: Row, turned: bool) -> str:
    half = ", turned by half a year" if turned else ""
    return f"as told for about {_degrees(row.number('latitude'))}{half}, not moved to your place"


def _basis_moved(row: Row, days: int, turned: bool) -> str:
    half = ", turned by half a year" if turned else ""
    told = f"told for about {_degrees(row.number('latitude'))}{half}"
    if not days:
        return told
    way = "later" if days > 0 else "earlier"
    plural = "" if abs(days) == 1 else "s"
    far = ", moved no farther" if abs(days) == FARTHEST_SHIFT_DAYS else ""
    return f"{told}, begins {abs(days)} day{plural} {way} here by Hopkins's rule{far}"


def _degrees(latitude: float) -> str:
    return f"{abs(latitude):g}° {'S' if latitude < 0 else 'N'}"


def _day(day: date) -> str:
    return f"{day.day} {day:%B}"
