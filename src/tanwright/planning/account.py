"""Where the tannin of a vat is: what was brought in lies somewhere, or is lost."""

from __future__ import annotations

from tanwright.planning.answers import AccountTerm
from tanwright.planning.phrases import range_of
from tanwright.science.belief.unknowns import Floats
from tanwright.science.uptake.result import UptakeResult


def tannin_account(result: UptakeResult, day: float) -> tuple[AccountTerm, ...]:
    """The tannin account of a run on ``day``, g, over its worlds.

    From the solver's own conserved sums: in every world, and so on the mean, ``brought-in`` is the
    sum of the other terms to rounding.
    """
    held = result.vat_g + (result.bound_g + result.free_g).sum(axis=2)
    series: dict[str, Floats] = {
        "brought-in": held[:, :1] + result.poured_in_g,
        "fixed": result.bound_g.sum(axis=2),
        "in-skin": result.free_g.sum(axis=2),
        "in-liquor": result.vat_g,
        "poured-away": result.poured_out_g,
        "lost": result.spoiled_g,
    }
    terms = []
    for name, grams in series.items():
        there = result.at(day, grams)
        terms.append(AccountTerm(name, float(there.mean()), range_of(there)))
    return tuple(terms)
