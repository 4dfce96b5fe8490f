"""The person's own measures: "my bucket holds 8 kg of pounded pods", calibrated once.

A container is given in a sheet (``[container.bucket] holds = "8 kg"``, with ``of`` for what it was
filled with) or on the command line (``bucket=8 kg``).  From then on "3 buckets" is an amount, and
amounts can be told in buckets.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from tanwright import units
from tanwright.errors import InputError, UnitError
from tanwright.planning.sheet import Container


def read_container(text: str, *, place: str = "") -> Container:
    """A container written as ``NAME=HOLDS``, such as ``bucket=8 kg`` or ``bucket=12 L``.

    Raises InputError when there is no name, or when it holds neither a mass nor a volume above
    zero.
    """
    name, _, holds = (part.strip() for part in text.partition("="))
    if not name or not holds:
        raise InputError(
            f'"{text}" is not a container', place=place, remedy="write bucket=8kg or bucket=12L"
        )
    return container(name, holds, place=place)


def container(name: str, holds: str, *, of: str = "", place: str = "") -> Container:
    """The container ``name`` that holds a mass of material (``"8 kg"``) or a volume (``"12 L"``).

    Raises InputError (UnitError) when ``holds`` is neither, or is not above zero.
    """
    kg: float | None = None
    litres: float | None = None
    try:
        kg = units.mass_kg(holds, place=place)
    except UnitError:
        try:
            litres = units.volume_l(holds, place=place)
        except UnitError as error:
            raise UnitError(error.what, place=place, remedy="write 8 kg, or 12 L") from None
    if not (kg or litres):
        raise InputError(f'"{holds}" is not above zero', place=place, remedy="write 8 kg, or 12 L")
    return Container(name, kg, litres, of)


def mass_in(
    text: object, containers: Iterable[Container], *, of: str = "", place: str = ""
) -> float:
    """A mass in kg, with a unit ("6 kg") or in the person's own containers ("3 buckets").

    ``of`` is the material asked for.  Raises UnitError for an unknown unit or a container that was
    given in litres, InputError for one that was weighed with another material.
    """
    counted = _counted(text, containers, "mass", place)
    if counted is None:
        return units.mass_kg(text, place=place)
    number, found = counted
    if found.holds_kg is None:
        raise UnitError(
            f"a {found.name} was given in litres, which says nothing of its weight",
            place=place,
            remedy=f'weigh one full and write [container.{found.name}] holds = "8 kg"',
        )
    if of and found.of and found.of != of:
        raise InputError(
            f"a {found.name} was weighed with {found.of}, not with {of}",
            place=place,
            remedy=f"weigh one full of {of}, or give the amount in kg or lb",
        )
    return number * found.holds_kg


def volume_in(text: object, containers: Iterable[Container], *, place: str = "") -> float:
    """A volume in litres, with a unit ("20 L") or in the person's own containers ("3 buckets").

    Raises UnitError for an unknown unit or a container that was given by weight.
    """
    counted = _counted(text, containers, "volume", place)
    if counted is None:
        return units.volume_l(text, place=place)
    number, found = counted
    if found.holds_l is None:
        raise UnitError(
            f"a {found.name} was given by weight, which says nothing of its litres",
            place=place,
            remedy=f"measure one and write {found.name}=12L",
        )
    return number * found.holds_l


def _counted(
    text: object, containers: Iterable[Container], kind: str, place: str
) -> tuple[float, Container] | None:
    """``(3.0, bucket)`` for "3 buckets"; None when the text names none of the containers."""
    known = {item.name.casefold(): item for item in containers}
    example = "2.4 kg or 5 lb" if kind == "mass" else "20 L or 5 gal"
    if known:
        example += f", or count in {', '.join(_plural(name) for name in known)}"
    terms = units.terms(text, kind=kind, example=example, place=place)
    number, unit = terms[0]
    unit = unit.removeprefix("of a ").removeprefix("of ")
    found = (
        known.get(unit) or known.get(unit.removesuffix("s")) or known.get(unit.removesuffix("es"))
    )
    if found is None:
        return None
    if len(terms) > 1 or number < 0.0:
        raise InputError(f'"{text}" is not one {kind}', place=place, remedy=f"write {example}")
    return number, found


def in_containers(
    low: float, high: float, containers: Iterable[Container], *, kind: str = "mass", of: str = ""
) -> str:
    """A range of kg (or litres, ``kind="volume"``) told in the first container that fits it:
    ``"1 to 2 buckets"``; empty when none fits.

    Halves are told up to five, whole ones from there on; one amount that this would falsify by more
    than an eighth is told in no container at all.
    """
    for item in containers:
        size = item.holds_kg if kind == "mass" else item.holds_l
        if size is None or (kind == "mass" and of and item.of and item.of != of):
            continue
        if low == high and low > 0.0 and abs(_rounded(low / size) * size / low - 1.0) > 0.12:
            continue
        texts = list(dict.fromkeys(_count(value / size) for value in (low, high)))
        alone = texts[-1] in ("½", "1")
        return f"{' to '.join(texts)} {item.name if alone else _plural(item.name)}"
    return ""


def _rounded(number: float) -> float:
    """To halves up to five, to whole ones from there on; something is never nothing."""
    if not math.isfinite(number):
        return number
    if number >= 5.0:
        return float(round(number))
    return max(1, round(number * 2.0)) / 2.0 if number > 0.0 else 0.0


def _count(number: float) -> str:
    if not math.isfinite(number):
        return "any number of"
    if number >= 5.0:
        return str(round(number))
    whole, half = divmod(round(2.0 * _rounded(number)), 2)
    return f"{whole or ''}½" if half else str(whole)


def _plural(name: str) -> str:
    if name.endswith("s"):
        return name
    return name + ("es" if name.endswith(("x", "ch", "sh")) else "s")
