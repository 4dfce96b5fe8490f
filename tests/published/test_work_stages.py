"""Figures of hand work as printed, each with its source, at printed precision."""

from __future__ import annotations

import pytest

from tanwright.planning.beamwork import per_kg
from tanwright.reference.work import doses_of, stage_row


def dose(stage: str, id_: str):
    return next(part for part in doses_of(stage) if part.id == id_)


def test_lime_that_hides_use() -> None:
    """Procter (1903), Bennett (1921): 2 to 3 % quicklime; slaked 1.321 times that."""
    assert [round(part, 4) for part in per_kg(dose("unhair-lime", "lime-lime"))] == [0.0264, 0.0396]


def test_bran_of_a_drench() -> None:
    """Procter (1903): 5 to 10 % bran at about 4 g/L, 12 to 24 h at 30 to 35 °C."""
    bran, water = dose("delime-bran", "bran-bran"), dose("delime-bran", "bran-water")
    assert (bran.low, bran.high) == (0.05, 0.10)
    assert 1000 * bran.low / water.low == pytest.approx(4.0)
    assert 1000 * bran.high / water.high == pytest.approx(4.0)
    row = stage_row("delime-bran")
    assert (row.hours_low, row.hours_high) == (12.0, 24.0)
    assert 30.0 <= row.at_c <= 35.0


def test_sulfide_in_limes() -> None:
    """Procter (1903): 0.25 to 0.5 % of hide weight."""
    told = dose("unhair-lime-sulfide", "sulfide-salt")
    assert (told.low / 10.0, told.high / 10.0) == (0.25, 0.5)


def test_days_of_works() -> None:
    """Procter: sweating 4 to 6 d. Bennett: salted 1 to 2 d, dried up to 7 d, sulfide to 10 d."""
    sweat, salted = stage_row("unhair-sweat"), stage_row("soak-salted")
    assert (sweat.hours_low / 24, sweat.hours_high / 24) == (4.0, 6.0)
    assert 15.0 <= sweat.at_c <= 20.0
    assert (salted.hours_low / 24, salted.hours_high / 24) == (1.0, 2.0)
    assert stage_row("soak-dried").hours_high / 24 == 7.0
    assert stage_row("unhair-lime-sulfide").hours_high / 24 == 10.0
    assert stage_row("unhair-lime").hours_high / 24 == 16.0


@pytest.mark.parametrize(
    ("stage", "id_", "per_g_cao"),
    [
        ("delime-boric", "boric-acid", 2.21),
        ("delime-lactic", "lactic-acid", 3.21),
        ("delime-ammonium", "ammonium-salt", 2.36),
    ],
)
def test_agents_by_their_equivalents(stage: str, id_: str, per_g_cao: float) -> None:
    """Stoichiometry per gram of CaO, two decimals."""
    told = dose(stage, id_)
    assert round(per_kg(told)[0] / told.low, 2) == per_g_cao


def test_vinegar_per_gram_of_lime() -> None:
    """42.8 mL of 5 % vinegar for 1 g CaO (stoichiometry)."""
    told = dose("delime-vinegar", "vinegar-acid")
    assert round(1000 * per_kg(told)[0] / told.low, 1) == 42.8
