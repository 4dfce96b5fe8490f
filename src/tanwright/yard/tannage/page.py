"""Everything that the page of one vat shows, in the reader's words and units."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any, Final
from uuid import UUID

from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from tanwright.errors import DataError
from tanwright.planning.answers import Answer
from tanwright.planning.keeping import take_back
from tanwright.planning.pictures import draw_pictures
from tanwright.planning.renewal import sheet_of
from tanwright.planning.telling.retell import retold
from tanwright.planning.telling.told import Told, tell
from tanwright.planning.telling.voice import Voice, voice_for
from tanwright.reference import sources
from tanwright.units import System
from tanwright.yard.tannage.models import Forecast, Tannage
from tanwright.yard.tannage.readings import readings_of
from tanwright.yard.tannage.renewing import is_stale

REMARKS: Final = {"odd": "odd, but used", "set-aside": "left out"}
EARLY: Final = "left out: it is from before the skins went in"
DRAWN: Final = ("cut", "strength", "causes")


@dataclass(frozen=True)
class Drawn:
    """One picture, inline, with its words and a small table of its numbers."""

    name: str
    svg: SafeString
    title: str
    words: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Source:
    """One work cited."""

    key: str
    words: str


@dataclass(frozen=True)
class Page:
    """What the engine says of a vat now, told."""

    told: Told | None
    pictures: tuple[Drawn, ...]
    problem: Mapping[str, Any] | None
    stale: bool
    remarks: Mapping[UUID, str]
    asks_gate: bool
    made_at: Any = None
    problem_url: str = ""
    """The entry that the problem is about, where it is about one."""
    sources: tuple[Source, ...] = ()


def page_of(tannage: Tannage, system: System, today: date) -> Page:
    """The latest answer of ``tannage`` in words and pictures (2 queries)."""
    latest = tannage.forecasts.order_by("-made_at").first()
    stale = is_stale(tannage, latest)
    shown = latest
    if latest is not None and latest.answer is None:
        shown = tannage.forecasts.filter(answer__isnull=False).order_by("-made_at").first()
    problem = latest.problem if latest is not None else None
    answer = answer_of(shown)
    if shown is None or answer is None:
        about = _entry_of(tannage, problem)
        return Page(None, (), problem, stale, {}, asks_gate=False, problem_url=about)
    voice = voice_of(shown, system, today)
    told = _without_commands(tell(answer, voice))
    return Page(
        told=told,
        pictures=pictures_of(shown, system, today),
        problem=problem,
        stale=stale,
        remarks=remarks_of(tannage, told, voice) if latest is shown else {},
        asks_gate=answer.next_action.action == "gate",
        made_at=shown.made_at,
        sources=cited(answer.sources),
        problem_url=_entry_of(tannage, problem),
    )


def _entry_of(tannage: Tannage, problem: Mapping[str, Any] | None) -> str:
    """Address of the entry in whose line of the log the engine found the problem."""
    line = re.search(r"the log, line (\d+)", str((problem or {}).get("place") or ""))
    entry = readings_of(tannage).entry_by_line.get(int(line[1])) if line else None
    return reverse("journal:entry", args=[entry]) if entry else ""


def _without_commands(told: Told) -> Told:
    """``told`` for somebody who has pages and no command line."""
    lines = (line.replace(": tanwright try", ", and note it with the lot") for line in told.measure)
    return replace(told, measure=tuple(lines))


def answer_of(forecast: Forecast | None) -> Answer | None:
    """The kept answer, ``None`` where there is none that can be read."""
    if forecast is None or forecast.answer is None:
        return None
    try:
        return take_back(forecast.answer)
    except DataError:
        return None


def voice_of(forecast: Forecast, system: System, today: date) -> Voice:
    """How to speak to this reader of that forecast."""
    return voice_for(sheet_of(forecast.tables, forecast.seen_from), system, today)


def remarks_of(tannage: Tannage, told: Told, voice: Voice) -> dict[UUID, str]:
    """What the engine thought of readings, by the entry that each came from."""
    noted = readings_of(tannage)
    by_line = noted.entry_by_line
    return dict.fromkeys(noted.before_start, EARLY) | {
        by_line[line]: f"{REMARKS[verdict]}: {text}"
        for line, verdict, text in told.readings
        if verdict in REMARKS and line in by_line
    }


def pictures_of(forecast: Forecast, system: System, today: date) -> tuple[Drawn, ...]:
    """The pictures of ``forecast`` for this reader; the cut first."""
    kept = (forecast.pk, system, today)
    if kept not in _drawn:
        while len(_drawn) >= MOST_DRAWN:
            _drawn.pop(next(iter(_drawn)), None)
        _drawn[kept] = _draw(forecast, system, today)
    return _drawn[kept]


_drawn: dict[tuple[UUID, System, date], tuple[Drawn, ...]] = {}
"""Pictures drawn lately: a forecast never changes, and drawing takes longer than all the rest."""
MOST_DRAWN: Final = 60


def _draw(forecast: Forecast, system: System, today: date) -> tuple[Drawn, ...]:
    answer = answer_of(forecast)
    if answer is None:
        return ()
    voice = voice_of(forecast, system, today)
    answer = retold(answer, voice.words)
    found = {item.name: item for item in draw_pictures(answer, voice.picture_reader())}
    tables = {"cut": _cut_table(answer, voice), "strength": _strength_table(answer, voice)}
    return tuple(
        Drawn(
            name,
            mark_safe(found[name].svg[found[name].svg.index("<svg") :]),
            found[name].title,
            found[name].words,
            *tables.get(name, ((), ())),
        )
        for name in DRAWN
        if name in found
    )


def numbers_of(forecast: Forecast, name: str, system: System, today: date) -> str | None:
    """The CSV beside the picture called ``name``."""
    answer = answer_of(forecast)
    if answer is None:
        return None
    voice = voice_of(forecast, system, today)
    pictures = draw_pictures(retold(answer, voice.words), voice.picture_reader())
    return next((item.numbers for item in pictures if item.name == name), None)


_ROWS: Final = 12
Table = tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]


def _cut_table(answer: Answer, voice: Voice) -> Table:
    fan = answer.depth_fan
    return ("Day", "Coloured, likely", "Range"), tuple(
        (day, f"{100 * middle:.0f} %", f"{100 * low:.0f} to {100 * high:.0f} %")
        for day, low, middle, high in _few(answer, fan, voice)
    )


def _strength_table(answer: Answer, voice: Voice) -> Table:
    return ("Day", "Likely", "Range"), tuple(
        (day, voice.figure(middle), f"{voice.figure(low)} to {voice.figure(high)}")
        for day, low, middle, high in _few(answer, answer.strength_fan, voice)
    )


def _few(answer: Answer, fan: Any, voice: Voice) -> list[tuple[str, float, float, float]]:
    """Some dozen days of a fan, evenly spread."""
    step = max(len(fan.day) // _ROWS, 1)
    return [
        (
            voice.day(answer.start + timedelta(days=round(float(fan.day[i])))),
            float(fan.p05[i]),
            float(fan.p50[i]),
            float(fan.p95[i]),
        )
        for i in range(0, len(fan.day), step)
    ]


def cited(keys: tuple[str, ...]) -> tuple[Source, ...]:
    """The works behind an answer, as they are cited; what has no entry is named as it is."""
    found = []
    for key in keys:
        try:
            found.append(Source(key, sources.source(key).short))
        except DataError:
            found.append(Source(key, key))
    return tuple(found)
