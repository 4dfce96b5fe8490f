"""What all areas of the yard report as due, from kept columns only, in the reader's units."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime

from django.utils import timezone

from tanwright.planning.telling.voice import Voice
from tanwright.units import System
from tanwright.yard.gathering import due as gathering
from tanwright.yard.journal.due import Due
from tanwright.yard.journal.models import Record
from tanwright.yard.leather import queries as leather
from tanwright.yard.liquors import queries as liquors
from tanwright.yard.skins import queries as skins
from tanwright.yard.stock import queries as stock
from tanwright.yard.tannage import queries as tannage
from tanwright.yard.today.ordering import Ordered, ordered
from tanwright.yard.today.running_short import running_short
from tanwright.yard.trials import due as trials


@dataclass(frozen=True)
class Day:
    """All that Today shows; ``empty`` in a yard that has no record yet."""

    things: Ordered
    worth: tannage.WorthReading | None
    empty: bool
    more: int = 0
    """Things that are not so urgent and left out."""

    @property
    def first(self) -> Due | None:
        """The most urgent thing that is late or of today."""
        return next(iter(self.things.late + self.things.today), None)

    @property
    def late(self) -> tuple[Due, ...]:
        """Late ones beside the first."""
        return self.things.late[1:]

    @property
    def today(self) -> tuple[Due, ...]:
        """Those of today beside the first."""
        return self.things.today if self.things.late else self.things.today[1:]


def all_due(now: datetime, system: System) -> list[Due]:
    """What is due in every area, in no order, with amounts in the units of ``system``."""
    found: list[Due] = []
    for area in (skins, liquors, leather, stock, gathering, trials):
        found += area.due(now)
    if system != "metric":
        words = voice_of(now, system).words
        found = [
            replace(due, headline=words(due.headline), reason=words(due.reason)) for due in found
        ]
    return found + tannage.due(now, system) + running_short(now, system)


def voice_of(now: datetime, system: System) -> Voice:
    """How to say amounts to a reader of ``system``."""
    today = timezone.localtime(now).date()
    return Voice(system, None, (), today.year, today)


def day_at(now: datetime, system: System, *, most: int | None = None) -> Day:
    """What to do as seen from ``now``: the ``most`` urgent things, or all."""
    found = ordered(all_due(now, system), now)
    things = found if most is None else found.first(most)
    worth = tannage.worth(now)
    return Day(
        things=things,
        worth=worth and replace(worth, what=voice_of(now, system).words(worth.what)),
        empty=not things.everything and not Record.objects.exists(),
        more=len(found.everything) - len(things.everything),
    )
