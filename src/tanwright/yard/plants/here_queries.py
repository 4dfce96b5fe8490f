"""What the page of what grows here shows: plants seen near, plants of the region, imports."""

from __future__ import annotations

import calendar
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from typing import Final

import numpy as np
from django.db.models import Q
from django.urls import reverse
from django.utils import timezone

from tanwright.planning.occurrences import Seen, Tallies, near
from tanwright.planning.occurrences.distances import distance_words
from tanwright.planning.occurrences.naming import Match
from tanwright.reference import world
from tanwright.reference.cautions import Caution, cautions_for
from tanwright.reference.materials import PARTS, Material, materials
from tanwright.science.sphere import degrees_around
from tanwright.units import System
from tanwright.yard.plants.models import HomePlace, Sighting, SightingsImport
from tanwright.yard.plants.wording import TRACKS
from tanwright.yard.shell.templatetags.words import day

MONTHS: Final = tuple(calendar.month_name[month] for month in range(1, 13))
_LETTERS: Final = "JFMAMJJASOND"
_TRACK_ORDER: Final = {track: place for place, track in enumerate(TRACKS)}
_BAR_HEIGHT: Final = 24.0
MOST_COUNTED: Final = 4
MOST_IMPORTS: Final = 100
OVER_SHOWN_DAYS: Final = 7
"""How long an import that failed or was withdrawn stays on the list."""
_counted: dict[tuple[object, ...], tuple[Seen, ...]] = {}
_OF_PARTS: Final = {word for part in PARTS for word in part.split("-")} | {
    "leaves", "cones", "galls", "pods", "husk", "husks", "hulls", "rind", "berries", "shell",
    "shells", "skins", "nuts", "inner", "burr", "burrs", "seed", "seeds", "marc", "grounds", "used",
}  # fmt: skip


@dataclass(frozen=True)
class Bar:
    """One month's bar in a picture 12 units wide and 24 high, and its number in words."""

    x: int
    y: float
    height: float
    letter: str
    month: str
    count: int


@dataclass(frozen=True)
class Part:
    """One material of a plant."""

    id: str
    url: str
    name: str
    avoid: bool


@dataclass(frozen=True)
class SeenRow:
    """A plant seen near."""

    taxon: str
    name: str
    parts: tuple[Part, ...]
    avoid: bool
    often: str
    nearest: str
    latest: str
    bars: tuple[Bar, ...]
    months_said: str


@dataclass(frozen=True)
class Place:
    """The yard's own place in words."""

    name: str
    where: str
    position: str
    geo: str
    reach: str
    code: str
    knows_region: bool
    has_position: bool


@dataclass(frozen=True)
class ImportRow:
    """An import on the list."""

    url: str
    withdraw_url: str
    name: str
    note: str
    chip: str
    late: bool
    can_withdraw: bool


def seen_near(home: HomePlace | None) -> tuple[Seen, ...]:
    """Plants seen within reach of the yard, by all imports that count; none without a position.

    Counted anew when an import, the position or the reach has changed, else one small query.
    """
    if home is None or home.latitude is None or home.longitude is None:
        return ()
    counting = SightingsImport.objects.filter(state=SightingsImport.State.DONE).order_by("pk")
    key = (
        home.latitude, home.longitude, home.reach_km, *counting.values_list("pk", "ended_at"),
    )  # fmt: skip
    found = _counted.get(key)
    if found is None:
        found = near(_tallies(home), home.latitude, home.longitude, home.reach_km)
        while len(_counted) >= MOST_COUNTED:
            _counted.pop(next(iter(_counted)), None)
        _counted[key] = found
    return found


def _tallies(home: HomePlace) -> Tallies:
    """What is kept of the box around the yard."""
    assert home.latitude is not None
    assert home.longitude is not None
    height, width = degrees_around(home.latitude, home.reach_km)
    rows = list(
        Sighting.objects.filter(
            _between(home.longitude - width, home.longitude + width),
            source__state=SightingsImport.State.DONE,
            latitude__range=(home.latitude - height, home.latitude + height),
        ).values_list("taxon", "level", "latitude", "longitude", "month", "count", "latest")
    )
    index: dict[Match, int] = {}
    plant = [index.setdefault(Match(row[0], row[1]), len(index)) for row in rows]  # type: ignore[arg-type]
    return Tallies(
        plants=tuple(index),
        plant=np.array(plant, np.int64),
        latitude=np.array([row[2] for row in rows], np.float64),
        longitude=np.array([row[3] for row in rows], np.float64),
        month=np.array([row[4] for row in rows], np.int64),
        count=np.array([row[5] for row in rows], np.int64),
        latest=np.array([row[6].toordinal() for row in rows], np.int64),
    )


def _between(west: float, east: float) -> Q:
    """Longitudes from west to east, over the date line too."""
    if east - west >= 360.0:
        return Q()
    if west < -180.0:
        return Q(longitude__gte=west + 360.0) | Q(longitude__lte=east)
    if east >= 180.0:
        return Q(longitude__gte=west) | Q(longitude__lte=east - 360.0)
    return Q(longitude__range=(west, east))


def place_of(home: HomePlace | None, system: System) -> Place | None:
    """The yard's place as the page says it, None when nobody has said it."""
    if home is None or not (home.place_code or home.has_position):
        return None
    where = world.place(home.place_code).name if home.place_code else ""
    position = f"{home.latitude:.2f}, {home.longitude:.2f}" if home.has_position else ""
    return Place(
        name=home.name or "the yard",
        where=where,
        position=position,
        geo=f"geo:{home.latitude:g},{home.longitude:g}" if home.has_position else "",
        reach=distance_words(home.reach_km, system),
        code=home.place_code,
        knows_region=bool(home.place_code) and home.place_code != world.WORLD,
        has_position=home.has_position,
    )


def seen_row(seen: Seen, system: System) -> SeenRow:
    """A plant as the list shows it."""
    found = seen.materials
    of_genus = seen.level == "genus"
    named = [] if of_genus else [item for item in found if item.known]
    peak = max(seen.months)
    told = [(MONTHS[at][:3], count) for at, count in enumerate(seen.months) if count]
    return SeenRow(
        taxon=seen.taxon,
        name=_plain_name(named)
        if named
        else f"{seen.taxon}, kind not told"
        if of_genus
        else seen.taxon,
        parts=tuple(_part(item) for item in named),
        avoid=bool(named) and not any(item.may_be_suggested for item in named),
        often="once" if seen.count == 1 else f"{seen.count:,} times".replace(",", " "),
        nearest=_nearest(seen.nearest_km, system),
        latest=_day(seen.latest),
        bars=tuple(
            Bar(
                x=at,
                y=round(_BAR_HEIGHT - _BAR_HEIGHT * count / peak, 1),
                height=round(_BAR_HEIGHT * count / peak, 1),
                letter=_LETTERS[at],
                month=MONTHS[at],
                count=count,
            )
            for at, count in enumerate(seen.months)
        ),
        months_said=", ".join(f"{month} {count}" for month, count in told),
    )


def _nearest(km: float, system: System) -> str:
    # A cell is 1.1 km high: nothing nearer can be told apart.
    return "close by" if km < 1.0 else f"nearest about {distance_words(km, system)} off"


def _day(when: date) -> str:
    today = timezone.localdate()
    return day(when) if (today - when).days < 300 else f"{when:%B} {when.year}"


def _plain_name(items: Sequence[Material]) -> str:
    """Everyday name of a plant without the part that is used: ``"sweet chestnut"``."""
    names = [name for item in items for name in item.common_names]
    whole = [name for name in names if not _OF_PARTS & set(re.findall("[a-z]+", name.lower()))]
    if whole:
        return whole[0]
    bare = re.sub(r"\s*\(.*\)", "", names[0]).split()
    while len(bare) > 1 and bare[-1].lower() in _OF_PARTS:
        bare.pop()
    return " ".join(bare)


def _part(item: Material) -> Part:
    return Part(
        id=item.id,
        url=reverse("plants:plant", args=[item.id]),
        name=item.part.replace("-", " "),
        avoid=not item.may_be_suggested,
    )


@dataclass(frozen=True)
class RegionRow:
    """A plant that should grow in the region and was not seen near."""

    name: str
    taxon: str
    parts: tuple[Part, ...]
    track: str


@lru_cache(maxsize=16)
def _of_region(code: str) -> tuple[RegionRow, ...]:
    where = world.place(code)
    grouped: dict[str, list[Material]] = {}
    for item in materials():
        if item.may_be_suggested and world.grows_in(item, where):
            grouped.setdefault(item.scientific_name, []).append(item)
    rows = []
    for taxon, items in grouped.items():
        best = min(items, key=lambda item: _TRACK_ORDER[item.track_record])
        track = best.track_record
        rows.append(RegionRow(_plain_name(items), taxon, tuple(map(_part, items)), track))
    return tuple(sorted(rows, key=lambda row: (_TRACK_ORDER[row.track], row.name.lower())))


def of_region_unseen(home: HomePlace | None, seen: Iterable[Seen]) -> tuple[RegionRow, ...]:
    """Plants of the yard's region by the reference that are not among ``seen``, the best proved
    first; none when no region is told."""
    if home is None or home.place_code in ("", world.WORLD):
        return ()
    taken = {item.taxon for item in seen if item.level == "species"}
    return tuple(row for row in _of_region(home.place_code) if row.taxon not in taken)


def gathering_cautions() -> tuple[Caution, ...]:
    """What goes for all gathering."""
    return cautions_for(["step:gather", "protected-plant", "look-alike"])


def imports() -> list[ImportRow]:
    """Imports that count or are being read, and what went wrong lately, the newest first."""
    over = (SightingsImport.State.FAILED, SightingsImport.State.WITHDRAWN)
    lately = timezone.now() - timedelta(days=OVER_SHOWN_DAYS)
    shown = SightingsImport.objects.exclude(state__in=over, begun_at__lt=lately)
    return [import_row(item) for item in shown[:MOST_IMPORTS]]


def import_row(item: SightingsImport) -> ImportRow:
    """An import as a line of the list."""
    state = SightingsImport.State(item.state)
    done = state == SightingsImport.State.DONE
    if done:
        note = f"{_number(item.matched)} of {_number(item.rows_read)} records counted"
        if item.first_day and item.last_day:
            note += f", {_years(item.first_day.year, item.last_day.year)}"
    elif item.is_running:
        note = f"{_number(item.rows_read)} records so far"
    else:
        note = f"{item.problem.get('what', '')}" if item.problem else "let go"
    return ImportRow(
        url=reverse("plants:here-reading", args=[item.pk]),
        withdraw_url=reverse("plants:here-withdraw", args=[item.pk]),
        name=item.file_name,
        note=note,
        chip="" if done else state.label,
        late=state == SightingsImport.State.FAILED,
        can_withdraw=done,
    )


def _years(first: int, last: int) -> str:
    return str(first) if first == last else f"{first} to {last}"


def _number(count: int) -> str:
    return f"{count:,}".replace(",", " ")


@dataclass(frozen=True)
class ReadingPage:
    """How an import goes or went."""

    percent: int
    causes: tuple[tuple[str, str], ...]
    first: tuple[tuple[int, str], ...]
    more: int
    plants: str
    rows: str
    matched: str
    genus_only: str
    others: str
    refused: str


def reading_page(item: SightingsImport) -> ReadingPage:
    """The numbers of an import as its page says them."""
    told = item.refusals or {}
    first: Sequence[tuple[int, str]] = told.get("first", ())
    species = (
        item.sightings.filter(level=Sighting.Level.SPECIES).values("taxon").distinct().count()
        if item.state == SightingsImport.State.DONE
        else 0
    )
    return ReadingPage(
        percent=round(100 * item.share_read),
        causes=tuple((cause, _number(rows)) for cause, rows in told.get("causes", {}).items()),
        first=tuple((line, cause) for line, cause in first),
        more=item.refused - len(first),
        plants=_number(species),
        rows=_number(item.rows_read),
        matched=_number(item.matched),
        genus_only=_number(item.genus_only),
        others=_number(item.others),
        refused=_number(item.refused),
    )
