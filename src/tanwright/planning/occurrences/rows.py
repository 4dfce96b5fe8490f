"""The wanted cells of each row, whatever columns a table has, and rows joined with their core."""

from __future__ import annotations

from collections.abc import Iterator
from operator import itemgetter
from typing import Final

from tanwright.errors import InputError
from tanwright.planning.occurrences import terms
from tanwright.planning.occurrences.opening import Table

Cells = tuple[str, ...]
"""Of one row, in the order of ``ORDER``."""

ORDER: Final = (
    *terms.NAMES, terms.GENUS, terms.KINGDOM, terms.BASIS, terms.STATUS, terms.COUNT,
    terms.EVENT_DATE, *terms.DATE_PARTS, terms.LATITUDE, terms.LONGITUDE, terms.UNCERTAINTY,
    terms.LICENCE,
)  # fmt: skip
NAME: Final = slice(0, 6)
"""Names, genus and kingdom."""
KIND_OF_RECORD: Final = slice(6, 9)
"""Basis of record, status and count."""
DATE: Final = slice(9, 13)
PLACE: Final = slice(13, 16)
LICENCE: Final = 16

MOST_CORE_ROWS: Final = 400_000
"""Rows of a core table (events, taxa) that are kept in memory to be joined."""

RAGGED: Final = "it has more or fewer columns than it should"
ORPHAN: Final = "the row that it belongs to is missing"


def picked(table: Table) -> Iterator[tuple[int, Cells | str]]:
    """Number of the line and wanted cells of each row, or what is wrong with it."""
    for line, row, cells in _taken(table):
        yield line, cells if row else cells[0]


def joined(records: Table, core: CoreRows) -> Iterator[tuple[int, Cells | str]]:
    """As :func:`picked`, what a record leaves open filled in from its row of the core."""
    key = records.layout.id_column or 0
    for line, row, cells in _taken(records):
        if not row:
            yield line, cells[0]
        elif row[key] not in core:
            yield line, ORPHAN
        else:
            pairs = zip(cells, core.cells(row[key]), strict=True)
            yield line, tuple(own or other for own, other in pairs)


class CoreRows:
    """The wanted cells of a core table by the id of its rows.

    Raises InputError when there are more rows than memory is meant for.
    """

    def __init__(self, core: Table) -> None:
        layout = core.layout
        told = layout.terms
        self._have = tuple(at for at, term in enumerate(ORDER) if term in told)
        self._rows: dict[str, Cells] = {}
        same: dict[str, str] = {}
        for _, row, cells in _taken(core):
            if not row or layout.id_column is None:
                continue  # its records find nothing and are refused one by one
            if len(self._rows) >= MOST_CORE_ROWS:
                raise InputError(
                    f"it has more than {MOST_CORE_ROWS // 1000} thousand rows",
                    place=core.place,
                    remedy="take a file whose rows are occurrences themselves",
                )
            self._rows[row[layout.id_column]] = tuple(
                same.setdefault(cells[at], cells[at]) for at in self._have
            )

    def __contains__(self, id: str) -> bool:
        return id in self._rows

    def cells(self, id: str) -> Cells:
        """Cells of the row ``id``; KeyError when there is none."""
        spread = [""] * len(ORDER)
        for at, text in zip(self._have, self._rows[id], strict=True):
            spread[at] = text
        return tuple(spread)


def _taken(table: Table) -> Iterator[tuple[int, list[str], Cells]]:
    """Number of the line, the row with an empty cell at its end, and its wanted cells.

    Of a line that is no row: an empty row, and what is wrong with it as the only cell.
    """
    layout = table.layout
    pick = itemgetter(*(layout.columns.get(term, -1) for term in ORDER))
    filled = [(at, layout.constants[term]) for at, term in enumerate(ORDER)
              if term in layout.constants]  # fmt: skip
    width, exact = layout.width, layout.exact
    for line, row in table.rows():
        if isinstance(row, str):
            yield line, [], (row,)
        elif len(row) < width or (exact and len(row) != width):
            yield line, [], (RAGGED,)
        else:
            row.append("")
            cells: Cells = pick(row)
            if filled:
                some = list(cells)
                for at, text in filled:
                    some[at] = some[at] or text
                cells = tuple(some)
            yield line, row, cells
