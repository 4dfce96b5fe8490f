"""The ways of tanning that a question compares, the control always among them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Final, Literal, get_args

import numpy as np

from tanwright.errors import InputError
from tanwright.planning.trials.records import CONTROL, Treatment
from tanwright.reference import materials
from tanwright.science.trials import doses, mixtures

Question = Literal["which", "dose", "blend", "pretreatment"]
QUESTIONS: Final[tuple[str, ...]] = get_args(Question)
ASKED: Final[Mapping[str, str]] = {
    "which": "Which of these plants?",
    "dose": "How much of this one?",
    "blend": "Which blend?",
    "pretreatment": "Which way of preparing the skin?",
}
_KEY: Final = 40
"""Letters of a key at most."""
_ALIKE: Final = 0.02
"""Blends whose shares differ by less than this are the same blend."""


def which(usual: Mapping[str, float], others: Sequence[str]) -> tuple[Treatment, ...]:
    """The usual plant or blend against each of ``others`` alone.

    Raises InputError when nothing is left to compare, or a plant is not known.
    """
    usual = _shares(usual)
    found = [Treatment(CONTROL, f"{named(usual)} (the usual)", usual)]
    for id in dict.fromkeys(materials.material(id).id for id in others):
        if not _same({id: 1.0}, usual):
            found.append(Treatment(id, materials.material(id).name, {id: 1.0}))
    if len(found) < 2:
        raise InputError(
            "there is nothing to compare the usual plant with",
            place="plants",
            remedy="choose one more plant",
        )
    return tuple(found)


def dose(
    usual: Mapping[str, float],
    usual_dose: float,
    rungs: int = 4,
    span: float = doses.SPAN,
    *,
    most: float | None = None,
) -> tuple[Treatment, ...]:
    """A ladder of doses of the usual plant around the usual dose.

    ``usual_dose`` is kg of dry material to kg of wet pelt, ``most`` the highest that the stock
    allows in one treatment. Raises InputError.
    """
    usual = _shares(usual)
    found = []
    for value in doses.ladder(usual_dose, rungs, span, most=most):
        times = float(value) / usual_dose
        if abs(times - 1.0) < 1e-6:
            found.append(Treatment(CONTROL, "the usual amount", usual, usual_dose))
        else:
            key = f"dose-{times:.2f}".replace(".", "-")
            label = f"{times:.2g} times the usual amount"
            found.append(Treatment(key, label, usual, round(float(value), 4)))
    return _control_first(found)


def blend(
    usual: Mapping[str, float],
    plants: Sequence[str],
    *,
    blends: int | None = None,
    stock_kg: Mapping[str, float | None] | None = None,
    kg_each: float = 0.0,
) -> tuple[tuple[Treatment, ...], float]:
    """Blends of ``plants`` that map the whole field between them, and their D-efficiency.

    Without a limit of stock two plants give 100, 67, 33 and 0 %, three the centroid design (each
    alone, each pair, all three), more of them the pure ones and the pairs.  With one, the best
    blends that the stock allows.  The usual blend is the control: one of these when it is among
    them, else one treatment more.

    Parameters
    ----------
    usual:
        Shares of the usual blend.
    plants:
        Material ids, two to five.
    blends:
        How many, when it should not be the usual number.
    stock_kg:
        Dry kg in hand by material; missing or ``None``: enough.
    kg_each:
        Dry kg in the jars of one blend.

    Raises
    ------
    InputError
        For fewer than two plants, or a stock that is too small.
    """
    usual = _shares(usual)
    ids = list(dict.fromkeys(materials.material(id).id for id in plants))
    if len(ids) < 2:
        raise InputError("a blend needs two plants", place="plants", remedy="choose another plant")
    number = len(ids)
    room = [None if stock_kg is None else stock_kg.get(id) for id in ids]
    usual_number = {2: 4, 3: 7}.get(number, mixtures.enough_for(number, 2))
    wanted = blends or usual_number
    plain = _plain_blends(number)
    tight = kg_each > 0.0 and any(
        kg is not None and float(plain[:, index].sum()) * kg_each > kg
        for index, kg in enumerate(room)
    )
    if not tight and wanted == len(plain):
        shares, efficiency = plain, 1.0
    else:
        chosen = mixtures.within_stock(number, wanted, room, kg_each or 1e-9)
        shares, efficiency = chosen.shares, chosen.efficiency
    found = [_blend(ids, row, usual) for row in shares]
    found = _keys_apart(found)
    if not any(item.key == CONTROL for item in found):
        found.append(Treatment(CONTROL, f"{named(usual)} (the usual)", usual))
    return _control_first(found), efficiency


def pretreatment(
    usual: Mapping[str, float], ways: Sequence[str], usual_way: str = ""
) -> tuple[Treatment, ...]:
    """Other ``ways`` of preparing the skin, in words, against the usual one; one liquor for all."""
    usual = _shares(usual)
    said = [way.strip() for way in ways if way.strip()]
    if not said:
        raise InputError(
            "no other way was named", place="ways", remedy='write one a line, like "bated a day"'
        )
    found = [Treatment(CONTROL, usual_way or "prepared as usual", usual, None, usual_way)]
    for number, way in enumerate(dict.fromkeys(said), 1):
        found.append(Treatment(f"way-{number}", way, usual, None, way))
    return tuple(found)


def _plain_blends(number: int) -> np.ndarray:
    if number == 2:
        return mixtures.lattice(2, 3)
    if number == 3:
        return mixtures.centroid(3)
    return mixtures.lattice(number, 2)


def _blend(ids: Sequence[str], row: np.ndarray, usual: Mapping[str, float]) -> Treatment:
    shares = {id: round(float(part), 4) for id, part in zip(ids, row, strict=True) if part > 1e-6}
    whole = sum(shares.values())
    shares = {id: part / whole for id, part in shares.items()}
    if _same(shares, usual):
        return Treatment(CONTROL, f"{named(usual)} (the usual)", dict(usual))
    words = _short(ids)
    key = "-".join(f"{words[id]}{100 * part:.0f}" for id, part in shares.items())
    return Treatment(key[:_KEY], named(shares), shares)


def _short(ids: Sequence[str]) -> dict[str, str]:
    """A word for each material: its genus, or the rest of its id where two of one genus meet."""
    genus = Counter(id.split("-")[0] for id in ids)
    return {
        id: first if genus[first] == 1 else rest or first
        for id in ids
        for first, _, rest in [id.partition("-")]
    }


def _keys_apart(found: Sequence[Treatment]) -> list[Treatment]:
    """The same treatments, a number behind a key that an earlier one has."""
    taken: set[str] = set()
    out = []
    for item in found:
        key, number = item.key, 1
        while key in taken:
            number += 1
            key = f"{item.key[: _KEY - 4]}-{number}"
        taken.add(key)
        out.append(replace(item, key=key))
    return out


def _shares(parts: Mapping[str, float]) -> dict[str, float]:
    known = {materials.material(id).id: float(part) for id, part in parts.items() if part > 0.0}
    whole = sum(known.values())
    if whole <= 0.0:
        raise InputError(
            "nobody said what the usual plant is", place="plants", remedy="choose a plant"
        )
    return {id: part / whole for id, part in known.items()}


def _same(one: Mapping[str, float], other: Mapping[str, float]) -> bool:
    return all(
        abs(one.get(id, 0.0) - other.get(id, 0.0)) < _ALIKE for id in one.keys() | other.keys()
    )


def named(shares: Mapping[str, float]) -> str:
    """Shares in words: ``"67 % English oak bark, 33 % common alder bark"``."""
    if len(shares) == 1:
        return materials.material(next(iter(shares))).name
    return ", ".join(
        f"{100 * part:.0f} % {materials.material(id).name}" for id, part in shares.items()
    )


def _control_first(found: Sequence[Treatment]) -> tuple[Treatment, ...]:
    return tuple(sorted(found, key=lambda item: item.key != CONTROL))
