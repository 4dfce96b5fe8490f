"""Brings the kept columns of liquors up to date from their live entries."""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db.models import Q

from tanwright.yard.journal.models import Entry, Touch
from tanwright.yard.liquors.account import CONCERNS, GIVERS, Happening, Tub, follow
from tanwright.yard.liquors.models import Liquor
from tanwright.yard.stock.folding import in_order


def fold(liquor_id: uuid.UUID) -> None:
    """Fold the entries of a liquor, and of all that it was ever mixed with, into their columns."""
    ids = mixed_with(liquor_id)
    tubs = follow(happenings(ids))
    for liquor in Liquor.objects.filter(pk__in=ids):
        keep(liquor, tubs.get(liquor.pk, Tub()))


def mixed_with(liquor_id: uuid.UUID) -> set[uuid.UUID]:
    """The liquor and every other that litres ever went to or came from, step by step."""
    found, edge = {liquor_id}, {liquor_id}
    while edge:
        pairs = Touch.objects.filter(
            Q(record__in=edge) | Q(entry__record__in=edge), role__in=GIVERS
        ).values_list("record_id", "entry__record_id")
        edge = {id for pair in pairs for id in pair} - found
        found |= edge
    return found


def happenings(ids: set[uuid.UUID]) -> list[Happening]:
    """Live entries that change any of the liquors ``ids``, in order."""
    rows = list(
        Entry.objects.filter(
            Q(record__in=ids) | Q(touches__record__in=ids, touches__role__in=CONCERNS)
        )
        .order_by()
        .values("id", "record_id", "kind", "data", "happened_at", "written_at", "corrects_id",
                "standing")
    )  # fmt: skip
    live = in_order(rows)
    touched: dict[uuid.UUID, list[tuple[uuid.UUID, str]]] = defaultdict(list)
    for entry_id, id, role in Touch.objects.filter(
        entry__in=[row["id"] for row in live], record__in=ids, role__in=CONCERNS
    ).values_list("entry_id", "record_id", "role"):
        touched[entry_id].append((id, role))
    return [one for row in live for one in _of_row(row, ids, touched.get(row["id"], []))]


def _of_row(
    row: Mapping[str, Any], ids: set[uuid.UUID], touched: list[tuple[uuid.UUID, str]]
) -> list[Happening]:
    at: datetime = row["happened_at"]
    own = row["record_id"] if row["record_id"] in ids else None
    if own is None:
        return [Happening(at, row["kind"], row["data"], None, id, role) for id, role in touched]
    giver, role = touched[0] if touched else (None, "")
    return [Happening(at, row["kind"], row["data"], own, giver, role)]


def keep(liquor: Liquor, tub: Tub) -> None:
    """Write ``tub`` into the kept columns of ``liquor``, if they differ.

    Of many liquors that were mixed with one another an entry changes few.
    """
    before = [getattr(liquor, name) for name in _KEPT]
    low, likely, high = tub.expected or (None, None, None)
    if tub.gone:
        liquor.state = Liquor.State.GONE
    else:
        liquor.state = Liquor.State.KEPT if tub.spent_at is None else Liquor.State.SPENT
    liquor.where, liquor.made_at, liquor.spent_at = tub.where, tub.made_at, tub.spent_at
    liquor.volume_l, liquor.over_l = tub.volume_l, tub.over_l
    liquor.strength_bk, liquor.strength_how, liquor.strength_at = tub.bk, tub.how, tub.at
    liquor.liquor_c = tub.liquor_c
    liquor.expected_low_bk, liquor.expected_bk, liquor.expected_high_bk = low, likely, high
    liquor.materials = {id: kg for id, kg in tub.materials.items() if kg > 1e-9}
    if [getattr(liquor, name) for name in _KEPT] != before:
        liquor.save(update_fields=_KEPT)


_KEPT = (
    "where", "state", "volume_l", "over_l", "strength_bk", "strength_how", "strength_at",
    "liquor_c", "expected_low_bk", "expected_bk", "expected_high_bk", "made_at", "spent_at",
    "materials",
)  # fmt: skip
