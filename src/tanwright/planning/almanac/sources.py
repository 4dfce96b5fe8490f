"""What each source contributes to the reference."""

from __future__ import annotations

import difflib
import tomllib
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from tanwright.errors import InputError
from tanwright.planning import outside_checks
from tanwright.reference import materials
from tanwright.reference import sources as reference
from tanwright.reference.loader import schema_of, table, table_names
from tanwright.reference.sources import Source


@dataclass(frozen=True)
class SourceUse:
    """One source and what the tool takes from it.

    Attributes
    ----------
    figures, figures_used:
        Published tannin figures from it, and those of them that count for a prior.
    materials:
        Ids of the materials that it gives figures of, or that name it.
    rows:
        Rows of each table that name it, by the name of the table; those with none are left out.
    checks:
        Outside checks (tests against published values) that rest on it.
    words:
        All that in one line.
    """

    source: Source
    figures: int
    figures_used: int
    materials: tuple[str, ...]
    rows: Mapping[str, int]
    checks: int
    words: str


@lru_cache(maxsize=1)
def sources() -> tuple[SourceUse, ...]:
    """Every source, those that give most first; the sources of outside checks alone are among
    them."""
    rows = _rows_by_source()
    checks = Counter(value.source for value in outside_checks.published_values())
    found = [_use(each, rows.get(each.key, {}), checks[each.key]) for each in _everything()]
    return tuple(
        sorted(found, key=lambda use: (-sum(use.rows.values()) - use.checks, use.source.key))
    )


def source_use(key: str) -> SourceUse:
    """One source by its key. Raises InputError with near matches."""
    known = {use.source.key: use for use in sources()}
    if key in known:
        return known[key]
    near = difflib.get_close_matches(key, list(known), n=3, cutoff=0.5)
    raise InputError(
        f'no source has the key "{key}"',
        remedy=f"did you mean {' or '.join(near)}?" if near else "see the list of sources",
    )


def _everything() -> list[Source]:
    listed = list(reference.sources())
    keys = {each.key for each in listed}
    path = outside_checks.FOLDER / "sources.toml"
    others = tomllib.loads(path.read_text(encoding="utf-8"))
    return listed + [
        _of_checks(key, entry["citation"]) for key, entry in others.items() if key not in keys
    ]


def _of_checks(key: str, citation: str) -> Source:
    strength = "weak" if "weak evidence" in citation else "read"
    if "from memory" in citation:
        strength = "memory"
    return Source(
        key=key,
        author="",
        year="n.d.",
        title=citation.removesuffix("; web, weak evidence"),
        how_read="",
        licence="facts only",
        group=key,
        strength=strength,
    )


@lru_cache(maxsize=1)
def _rows_by_source() -> dict[str, dict[str, int]]:
    """Rows that name a source, by its key and the table."""
    found: dict[str, dict[str, int]] = {}
    for name in table_names():
        columns = [
            column.name for column in schema_of(name).columns if column.refers == "sources.key"
        ]
        for row in table(name):
            keys = {word for column in columns for word in row.words(column)}
            for key in keys:
                tables = found.setdefault(key, {})
                tables[name] = tables.get(name, 0) + 1
    return found


def _use(source: Source, rows: Mapping[str, int], checks: int) -> SourceUse:
    figures = _figures().get(source.key, ())
    ids = dict.fromkeys([row.material_id for row in figures])
    ids |= dict.fromkeys(item.id for item in materials.materials() if source.key in item.sources)
    used = sum(row.use == "prior" for row in figures)
    return SourceUse(
        source=source,
        figures=len(figures),
        figures_used=used,
        materials=tuple(sorted(ids)),
        rows=dict(rows),
        checks=checks,
        words=_words(len(figures), used, len(ids), rows, checks),
    )


@lru_cache(maxsize=1)
def _figures() -> dict[str, tuple[materials.Observation, ...]]:
    found: dict[str, list[materials.Observation]] = {}
    for row in materials.observations():
        found.setdefault(row.source, []).append(row)
    return {key: tuple(rows) for key, rows in found.items()}


def _words(figures: int, used: int, plants: int, rows: Mapping[str, int], checks: int) -> str:
    told = []
    if figures:
        left = figures - used
        unused = f", {left} of them shown but not counted" if left else ""
        told.append(f"{_many(figures, 'tannin figure')}{unused}")
    if plants:
        told.append(f"named with {_many(plants, 'plant part')}")
    others = sum(count for name, count in rows.items() if name not in ("observations", "materials"))
    if others:
        told.append(f"{_many(others, 'row')} of other tables")
    if checks:
        told.append(f"{_many(checks, 'outside check')}")
    return "; ".join(told) or "background of a method, no figure"


def _many(count: int, noun: str) -> str:
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"
