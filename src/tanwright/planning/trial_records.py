"""A trial of a pile of bark or leaf with kitchen gear, and what it says: plain frozen records."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal, get_args

from tanwright.planning.sheet import State, TanninFigure

if TYPE_CHECKING:
    from tanwright.planning.answers import Caution, MeasureOption, Range
    from tanwright.planning.readings import Strength

IronColour = Literal["blue-black", "green-black", "grey", "none"]
GelatinSign = Literal["curds", "cloudy", "hazy", "none"]

IRON_COLOURS: Final[tuple[str, ...]] = get_args(IronColour)
GELATIN_SIGNS: Final[tuple[str, ...]] = get_args(GelatinSign)


@dataclass(frozen=True)
class LitreWeight:
    """Weight of a measured volume of the cooled liquor, g, without the jug."""

    weight_g: float
    volume_ml: float
    liquor_c: float | None


@dataclass(frozen=True)
class Snip:
    """A snip of prepared skin left in the liquor until its cut was tanned through."""

    days: float
    thickness_mm: float | None
    liquor_c: float | None


@dataclass(frozen=True)
class Trial:
    """What was cooked and what was seen; everything that was not seen is ``None``.

    ``mass_kg`` is kg of material as it lay (``state``), ``water_l`` all the water it was cooked in,
    in ``waters`` portions that were joined; the liquor was brought back to that volume.
    """

    material_id: str
    state: State
    mass_kg: float | None
    water_l: float | None
    waters: int = 1
    strength: Strength | None = None
    calibrated_at_c: float | None = None
    litre: LitreWeight | None = None
    iron: IronColour | None = None
    gelatin: GelatinSign | None = None
    snip: Snip | None = None

    @property
    def saw_something(self) -> bool:
        """Whether there is any reading to learn from."""
        seen = (self.strength, self.litre, self.iron, self.gelatin, self.snip)
        return any(item is not None for item in seen)


@dataclass(frozen=True)
class TrialAnswer:
    """What a trial says about the pile.

    Tannin is % of the material as it lies, but ``air_dry_pct`` of air-dry material, whatever was
    cooked.  ``verdict`` is one plain sentence, ``reasons`` say how each reading moved the belief,
    ``told`` what was odd or left out.
    """

    material_id: str
    name: str
    before_pct: Range
    after_pct: Range
    air_dry_pct: Range
    strength_bk: Range | None
    """Strength of the trial liquor at 15.6 °C, °Bk."""
    verdict: str
    reasons: tuple[str, ...]
    told: tuple[str, ...]
    measure_next: tuple[MeasureOption, ...]
    cautions: tuple[Caution, ...]
    sources: tuple[str, ...]

    @property
    def figure(self) -> TanninFigure:
        """What is worth keeping for later plans, of air-dry material."""
        return TanninFigure(self.air_dry_pct.p05, self.air_dry_pct.p95)
