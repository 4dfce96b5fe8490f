"""What the newest readings say of today: is the skin out, was the vat left, is it through or done.

The worlds weigh every reading; these few words of the last days steer what is told first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tanwright.planning.readings import Cut, Event, Reading
from tanwright.planning.setting import Setting

LOOKED_AFTER_DAYS = 3.0
"""So long after "back" the vat is still to be smelt and turned before all else (from memory)."""
THROUGH = 0.97
"""A cut in words or numbers that leaves less pale than this is told as through."""


@dataclass(frozen=True)
class Lately:
    """What was written down last.

    Attributes
    ----------
    waits_for:
        ``"thaw"`` or ``"put back"`` when nothing tans until then.
    back:
        The vat was left alone and somebody has just come back to it.
    through:
        The last cut of every skin that was cut shows colour right through, none of them at a
        thin place alone.
    done:
        The done gate was answered yes.
    no_day:
        Day on which the done gate was last answered no, days after the start; ``None`` if it was
        not, or if a yes came later.
    """

    waits_for: str = ""
    back: bool = False
    through: bool = False
    done: bool = False
    no_day: float | None = None


def lately_of(
    rows: Sequence[Reading], setting: Setting, waits_for: str = "", now: float = 0.0
) -> Lately:
    """What ``rows``, in order of time, say of the day ``now`` after the start."""
    left = back = done = False
    no_day: float | None = None
    cuts: dict[str, float] = {}
    for row in rows:
        what = row.seen
        if isinstance(what, Event):
            if what.what in ("away", "left alone"):
                left, back = True, False
            elif what.what == "back":
                back = row.day(setting.start) > now - LOOKED_AFTER_DAYS
                left = False
            elif what.what == "done":
                done, no_day = True, None
            elif what.what == "not done":
                done, no_day = False, row.day(setting.start)
            elif what.what in ("put back", "started"):
                done = False
        elif isinstance(what, Cut) and _tells(what):
            cuts[row.skin] = what.share
    through = bool(cuts) and min(cuts.values()) >= THROUGH
    return Lately(waits_for, back and not left, through, done, no_day)


def _tells(cut: Cut) -> bool:
    """A thin place tells of the whole skin only while it is pale; one side never does."""
    return cut.share < THROUGH or (cut.side == "both" and cut.zone != "thin")
