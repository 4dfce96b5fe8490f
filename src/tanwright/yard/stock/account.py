"""The mass account of a lot: what came, what went, what is left. Pure: no database, no clock."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any, Final

from tanwright.reference import priors

COOKED_FROM: Final = "cooked from"
"""Role in which an entry touches the lot whose material it used up."""
GATHERED: Final = "place.gathered"
"""Kind of entry of a place by which a lot came; it counts for the lot like lot.got."""
GATHERED_INTO: Final = "gathered into"
"""Role in which such an entry touches the lot."""
CAUSES: Final = {
    "mould": "mould",
    "rot": "rot and souring",
    "vermin": "insects and mice",
    "spilt": "spilt or washed away",
    "given": "given away",
    "other": "other causes",
    "grinding": "dust and pith of grinding",
}
"""Why something of a lot is gone; the last one comes with the grinding."""


@dataclass(frozen=True)
class Happening:
    """One live entry as the account sees it; ``used_kg`` is set for a cook that took of the lot."""

    at: datetime
    kind: str
    data: dict[str, Any]
    used_kg: float | None = None


@dataclass(frozen=True)
class Standing:
    """State of a lot after its entries.

    ``raw_kg`` is what came less what went, and may fall below nought when more was taken than was
    noted; ``None`` when nothing was ever weighed. ``cooked_kg`` and ``lost_kg`` count all of it;
    ``seen_kg`` is what stocktakes and drying added (or took, below nought), ``dried_kg`` the part
    of it that drying took. ``losses`` are the kg of ``lost_kg`` by their cause.
    """

    state: str = "dry"
    state_since: datetime | None = None
    where: str = ""
    raw_kg: float | None = None
    got_kg: float = 0.0
    cooked_kg: float = 0.0
    lost_kg: float = 0.0
    seen_kg: float = 0.0
    dried_kg: float = 0.0
    losses: tuple[tuple[str, float], ...] = ()
    ground: str = ""
    tannin: tuple[float, float] | None = None
    tannin_how: str = ""

    @property
    def left_kg(self) -> float | None:
        """What is left, never below nought."""
        return None if self.raw_kg is None else max(self.raw_kg, 0.0)

    @property
    def over_kg(self) -> float:
        """What was taken beyond all that had been noted."""
        return max(-(self.raw_kg or 0.0), 0.0)


@dataclass
class Ledger:
    """Takes happenings in their order."""

    material_id: str
    standing: Standing = field(default_factory=Standing)

    def take(self, happening: Happening) -> None:
        """Bring the standing up to date."""
        now, data, kind = self.standing, happening.data, happening.kind
        kg = data.get("kg")
        if happening.used_kg is not None:
            self.standing = self._less(happening.used_kg, "cooked_kg")
        elif kind in ("lot.got", GATHERED):
            self.standing = self._got(happening)
        elif kind == "lot.lost":
            self.standing = self._lost(float(kg or 0.0), str(data.get("cause") or "other"))
        elif kind == "lot.ground":
            self.standing = self._ground(str(data["grind"]), kg)
        elif kind == "lot.stocktake":
            self.standing = self._seen(float(kg or 0.0))
        elif kind == "lot.dried":
            self.standing = self._dried(happening)
        elif kind in ("lot.trial", "lot.tannin"):
            low, high = float(data["low_pct"]), float(data["high_pct"])
            how = str(data.get("how", "")) or "a trial cook"
            self.standing = replace(now, tannin=(low, high), tannin_how=how[:120])
        elif kind == "lot.moved":
            self.standing = replace(now, where=str(data["where"]))

    def _got(self, happening: Happening) -> Standing:
        now, data = self.standing, happening.data
        first = now.state_since is None
        found = replace(
            now,
            where=str(data.get("where") or now.where),
            state=str(data.get("state") or now.state) if first else now.state,
            state_since=happening.at if first else now.state_since,
        )
        kg = data.get("kg")
        if kg is None:
            return found
        return replace(found, raw_kg=(now.raw_kg or 0.0) + kg, got_kg=now.got_kg + kg)

    def _less(self, kg: float, account: str) -> Standing:
        """A cook or a loss. Of a lot that was never weighed nothing is reckoned."""
        now = self.standing
        if now.raw_kg is None:
            return now
        return replace(now, raw_kg=now.raw_kg - kg, **{account: getattr(now, account) + kg})

    def _lost(self, kg: float, cause: str) -> Standing:
        found = self._less(kg, "lost_kg")
        if found is self.standing:
            return found
        by_cause = dict(found.losses)
        by_cause[cause] = by_cause.get(cause, 0.0) + kg
        return replace(found, losses=tuple(by_cause.items()))

    def _ground(self, grind: str, kg: float | None) -> Standing:
        """Dust and pith go; a scale that shows more than was noted is believed, too."""
        before = self.standing.raw_kg
        if kg is None:
            found = self.standing
        elif before is None or kg >= before:
            found = self._seen(kg)
        else:
            found = self._lost(before - kg, "grinding")
        return replace(found, ground=grind)

    def _seen(self, kg: float) -> Standing:
        now = self.standing
        before = now.raw_kg or 0.0
        return replace(now, raw_kg=kg, seen_kg=now.seen_kg + kg - before)

    def _dried(self, happening: Happening) -> Standing:
        """Water leaves and tannin stays: the figure of the fresh lot rises as the mass falls."""
        now, kg = self.standing, happening.data.get("kg")
        shrunk = 1.0
        if now.state == "fresh":
            shrunk = dry_matter(self.material_id, "fresh") / dry_matter(self.material_id, "dry")
            if now.raw_kg and kg is not None and now.raw_kg > kg > 0.2 * now.raw_kg:
                shrunk = kg / now.raw_kg
        tannin = now.tannin
        if tannin is not None:
            tannin = (min(tannin[0] / shrunk, 80.0), min(tannin[1] / shrunk, 80.0))
        found = replace(now, state="dry", state_since=happening.at, tannin=tannin)
        before = now.raw_kg
        if kg is not None:
            after = float(kg)
        elif before is None:
            return found
        else:
            after = before * shrunk
        change = after - (before or 0.0)
        return replace(
            found,
            raw_kg=after,
            seen_kg=now.seen_kg + change,
            dried_kg=now.dried_kg + max(-change, 0.0),
        )


def dry_matter(material_id: str, state: str) -> float:
    """Share of the mass that is not water, at the middle of what is known."""
    return 1.0 - priors.moisture_prior(material_id, state).median


def standing_after(material_id: str, happenings: Iterable[Happening]) -> Standing:
    """The standing of a lot after all ``happenings``, given in their order."""
    ledger = Ledger(material_id)
    for happening in happenings:
        ledger.take(happening)
    return ledger.standing
