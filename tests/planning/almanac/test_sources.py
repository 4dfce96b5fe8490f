"""The page of sources counts what the tables hold."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from tanwright.errors import InputError
from tanwright.planning import outside_checks
from tanwright.planning.almanac import source_use, sources
from tanwright.planning.plants import describe
from tanwright.reference import materials
from tanwright.reference.loader import table
from tanwright.reference.sources import sources as listed

READ_AGAIN = Path(__file__).parent / "figures_read_again.csv"


def test_every_source_is_there_once_and_says_what_it_gives() -> None:
    found = sources()
    keys = [use.source.key for use in found]
    assert len(keys) == len(set(keys))
    assert {each.key for each in listed()} <= set(keys)
    assert {value.source for value in outside_checks.published_values()} <= set(keys)
    assert all(use.words for use in found)
    totals = [sum(use.rows.values()) + use.checks for use in found]
    assert totals == sorted(totals, reverse=True)


def test_figures_and_checks_add_up_to_the_tables() -> None:
    assert sum(use.figures for use in sources()) == len(materials.observations())
    used = sum(row.use == "prior" for row in materials.observations())
    assert sum(use.figures_used for use in sources()) == used
    assert sum(use.checks for use in sources()) == len(outside_checks.published_values())
    assert sum(use.rows.get("leathers", 0) for use in sources()) == len(table("leathers"))


def test_one_source() -> None:
    use = source_use("paaver2019")
    assert use.figures == 8
    assert "quercus-robur-gall" in use.materials
    assert use.words == "8 tannin figures; named with 6 plant parts; 2 rows of other tables"
    with pytest.raises(InputError, match="paaver2019"):
        source_use("paver2019")


def rows() -> list[dict[str, str]]:
    with READ_AGAIN.open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(handle))


@pytest.mark.parametrize(
    "row", rows(), ids=lambda r: f"{r['source']}-{r['material_id']}-{r['printed_high']}"
)
def test_figures_read_again_in_their_sources_stand_on_the_plant_s_page(row: dict[str, str]) -> None:
    """Each was typed from the source itself (abstract, entry or chapter named in the row), apart
    from the tables, and is looked for in what a plant's page is made of."""
    digits = int(row["digits"])

    def printed(value: float | None) -> str:
        return "" if value is None else f"{value:.{digits}f}"

    wanted = tuple(
        f"{float(cell):.{digits}f}" if cell else ""
        for cell in (row["printed_low"], row["printed_high"])
    )
    described = describe(row["material_id"])
    held = {
        (printed(part.low_pct), printed(part.high_pct))
        for part in described.observations
        if part.source == row["source"]
    }
    assert wanted in held
    assert row["source"] in {each.key for each in described.sources}


def test_there_are_enough_of_them() -> None:
    assert len(rows()) >= 40
    assert len({row["source"] for row in rows()}) >= 8
