"""The log of each jar as the text of a readings file, as docs/sheet.md describes it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Any, Final

from tanwright.yard.journal.models import Entry
from tanwright.yard.stock.folding import in_order
from tanwright.yard.tannage.readings import readings_from
from tanwright.yard.trials.models import Jar, Trial

_LIKE_A_VAT: Final = ("started", "strength", "look", "cut", "temperature", "taken_out")
"""Kinds that mean of a jar what they mean of a vat."""


def readings_of(trial: Trial) -> dict[int, str]:
    """Number of each jar to its log; a jar of which nothing was noted is left out."""
    rows = list(
        Entry.objects.filter(record_id=trial.pk, kind__startswith="trial.")
        .order_by()
        .values("id", "kind", "data", "happened_at", "written_at", "corrects_id", "standing")
    )
    return texts(in_order(rows), list(trial.jars.all()))


def texts(entries: Iterable[Mapping[str, Any]], jars: Iterable[Jar]) -> dict[int, str]:
    """``entries`` in their order as a readings file for each of ``jars``."""
    by_number = {jar.number: jar for jar in jars}
    of_jar: defaultdict[int, list[Entry]] = defaultdict(list)
    for entry in entries:
        data = entry["data"]
        for number in [data["jar"]] if "jar" in data else by_number:
            jar = by_number.get(number)
            same = None if jar is None else as_of_a_vat(entry, jar)
            if same is not None:
                of_jar[number].append(same)
    return {number: readings_from(rows).text for number, rows in of_jar.items()}


def as_of_a_vat(entry: Mapping[str, Any], jar: Jar) -> Entry | None:
    """``entry`` as it would be noted of a vat, not to be saved; ``None`` for what tells nothing."""
    what = str(entry["kind"]).removeprefix("trial.")
    data = dict(entry["data"])
    if what == "cooked":
        lots = {id: data["part"] * float(kg) for id, kg in jar.shares.items()}
        lots = {id: kg for id, kg in lots.items() if kg >= 1e-4}
        if not lots:
            return None
        what, data = "strengthened", {"lots": lots, "plants": {id: id for id in lots}}
    elif what not in _LIKE_A_VAT:
        return None
    return Entry(
        id=entry["id"], kind=f"tannage.{what}", data=data, happened_at=entry["happened_at"]
    )
