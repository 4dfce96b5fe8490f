"""What happens in the vats of the big yard: a few kinds of tannage, each with a plausible log."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, Final

from tanwright.yard.liquors.strengths import corrected_bk


@dataclass(frozen=True)
class Template:
    """A kind of tannage: its skin, its vat, for how many days and whether it still runs."""

    animal: str
    weight_kg: float
    volume_l: float
    days: int
    state: str


TEMPLATES: Final = (
    Template("goat", 2.2, 18.0, 34, "running"),
    Template("goat", 2.0, 18.0, 90, "ended"),
    Template("sheep", 2.6, 20.0, 80, "ended"),
    Template("calf", 4.0, 40.0, 45, "running"),
    Template("goat", 1.4, 12.0, 75, "ended"),
)
_THROUGH_DAYS: Final = 75.0
"""Invented: a cut shows the share that a front moving with the root of time would give."""


def log_of(
    template: Template, now: datetime, most: int
) -> Iterator[tuple[datetime, str, dict[str, Any]]]:
    """At most ``most`` entries (time, kind, data) of a vat, the newest a day before ``now``."""
    began = now - timedelta(days=template.days)
    if most <= 0:
        return
    yield began, "tannage.started", {"skins": []}
    left = most - 1 - (template.state == "ended")
    for i in range(left):
        day = 1.0 + (template.days - 2.0) * i / max(1, left - 1)
        yield began + timedelta(days=day), *_seen(i, day)
    if template.state == "ended" and most > 1:
        yield now - timedelta(hours=20), "tannage.taken_out", {}


def _seen(i: int, day: float) -> tuple[str, dict[str, Any]]:
    """What is noted in turn: strength, movement, a cut, warmth, movement again."""
    what = i % 5
    if what == 0:
        data = {
            "value": round(9.0 - 2.0 * ((day / 14.0) % 1.0), 1),
            "scale": "bk",
            "liquor_c": 12.0,
        }
        return "tannage.strength", {**data, "bk": corrected_bk(data)}
    if what == 2 and day > 6.0:
        return "tannage.cut", {"share": round(min(1.0, (day / _THROUGH_DAYS) ** 0.5), 2)}
    if what == 3:
        return "tannage.temperature", {"temperature_c": 12.0}
    return "tannage.turned", {}
