"""What a cook should give: strength with a range, and litres. Pure."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import Any

from tanwright.errors import InputError

MEMBERS = 400
Plant = tuple[Mapping[str, Any], float]
"""A lot as a sheet's [[material]], and the kg of it (as it lies) that were cooked."""


@dataclass(frozen=True)
class Expected:
    """°Bk at 15.6 °C (5th, 50th and 95th percentile) of the liquor drained from a cook, its
    litres, and how its tannin compares with that of the first water of the same bark."""

    low: float
    likely: float
    high: float
    volume_l: float
    to_first: float


def expected_of(
    plants: Sequence[Plant],
    water_l: float,
    *,
    temperature_c: float | None = None,
    hours: float = 3.0,
    which: int = 1,
) -> Expected:
    """What the ``which``-th water of a cook should give, each water as large as this one.

    ``temperature_c`` of ``None`` takes the warmth that suits the part of the plant.
    Raises InputError for plants or a cook that cannot be.
    """
    facts = [
        ({k: v for k, v in table.items() if k not in ("have", "want", "name")}, kg)
        for table, kg in plants
    ]
    key = json.dumps(facts, sort_keys=True)
    return _expected(key, water_l, temperature_c, hours, which)


@lru_cache(maxsize=512)
def _expected(
    facts: str, water_l: float, temperature_c: float | None, hours: float, which: int
) -> Expected:
    # The engine is heavy to import; a page that cooks nothing should not wait for it.
    import numpy as np

    from tanwright.planning.phrases import range_of
    from tanwright.planning.setting import settle
    from tanwright.planning.sheet_reader import sheet_from_options
    from tanwright.planning.worlds import WETTEST, cook_c, piece_mm, response_of
    from tanwright.reference import parameters
    from tanwright.science import extraction
    from tanwright.science.belief.unknowns import Floats, draw

    plants = json.loads(facts)
    rows = [{**table, "have": f"{kg:.9g} kg"} for table, kg in plants]
    if not rows:
        raise InputError("no plant was cooked", place="lot", remedy="choose a lot and how much")
    sheet = sheet_from_options(
        {"skin": [{"animal": "goat"}], "material": rows}, today=date(2026, 1, 1)
    )
    setting = settle(sheet)
    z = draw(MEMBERS, setting.unknowns, np.random.default_rng(1))
    columns = {unknown.name: at for at, unknown in enumerate(setting.unknowns)}

    def value(name: str, fallback: float) -> Floats:
        at = columns.get(name)
        return np.full(MEMBERS, fallback) if at is None else setting.unknowns[at].value(z[:, at])

    def shared(name: str) -> Floats:
        return value(name, parameters.parameter(name).median)

    factor = shared("extraction_factor")
    moistures = [np.minimum(value(f.moisture.name, f.moisture.median), WETTEST)
                 for f in setting.lots]  # fmt: skip
    dry = [
        extraction.air_dry_kg(kg, moist) for (_, kg), moist in zip(plants, moistures, strict=True)
    ]
    whole = np.sum(dry, axis=0)
    solubles = np.zeros(MEMBERS)
    tannin = np.zeros((2, MEMBERS))
    litres = np.zeros(MEMBERS)
    for (_, kg), fact, moist in zip(plants, setting.lots, moistures, strict=True):
        series = extraction.cooks(
            kg,
            value(fact.tannin.name, fact.tannin.median),
            moist,
            value(fact.purity.name, fact.purity.median),
            water_l / whole,
            which,
            cook_c(fact) if temperature_c is None else temperature_c,
            hours,
            response=response_of(fact),
            piece_mm=piece_mm(fact),
            held_l_per_kg=parameters.parameter("liquor_held").median,
        )
        solubles += factor * (series.tannin_g + series.nontan_g)[:, -1]
        tannin += np.stack([series.tannin_g[:, 0], series.tannin_g[:, -1]])
        litres += series.volume_l[:, -1]
    bk = range_of(solubles / litres / shared("solubles_per_degree"))
    first, this = np.median(tannin, axis=1)
    return Expected(
        bk.p05, bk.p50, bk.p95, float(np.median(litres)), float(this / first) if first else 1.0
    )
