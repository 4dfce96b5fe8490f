"""Outside checks: values printed by others, held against what tanwright makes of the same inputs.

The values lie in reference/published/, one file for each source. ``tanwright checks`` shows every
one of them, and the tests demand that all agree within the tolerance stated in their row.
"""

from __future__ import annotations

import csv
import math
import re
import tomllib
from dataclasses import dataclass
from pathlib import Path

from tanwright.errors import DataError
from tanwright.planning.outside_facts import FACTS
from tanwright.planning.outside_quantities import SCIENCE, Inputs, Ours, Quantity
from tanwright.reference import loader

FOLDER = Path(loader.__file__).parent / "published"
COLUMNS = (
    "id",
    "quantity",
    "label",
    "inputs",
    "published",
    "unit",
    "tolerance",
    "kind",
    "provenance",
    "locator",
    "note",
)
KINDS = ("published", "handbook", "worked-example", "common-practice", "memory")
PROVENANCES = ("read", "memory")
QUANTITIES: dict[str, Quantity] = {**SCIENCE, **FACTS}
_RANGE = re.compile(r"^(\d+(?:\.\d+)?)-(\d+(?:\.\d+)?)$")
_SLACK = 1e-9


@dataclass(frozen=True)
class PublishedValue:
    """One row of a published file; all cells as text. ``source`` is the name of its file."""

    id: str
    quantity: str
    label: str
    inputs: str
    published: str
    unit: str
    tolerance: str
    kind: str
    provenance: str
    locator: str
    note: str
    source: str
    line: int


@dataclass(frozen=True)
class OutsideCheck:
    """A published value beside ours.

    Attributes
    ----------
    published, ours:
        As text: a number, a range "a-b" or words.
    difference:
        Ours less published where both are numbers, the worse end of a range; how far outside for
        the wide rules (0 when inside); None for words.
    tolerance:
        A number, or a rule: "within" (ours lies in the published range), "holds" (our range holds
        the published value), "at most", "factor k", "same text".
    kind, provenance:
        published, handbook, worked-example, common-practice or memory; read, or from memory.
    source, citation, locator:
        Key of the source, who and what it is, and where in it.
    """

    id: str
    label: str
    inputs: str
    published: str
    ours: str
    difference: float | None
    tolerance: str
    ok: bool
    unit: str
    kind: str
    provenance: str
    source: str
    citation: str
    locator: str
    note: str


def published_values(folder: Path = FOLDER) -> tuple[PublishedValue, ...]:
    """All published values, by file and line. Raises DataError naming file, line and column."""
    found: list[PublishedValue] = []
    seen: dict[str, str] = {}
    for path in sorted(folder.glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as handle:
            reader = csv.DictReader(handle, strict=True)
            if tuple(reader.fieldnames or ()) != COLUMNS:
                raise DataError(
                    "the columns are not those of a published file",
                    place=f"{path.name} line 1",
                    remedy="write the header: " + ",".join(COLUMNS),
                )
            for cells in reader:
                place = f"{path.name} line {reader.line_num}"
                if None in cells or None in cells.values():
                    raise DataError("the row has not as many cells as the header", place=place)
                value = PublishedValue(**cells, source=path.stem, line=reader.line_num)
                _refuse_bad(value, place)
                if value.id in seen:
                    raise DataError(f"repeats the id {value.id} of {seen[value.id]}", place=place)
                seen[value.id] = place
                found.append(value)
    return tuple(found)


def citations(folder: Path = FOLDER) -> dict[str, str]:
    """Who and what each source is: the sources table, and those named only here."""
    told = {
        row.text("key"): f"{row.text('author')} ({row.text('year')}), {row.text('title')}"
        for row in loader.table("sources")
    }
    extra = tomllib.loads((folder / "sources.toml").read_text(encoding="utf-8"))
    return told | {key: str(entry["citation"]) for key, entry in extra.items()}


def run_checks(folder: Path = FOLDER) -> tuple[OutsideCheck, ...]:
    """Every outside check, computed now with the functions the plan uses.

    Raises DataError for a row that cannot be computed, naming its file and line.
    """
    told = citations(folder)
    return tuple(_check(value, told) for value in published_values(folder))


def _refuse_bad(value: PublishedValue, place: str) -> None:
    if value.quantity not in QUANTITIES:
        raise DataError(f'unknown quantity "{value.quantity}"', place=f"{place} column quantity")
    if value.kind not in KINDS:
        raise DataError(
            f'unknown kind "{value.kind}"',
            place=f"{place} column kind",
            remedy="use one of " + ", ".join(KINDS),
        )
    if value.provenance not in PROVENANCES:
        raise DataError(
            f'unknown provenance "{value.provenance}"',
            place=f"{place} column provenance",
            remedy="write read or memory",
        )
    for name in ("id", "label", "published", "tolerance"):
        if not getattr(value, name):
            raise DataError(f"{name} is empty", place=f"{place} column {name}")


def _check(value: PublishedValue, told: dict[str, str]) -> OutsideCheck:
    inputs = Inputs(part.strip().split("=", 1) for part in value.inputs.split(";") if "=" in part)
    place = f"{value.source}.csv line {value.line}"
    try:
        ours = QUANTITIES[value.quantity](inputs)
        ok, difference = compare(value.published, ours, value.tolerance)
    except (KeyError, ValueError, StopIteration) as err:
        raise DataError(f"cannot be computed ({err})", place=place) from err
    return OutsideCheck(
        id=value.id,
        label=value.label,
        inputs=value.inputs,
        published=value.published,
        ours=_shown(ours),
        difference=difference,
        tolerance=value.tolerance,
        ok=ok,
        unit=value.unit,
        kind=value.kind,
        provenance=value.provenance,
        source=value.source,
        citation=told.get(value.source, ""),
        locator=value.locator,
        note=value.note,
    )


def compare(published: str, ours: Ours, tolerance: str) -> tuple[bool, float | None]:
    """Whether ours agrees with the printed text under its rule, and the difference.

    Raises ValueError for a rule or a text that cannot be read.
    """
    if tolerance == "same text":
        return published == _shown(ours), None
    if isinstance(ours, str):
        return False, None
    low, high = _ends(published)
    mine_low, mine_high = ours if isinstance(ours, tuple) else (ours, ours)
    if tolerance == "within":
        return _inside((mine_low, mine_high), (low, high))
    if tolerance == "holds":
        return _inside((low, high), (mine_low, mine_high))
    if tolerance == "at most":
        over = max(mine_high - high, 0.0)
        return over <= _SLACK * abs(high), over
    if tolerance.startswith("factor "):
        factor = float(tolerance.removeprefix("factor "))
        ratio = abs(math.log(mine_high / high))
        return ratio <= math.log(factor) + _SLACK, mine_high - high
    gaps = (mine_low - low, mine_high - high)
    worst = max(gaps, key=abs)
    slack = _SLACK * max(abs(low), abs(high))
    return abs(worst) <= float(tolerance) + slack, worst


def _inside(inner: tuple[float, float], outer: tuple[float, float]) -> tuple[bool, float]:
    below, above = outer[0] - inner[0], inner[1] - outer[1]
    out = max(below, above, 0.0)
    return out <= _SLACK * max(abs(outer[0]), abs(outer[1])), out


def _ends(text: str) -> tuple[float, float]:
    match = _RANGE.match(text)
    if match:
        return float(match[1]), float(match[2])
    return float(text), float(text)


def _shown(ours: Ours) -> str:
    if isinstance(ours, str):
        return ours
    if isinstance(ours, tuple):
        low, high = (f"{end:.5g}" for end in ours)
        return low if low == high else f"{low}-{high}"
    return f"{ours:.6g}"
