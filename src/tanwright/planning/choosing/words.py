"""The ranking in words: why each part is as it is, and one sentence for the whole."""

from __future__ import annotations

from collections.abc import Mapping

from tanwright.planning.answers import Range
from tanwright.planning.choosing.facts import FIT, WEIGHT_OF
from tanwright.planning.choosing.purpose import Near, Purpose
from tanwright.planning.choosing.season import Season
from tanwright.reference.materials import Material
from tanwright.units import System, format_range, rounded

GOOD, BAD = 0.7, 0.45
"""A part from GOOD on speaks for a material, one below BAD against it."""

_RECORD = {
    "industrial": "the trade has tanned with it",
    "traditional": "people have tanned with it by tradition",
    "tried": "it was tried, with reports",
    "content-only": "nobody tells of leather made with it",
}
_HARM = {
    "harmless": "gathering does the plant no harm",
    "byproduct": "it is left over from felling or from another use",
    "recoverable": "the plant recovers when a small share is taken",
    "kills": "taking it kills the plant",
}
_WORK = {
    "leaf": "leaves are plucked",
    "twig-leaf": "leafy twigs are cut",
    "whole-herb": "the herb is cut",
    "bark": "bark must be peeled",
    "root-bark": "roots must be dug and peeled",
    "root": "roots must be dug",
    "rhizome": "rhizomes must be dug",
    "wood": "wood must be chipped",
    "exudate": "the sap must be tapped",
    "gall": "galls are picked one by one",
}
_KIND = {
    "condensed": "its condensed tannin", "gallotannin": "its gallotannin",
    "ellagitannin": "its ellagitannin", "hydrolysable": "its hydrolysable tannin",
    "mixed": "its mixture of tannins", "unknown": "the kind of its tannin is not known",
}  # fmt: skip
WELL = 0.9
"""A class that fits at least so well suits the leather; a lesser one serves."""
_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")


def reasons_of(
    item: Material,
    purpose: Purpose,
    *,
    amount: str,
    figures: int,
    season: Season,
    near: Near | None,
    system: System,
) -> dict[str, str]:
    """A clause for each part; ``amount`` as :func:`mass` tells it."""
    return {
        "quality": _quality(item, purpose.leather),
        "amount": f"{amount} of it, air-dry, will do for the skin",
        "evidence": _evidence(figures),
        "source": _source(item),
        "effort": _effort(item, season, near, purpose, system),
    }


def sentence_of(
    parts: Mapping[str, float],
    reasons: Mapping[str, str],
    weights: Mapping[str, float],
    *,
    proven: bool,
    beginner: bool,
) -> str:
    """What the leather may be and how much it takes; then what else speaks for it most, and what
    against it."""
    others = [name for name in ("evidence", "source", "effort") if weights[name] > 0.0]
    good = sorted(
        (name for name in others if parts[name] >= GOOD), key=lambda n: -weights[n] * parts[n]
    )
    bad = sorted(
        (name for name in others if parts[name] < BAD), key=lambda n: -weights[n] * (1 - parts[n])
    )
    told = f"{reasons['quality']}; {_listed([reasons['amount'], *(reasons[n] for n in good[:1])])}"
    if bad:
        told += f"; but {_listed([reasons[name] for name in bad[:2]])}"
    if beginner and not proven:
        told = f"not proven, so it stands after the proven ones: {told}"
    return f"{told[:1].upper()}{told[1:]}."


def mass(kg: Range, system: System) -> str:
    """5th to 95th percentile in one unit."""
    return format_range(kg.p05, kg.p95, "mass", system)


def _quality(item: Material, aim: str) -> str:
    told = _RECORD[item.track_record]
    said = ", ".join(part for part in (item.leather_colour, item.leather_character) if part)
    if said:
        return f"{told} (leather: {said.replace(';', ',')})"
    kind = _KIND[item.tannin_class]
    if item.tannin_class == "unknown":
        return f"{told}, and {kind}"
    suits = "suits" if FIT[WEIGHT_OF[aim]][item.tannin_class] >= WELL else "serves for"
    return f"{told}, and {kind} {suits} {WEIGHT_OF[aim]} leather"


def _evidence(figures: int) -> str:
    if figures == 0:
        return "no source gives a figure for its tannin"
    number = _NUMBERS[figures] if figures < len(_NUMBERS) else str(figures)
    if figures == 1:
        return "one source gives its tannin"
    return f"{number} independent sources give its tannin"


def _source(item: Material) -> str:
    if "protected" in item.hazards:
        return "it is protected in places"
    if "invasive" in item.hazards:
        return "it spreads as a weed in places, where taking it does good"
    if item.gather_effect == "kills" and item.part in ("bark", "wood"):
        return f"{_HARM['kills']}, so only felled or fallen ones will do"
    return _HARM[item.gather_effect]


def _effort(
    item: Material, season: Season, near: Near | None, purpose: Purpose, system: System
) -> str:
    told = [_WORK.get(item.part, "it is picked up or plucked"), season.when]
    if near is not None:
        told.append(f"it was seen {_far(near.km, system)} away")
    elif purpose.seen:
        told.append("it was not seen within reach")
    return _listed(told)


def _far(km: float, system: System) -> str:
    if system == "us":
        return f"{rounded(km / 1.609344)} mi"
    return f"{rounded(km)} km"


def _listed(clauses: list[str]) -> str:
    if len(clauses) < 2:
        return "".join(clauses)
    return f"{', '.join(clauses[:-1])}, and {clauses[-1]}"
