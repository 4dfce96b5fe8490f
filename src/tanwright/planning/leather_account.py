"""What the scale says of a finished skin: how much tannin it holds, and its yield.

Leather less its water, fat, ash, loose matter and hide substance is combined tannin; the error of
every figure lands there, so the range is wide unless the parts were measured.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from tanwright.errors import InputError
from tanwright.planning.beamwork import positive_kg
from tanwright.reference import animals
from tanwright.reference.leathers import leather
from tanwright.science.leather import combined_tannin_pct, degree_of_tannage_pct

Pair = tuple[float, float]


@dataclass(frozen=True)
class Estimate:
    """A value with its 5 to 95 % range."""

    low: float
    likely: float
    high: float


@dataclass(frozen=True)
class MassInput:
    """Weights of one skin, kg; parts as ranges (twice the same for a measured one).

    ``moisture_pct``, ``fat_pct``, ``ash_pct`` (insoluble) and ``soluble_pct`` (what water washes
    out) are % of the leather as weighed, ``hide_share`` is hide substance over pelt; their
    defaults are from memory.
    """

    pelt_kg: float
    leather_kg: float
    moisture_pct: Pair = (12.0, 18.0)
    hide_share: Pair = (0.20, 0.27)
    fat_pct: Pair = (3.0, 10.0)
    ash_pct: Pair = (0.3, 2.0)
    soluble_pct: Pair = (3.0, 12.0)
    raw_kg: float | None = None
    leather: str = "bag"


@dataclass(frozen=True)
class MassAccount:
    """Masses in kg, degree in g tannin per 100 g hide substance, yields as leather over weight."""

    dry_kg: Estimate
    hide_kg: Estimate
    tannin_kg: Estimate
    degree_pct: Estimate
    yield_pelt: float
    yield_raw: float | None
    usual_degree: Pair
    usual_yield: Pair
    words: tuple[str, ...]


def mass_account(given: MassInput) -> MassAccount:
    """The account of one skin.

    Ranges are carried by changing one part at a time to its ends and adding the changes in
    quadrature.  Raises InputError for parts off their range or a leather that its hide substance
    alone outweighs.
    """
    positive_kg(given.pelt_kg, "a pelt")
    positive_kg(given.leather_kg, "a leather")
    if given.raw_kg is not None:
        positive_kg(given.raw_kg, "a raw skin")
    parts = _parts(given)
    aim = leather(given.leather)
    degree = _spread(parts, lambda p: _degree(given, p))
    if degree.high <= 0.0:
        raise InputError(
            "this leather weighs less than the hide in its pelt and its parts need",
            place="leather_kg",
            remedy="check the pelt weight, the dry weight and the moisture",
        )
    if degree.low > 200.0:
        raise InputError(
            "this leather weighs far more than its pelt and tan can give",
            place="leather_kg",
            remedy="weigh it air-dry, and check the pelt weight",
        )
    hide = _spread(parts, lambda p: given.pelt_kg * p["hide_share"])
    tannin = _spread(parts, lambda p: _degree(given, p) / 100.0 * given.pelt_kg * p["hide_share"])
    usual = _usual_yield(parts, aim.degree)
    yield_pelt = given.leather_kg / given.pelt_kg
    return MassAccount(
        dry_kg=_spread(parts, lambda p: given.leather_kg * (1.0 - p["moisture_pct"] / 100.0)),
        hide_kg=hide, tannin_kg=_floored(tannin), degree_pct=_floored(degree),
        yield_pelt=yield_pelt,
        yield_raw=None if given.raw_kg is None else given.leather_kg / given.raw_kg,
        usual_degree=aim.degree, usual_yield=usual,
        words=(
            _of_degree(_floored(degree), aim.degree), _of_yield(yield_pelt, usual),
            _trade_yield(aim.id),
        ),
    )  # fmt: skip


def _parts(given: MassInput) -> dict[str, Pair]:
    limits = {
        "moisture_pct": 60.0, "hide_share": 0.6, "fat_pct": 50.0, "ash_pct": 20.0,
        "soluble_pct": 40.0,
    }  # fmt: skip
    parts: dict[str, Pair] = {}
    for name, top in limits.items():
        low, high = getattr(given, name)
        if not (math.isfinite(low) and math.isfinite(high) and 0.0 <= low <= high <= top):
            raise InputError(
                f"{low:g} to {high:g} is no range of this part",
                place=name,
                remedy=f"write the lower figure first, both from 0 to {top:g}",
            )
        parts[name] = (low, high)
    if parts["hide_share"][0] <= 0.0:
        raise InputError("a pelt without hide substance is none", place="hide_share")
    return parts


def _degree(given: MassInput, p: Mapping[str, float]) -> float:
    """Degree of tannage; below 0 where the parts outweigh the leather."""
    hide_pct = 100.0 * given.pelt_kg * p["hide_share"] / given.leather_kg
    parts = p["moisture_pct"], p["fat_pct"], p["soluble_pct"], p["ash_pct"], hide_pct
    if sum(parts) > 100.0:
        return 100.0 * (100.0 - sum(parts)) / hide_pct
    return float(degree_of_tannage_pct(combined_tannin_pct(*parts), hide_pct))


def _spread(parts: Mapping[str, Pair], of: Callable[[Mapping[str, float]], float]) -> Estimate:
    middle = {name: (low + high) / 2.0 for name, (low, high) in parts.items()}
    likely = of(middle)
    below = above = 0.0
    for name, ends in parts.items():
        moved = [of({**middle, name: end}) - likely for end in ends]
        below += min(*moved, 0.0) ** 2
        above += max(*moved, 0.0) ** 2
    return Estimate(likely - math.sqrt(below), likely, likely + math.sqrt(above))


def _floored(value: Estimate) -> Estimate:
    return Estimate(max(value.low, 0.0), max(value.likely, 0.0), value.high)


def _usual_yield(parts: Mapping[str, Pair], degree: Pair) -> Pair:
    """Leather over pelt at the usual degree and these parts, nothing shaved off."""

    def of(p: Mapping[str, float]) -> float:
        rest = p["moisture_pct"] + p["fat_pct"] + p["ash_pct"] + p["soluble_pct"]
        if rest >= 95.0:
            raise InputError("water, fat, ash and soluble matter leave nothing for the leather")
        return p["hide_share"] * (1.0 + p["degree"] / 100.0) / (1.0 - rest / 100.0)

    found = _spread({**parts, "degree": degree}, of)
    return found.low, found.high


def _trade_yield(aim: str) -> str:
    """The trade's figure, which is over limed and, for light leather, shaved skin."""
    wanted = "limed-to-sole" if aim in ("sole", "firm") else "limed-to-light"
    row = next(part for part in animals.weight_ratios() if part.id == wanted)
    return (
        f"The trade reckons {row.ratio_low:g} to {row.ratio_high:g} kg of {row.to_stage} from 1 kg "
        "of limed skin (from memory); whatever was shaved off after weighing is missing here."
    )


def _of_degree(degree: Estimate, usual: Pair) -> str:
    range_words = f"{degree.low:.0f} to {degree.high:.0f} g of tannin on 100 g of hide"
    if degree.high < usual[0]:
        return (
            f"Too little tan for this leather: {range_words}, usual {usual[0]:g} to {usual[1]:g}."
        )
    if degree.low > usual[1]:
        return f"More than usual: {range_words}; loose tan or a wrong weight may be counted in."
    return f"{range_words}; usual is {usual[0]:g} to {usual[1]:g}, so the scale finds no fault."


def _of_yield(value: float, usual: Pair) -> str:
    told = f"1 kg of pelt gave {value:.2f} kg of leather, usual {usual[0]:.2f} to {usual[1]:.2f}"
    if value < usual[0]:
        return f"{told}: thin tannage, much shaved off, or pelt weighed too wet."
    if value > usual[1]:
        return f"{told}: still damp, much fat, or loose tan."
    return f"{told}: as it should be."
