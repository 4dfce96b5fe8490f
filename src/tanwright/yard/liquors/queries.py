"""What the pages of this area show, worked out from kept columns."""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final

from django.db.models import Q, QuerySet
from django.shortcuts import get_object_or_404
from django.urls import reverse

from tanwright.planning.telling.voice import Voice
from tanwright.reference.cautions import Caution, cautions_for
from tanwright.units import System, format_mass, format_temperature, format_volume
from tanwright.yard.journal.due import Due
from tanwright.yard.journal.models import Entry
from tanwright.yard.liquors.account import GIVERS, POURED
from tanwright.yard.liquors.models import Liquor
from tanwright.yard.liquors.strengths import against, shown, told, told_range
from tanwright.yard.liquors.tables import tools_of_the_yard
from tanwright.yard.stock.plants import name_of

COOLED_HOURS: Final = 18
SPENT_DAYS: Final = 21
SOURS_AT_C: Final = 18.0
SOURS_DAYS: Final = 14
"""Weak liquors sour and mould within weeks once it is warm; strong and cold ones keep (common
practice: a liquor's sugars ferment)."""
KEEPS_BK: Final = 40.0
UNREAD_DAYS: Final = 30
MOST_DUE: Final = 60


@dataclass(frozen=True)
class LiquorRow:
    """A liquor on the list."""

    url: str
    log_url: str
    title: str
    note: str
    chip: str
    late: bool


@dataclass(frozen=True)
class Flow:
    """Litres that went to or came from another record."""

    url: str
    words: str
    at: datetime


@dataclass(frozen=True)
class LiquorPage:
    """All that the page of a liquor says above its log."""

    lead: str
    odd: str
    strength: str
    expected: str
    verdict: str
    volume: str
    plants: tuple[str, ...]
    age: str
    flows: tuple[Flow, ...]
    cautions: tuple[Caution, ...]


def liquors(text: str = "", show: str = "") -> QuerySet[Liquor]:
    """Liquors that are not withdrawn: those whose name, plant or place holds ``text``.

    ``show`` is ``"all"``, or ``""`` for those of which something is left.
    """
    found = Liquor.objects.filter(withdrawn_at__isnull=True)
    if show != "all":
        found = found.filter(~Q(state=Liquor.State.GONE) | Q(over_l__gt=0.0))
    text = text.strip().replace("\x00", "")
    if text:
        named = Q(name__icontains=text) | Q(where__icontains=text)
        number = text.lower().removeprefix("liquor").strip(" -")
        if number.isdecimal() and len(number) < 9:
            named |= Q(number=int(number))
        found = found.filter(named)
    return found


def row_of(liquor: Liquor, system: System, scale: str) -> LiquorRow:
    """A liquor as the list shows it."""
    chip, late = "", False
    if liquor.over_l:
        chip, late = "look how much is left", True
    elif liquor.state == Liquor.State.GONE:
        chip = "gone"
    elif liquor.state == Liquor.State.SPENT:
        chip = "spent"
    elif liquor.strength_bk is None:
        chip = unread_words(liquor)
    parts = [
        liquor.code if liquor.name else "",
        volume_words(liquor, system),
        f"in {liquor.where}" if liquor.where else "",
        " and ".join(name_of(id) for id in liquor.materials),
    ]
    title = liquor.title
    if (strength := strength_words(liquor, scale)) and liquor.state != Liquor.State.GONE:
        title = f"{title}: {strength}"
    return LiquorRow(
        liquor.get_absolute_url(),
        reverse("liquors:log", args=[liquor.pk, "strength"]),
        title,
        ", ".join(part for part in parts if part),
        chip,
        late,
    )


def volume_words(liquor: Liquor, system: System) -> str:
    """``"12 L"``, or that nobody said."""
    if liquor.volume_l is None:
        return "nobody said how much"
    return format_volume(liquor.volume_l, system)


def strength_words(liquor: Liquor, scale: str) -> str:
    """``"18 °Bk"``, ``"7 to 19 °Bk expected"``, or nothing."""
    if liquor.strength_bk is not None:
        return shown(liquor.strength_bk, scale)
    if liquor.expected_low_bk is not None and liquor.expected_high_bk is not None:
        return f"{told_range(liquor.expected_low_bk, liquor.expected_high_bk, scale)} expected"
    return ""


def liquor_of(id: uuid.UUID) -> Liquor:
    """The liquor ``id``, or a page that says there is none."""
    return get_object_or_404(Liquor, pk=id)


def page_of(liquor: Liquor, system: System, scale: str, now: datetime) -> LiquorPage:
    """What the page of a liquor says."""
    expected, verdict = "", ""
    low, likely, high = liquor.expected_low_bk, liquor.expected_bk, liquor.expected_high_bk
    if low is not None and likely is not None and high is not None:
        expected = f"{told_range(low, high, scale)}, most likely {shown(likely, scale)}"
        if liquor.strength_bk is not None and liquor.strength_how == "read":
            verdict = against(liquor.strength_bk, low, likely, high)
    return LiquorPage(
        lead=_lead(liquor, system, scale),
        odd=overdrawn_words(liquor, system),
        strength=_strength(liquor, scale),
        expected=expected,
        verdict=verdict,
        volume=volume_words(liquor, system),
        plants=tuple(
            f"{format_mass(kg, system)} of {name_of(id)}" for id, kg in liquor.materials.items()
        ),
        age=_age(liquor, now),
        flows=flows_of(liquor, system),
        cautions=hot_cautions(system) if _may_be_hot(liquor, now) else (),
    )


def _lead(liquor: Liquor, system: System, scale: str) -> str:
    if liquor.state == Liquor.State.GONE:
        return "Nothing is left of it."
    amount = (
        "Some" if liquor.volume_l is None else f"About {format_volume(liquor.volume_l, system)}"
    )
    if liquor.strength_bk is not None:
        use = "spent: fit for a first bath" if liquor.spent_at else told(liquor.strength_bk, scale)
        return f"{amount}, {use}."
    if liquor.expected_bk is not None:
        return (
            f"{amount}, {unread_words(liquor)}: {strength_words(liquor, scale)}. A reading, once "
            "it is cool, tells what it is worth."
        )
    return f"{amount}, and nobody has read its strength yet."


def unread_words(liquor: Liquor) -> str:
    """That it was never read, or not since another was poured in."""
    return "not read since it was mixed" if liquor.strength_how == "mixed" else "not read yet"


def _strength(liquor: Liquor, scale: str) -> str:
    if liquor.strength_bk is None:
        return unread_words(liquor)
    how = "reckoned from what was joined" if liquor.strength_how == "mixed" else "read"
    return f"{told(liquor.strength_bk, scale)}; {how}"


def _age(liquor: Liquor, now: datetime) -> str:
    if liquor.made_at is None:
        return ""
    days = (now - liquor.made_at).days
    return "today" if days < 1 else "a day ago" if days == 1 else f"{days} days ago"


def _may_be_hot(liquor: Liquor, now: datetime) -> bool:
    made = liquor.made_at
    return made is not None and now - made < timedelta(hours=COOLED_HOURS)


def overdrawn_words(liquor: Liquor, system: System) -> str:
    """What to do about a liquor that more was taken of than was noted; empty when all is well."""
    if not liquor.over_l:
        return ""
    return (
        f"{format_volume(liquor.over_l, system)} more was taken of {liquor.title} than was noted "
        "to be in it. Look how much is left and enter it, or correct the entry that is wrong."
    )


def flows_of(liquor: Liquor, system: System, most: int = 50) -> tuple[Flow, ...]:
    """Where its litres went and came from, the latest first."""
    entries = (
        Entry.objects.filter(
            touches__record=liquor.pk,
            touches__role__in=(POURED, *GIVERS),
            standing=Entry.Standing.LIVE,
        )
        .select_related("record")
        .order_by("-happened_at")[:most]
    )
    found = []
    for entry in entries:
        litres = entry.data.get("in_litres", entry.data.get("litres"))
        amount = "All of it" if litres is None else format_volume(float(litres), system)
        words = f"{amount} into {entry.record.title}"
        found.append(Flow(entry.record.get_absolute_url(), words, entry.happened_at))
    return tuple(found)


OF_GATHERING: Final = ("living-tree", "gathering", "protected-plant")
"""Topics that matter where a plant is taken, and no longer at the pot."""


def cook_cautions(
    material_ids: Iterable[str] = (), system: System = "metric"
) -> tuple[Caution, ...]:
    """What to mind at a cook: fire and steam, iron, boiling, never a skin in hot liquor, and what
    the plants themselves ask for."""
    wanted = ("fire", "boiling", "hot-liquor", "iron")
    found = cautions_for(("step:cooking", "tool:pot", "step:tanning"))
    of_plants = cautions_for([f"material:{id}" for id in material_ids])
    return _for_reader(
        (
            *(caution for caution in found if caution.id in wanted),
            *(c for c in of_plants if c.id not in wanted and c.topic not in OF_GATHERING),
        ),
        system,
    )


def _for_reader(cautions: Iterable[Caution], system: System) -> tuple[Caution, ...]:
    say = Voice(system).words
    return tuple(replace(caution, text=say(caution.text)) for caution in cautions)


def hot_cautions(system: System = "metric") -> tuple[Caution, ...]:
    """What to mind about a liquor that may still be hot."""
    hot = (c for c in cautions_for(("step:tanning",)) if c.id == "hot-liquor")
    return _for_reader(hot, system)


def effluent_cautions() -> tuple[Caution, ...]:
    """What to mind before a liquor is thrown away."""
    return cautions_for(("step:effluent",))


def due(now: datetime) -> list[Due]:
    """Liquors that ask for something: a first reading, a look at the tub, a use while they keep."""
    tools = tools_of_the_yard()
    can_read = tools.instrument != "none" or tools.litre_scale
    unread = Q(
        strength_bk__isnull=True,
        made_at__lte=now - timedelta(hours=COOLED_HOURS),
        made_at__gt=now - timedelta(days=UNREAD_DAYS),
    )
    sour = Q(
        liquor_c__gte=SOURS_AT_C,
        strength_bk__lt=KEEPS_BK,
        strength_at__lte=now - timedelta(days=SOURS_DAYS),
    )
    kept = Q(state=Liquor.State.KEPT) & (unread | sour if can_read else sour)
    spent = Q(state=Liquor.State.SPENT, spent_at__lte=now - timedelta(days=SPENT_DAYS))
    found = Liquor.objects.filter(kept | spent | Q(over_l__gt=0.0), withdrawn_at__isnull=True)
    return [_due_of(liquor, now) for liquor in found.order_by("made_at")[:MOST_DUE]]


def _due_of(liquor: Liquor, now: datetime) -> Due:
    if liquor.over_l:
        return _look_at_it(liquor, now)
    if liquor.state == Liquor.State.SPENT:
        return _let_it_go(liquor, now)
    return _read_it(liquor, now) if liquor.strength_bk is None else _smell_it(liquor, now)


def _look_at_it(liquor: Liquor, now: datetime) -> Due:
    return _due(
        liquor,
        0.15,
        f"Look how much is left of {liquor.title}",
        "More was taken of it than was noted to be in it, so its amount is a guess.",
        at=None,
        what="measured",
        late=False,
    )


def _smell_it(liquor: Liquor, now: datetime) -> Due:
    warm = format_temperature(liquor.liquor_c or 0.0)
    return _due(
        liquor,
        0.35,
        f"Smell {liquor.title} and read it again, or use it",
        f"It stood at {warm} when it was last read {_days(liquor.strength_at, now)} days ago. Weak "
        "liquors sour and mould in the warm; strong and cold ones keep (common practice).",
        at=(liquor.strength_at or now) + timedelta(days=SOURS_DAYS),
        what="strength",
    )


def _let_it_go(liquor: Liquor, now: datetime) -> Due:
    return _due(
        liquor,
        0.15,
        f"Use {liquor.title} for a first bath, or let it go",
        f"It has stood spent for {_days(liquor.spent_at, now)} days. Where it may go, your local "
        "rules say: never into a stream or a storm drain.",
        at=(liquor.spent_at or now) + timedelta(days=SPENT_DAYS),
    )


def _read_it(liquor: Liquor, now: datetime) -> Due:
    return _due(
        liquor,
        0.3,
        f"Read the strength of {liquor.title}",
        "It is cool by now and was never read. One reading tells how much liquor the vat needs, "
        "and how strong the bark is.",
        at=(liquor.made_at or now) + timedelta(hours=COOLED_HOURS),
        what="strength",
        late=False,
    )


def _days(since: datetime | None, now: datetime) -> int:
    return 0 if since is None else (now - since).days


def _due(
    liquor: Liquor,
    weight: float,
    headline: str,
    reason: str,
    *,
    at: datetime | None,
    what: str = "",
    late: bool = True,
) -> Due:
    url = reverse("liquors:log", args=[liquor.pk, what]) if what else liquor.get_absolute_url()
    return Due(at, late, weight, headline, reason, url, liquor.pk, "liquor")
