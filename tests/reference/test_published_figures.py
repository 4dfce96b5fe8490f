"""Figures typed again from the books must be found in the table, under the same source.

The list was written from notes of the printed pages, apart from the table of observations.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from tanwright.reference.materials import material
from tanwright.reference.priors import tannin_prior

FIGURES = Path(__file__).parent / "published_figures.csv"


def rows() -> list[dict[str, str]]:
    with FIGURES.open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(handle))


def label(row: dict[str, str]) -> str:
    return f"{row['source']}-{row['material_id']}-{row['printed_low']}-{row['printed_high']}"


@pytest.mark.parametrize("row", rows(), ids=label)
def test_a_published_figure_is_found_again_at_its_printed_digits(row: dict[str, str]) -> None:
    def printed(value: float | None) -> str:
        return "" if value is None else f"{value:.{int(row['digits'])}f}"

    wanted = tuple(
        f"{float(cell):.{int(row['digits'])}f}" if cell else ""
        for cell in (row["printed_low"], row["printed_high"])
    )
    held = {
        (printed(part.low_pct), printed(part.high_pct))
        for part in material(row["material_id"]).observations
        if part.source == row["source"]
    }
    assert wanted in held


def test_there_are_enough_of_them() -> None:
    assert len(rows()) >= 40
    assert {row["kind"] for row in rows()} == {"published"}


@pytest.mark.parametrize("row", rows(), ids=label)
def test_the_prior_of_one_lot_does_not_exclude_a_published_figure(row: dict[str, str]) -> None:
    """The upper end of every printed figure is a lot that the prior holds possible (99.5 %)."""
    unknown = tannin_prior(row["material_id"]).unknown
    share = float(row["printed_high"]) / 100.0
    assert abs(float(unknown.z(share))) < 2.81
