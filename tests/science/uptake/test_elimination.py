"""The eliminations written out for one, two and three kinds are the general one."""

from __future__ import annotations

import numpy as np
import pytest

from tanwright.science.uptake.elimination import (
    eliminate_many,
    eliminate_one,
    eliminate_two,
)
from tanwright.science.uptake.elimination_three import eliminate_three
from tanwright.science.uptake.lanes import (
    LANES,
    ROW_PAIRS,
    ROW_RUNS,
    SLAB_RUNS,
    SLAB_SINGLES,
    VAT_PAIRS,
    VAT_RUNS,
    VAT_SINGLES,
)

WRITTEN_OUT = {1: eliminate_one, 2: eliminate_two, 3: eliminate_three}


@pytest.mark.parametrize("kinds", [1, 2, 3])
def test_written_out_is_the_general_one(kinds: int):
    rng = np.random.default_rng(kinds)
    row = (ROW_RUNS * kinds + ROW_PAIRS * kinds**2) * LANES
    rows = rng.uniform(0.1, 1.0, 3 * row)
    rows[row - kinds**2 * LANES : row] *= 0.2  # how the cell before follows this one: below one
    slab = rng.uniform(0.1, 1.0, (SLAB_RUNS * kinds + SLAB_SINGLES) * LANES)
    pairs = VAT_RUNS * kinds * LANES
    vat = rng.uniform(0.1, 1.0, pairs + (VAT_PAIRS * kinds**2 + VAT_SINGLES) * LANES)
    kept = slice(0, pairs + 2 * kinds**2 * LANES)  # all but the general one's scratch
    general_rows, general_vat = rows.copy(), vat.copy()
    WRITTEN_OUT[kinds](rows, slab, vat, LANES)
    eliminate_many((0,) * kinds, general_rows, slab, general_vat, LANES)
    np.testing.assert_allclose(rows, general_rows, rtol=1e-11)
    np.testing.assert_allclose(vat[kept], general_vat[kept], rtol=1e-11)
