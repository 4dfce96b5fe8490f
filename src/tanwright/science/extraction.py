"""The supply side: from a heap of bark to tannin in liquors.

A cook is two wells. Tannin that the heat of the cook can reach leaves the solid at rate ``k``
(first order) and spreads evenly through all the water there is, in the pot and in the bark; what is
in the water is destroyed at rate ``kd`` where it is too hot. At the end the bark is drained and
keeps ``held`` litres of liquor per kg, which go into the next cook. Hence several small waters draw
more than one large one, and a cold steep never draws it all.

Masses of material are kg as it lies; ``tannin_share`` refers to material at ``basis_moisture``
(air-dry unless said). Water per kg counts air-dry material. Tannin in g, volumes in L, hours, °C.

Sources: mass balance; temperature response from Parker and Procter (1895) in Procter (1903) (key
``procter1903``), passed in as a table; held liquor, rate constants and the hours of their
extraction from memory. See docs/method/extraction.md.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tanwright.errors import InputError
from tanwright.science import water
from tanwright.science.values import Floats, Value, floats, not_negative, positive, share, within

AIR_DRY_MOISTURE = 0.13
"""Water share of air-dry bark; range 0.12 to 0.15, from memory."""
HELD_L_PER_KG = 2.0
"""Liquor that drained bark keeps, L per kg air-dry; range 1.5 to 2.5, from memory."""
WATER_L_PER_KG = 5.0
WASHES = 2
"""Home defaults: two waters of 5 L per kg air-dry (common practice)."""
SIMMER_C = {"bark": 80.0, "wood": 85.0, "leaf": 55.0, "root": 55.0, "fruit": 60.0}
"""Warmth of a cook by part: barks and woods 70 to 90 °C, leaves and roots not above 60 °C, since
their tannin falls off beyond (procter1903, after Parker and Procter)."""
RELEASE_PER_HOUR = 0.6
"""Rate of release at 80 °C from pieces 4 mm thick; range 0.2 to 2, from memory. It equals slab
diffusion with 2.7e-10 m2/s."""
RELEASE_C = 80.0
RELEASE_PIECE_MM = 4.0
PIECE_MM = {"powder": 0.5, "ground": 1.5, "chips": 4.0, "chopped": 7.0, "strips": 12.0}
"""Thickness of a piece for words of fineness, from memory."""
TABLE_HOURS = 6.0
"""Hours that the extractions behind a temperature table are taken to have lasted, from memory; sets
how fast tannin is lost above the best temperature."""


@dataclass(frozen=True)
class TemperatureResponse:
    """Share of the most that can be drawn, against the temperature of drawing to exhaustion.

    ``temperature_c`` rises, ``drawn_share`` lies above 0 and has 1 as its largest value. Build it
    from a printed table with :func:`temperature_response`.
    """

    temperature_c: Floats
    drawn_share: Floats

    def at(self, temperature_c: Value) -> Floats:
        """Share drawn at that temperature, straight between points, held beyond the ends."""
        return np.asarray(np.interp(floats(temperature_c), self.temperature_c, self.drawn_share))

    @property
    def best_c(self) -> float:
        """Temperature of the largest share (the lowest such)."""
        return float(self.temperature_c[int(np.argmax(self.drawn_share))])

    def reached(self, temperature_c: Value) -> Floats:
        """Share that this heat can loosen: it never falls as the heat rises."""
        rising = np.maximum.accumulate(self.drawn_share)
        return np.asarray(np.interp(floats(temperature_c), self.temperature_c, rising))

    def loss_per_hour(self, temperature_c: Value, table_hours: Value = TABLE_HOURS) -> Floats:
        """Rate at which dissolved tannin is destroyed: ln(reached / drawn) over the table's hours.

        Zero up to the best temperature.
        """
        ratio = self.reached(temperature_c) / self.at(temperature_c)
        return np.asarray(np.log(ratio) / positive(table_hours, "hours of the table"))


def temperature_response(temperature_c: Floats, tannin_pct: Floats) -> TemperatureResponse:
    """Response from a table of tannin drawn (any unit) at rising temperatures, both shape (n,).

    A band of temperature stands for its middle. Raises InputError for a table that does not rise
    in temperature or holds a figure that is not above zero.
    """
    at, drawn = floats(temperature_c), positive(tannin_pct, "tannin drawn")
    if at.ndim != 1 or at.shape != drawn.shape or np.any(np.diff(at) <= 0.0):
        raise InputError("a temperature table must be two columns with rising temperatures")
    return TemperatureResponse(at, np.asarray(drawn / np.max(drawn)))


FLAT_RESPONSE = TemperatureResponse(np.array([0.0, 110.0]), np.array([1.0, 1.0]))
"""For a material whose table is not known when heat is to play no part."""


@dataclass(frozen=True)
class CookSeries:
    """What repeated cooks of one lot give. ``...`` is the shape of the arguments.

    Attributes
    ----------
    tannin_g, nontan_g, volume_l:
        Each liquor as drained, shape (..., washes).
    contained_g, left_g, destroyed_g:
        Tannin in the lot, still in the drained material, and lost to heat, shape (...).
        contained = sum of tannin_g + left + destroyed.
    """

    tannin_g: Floats
    nontan_g: Floats
    volume_l: Floats
    contained_g: Floats
    left_g: Floats
    destroyed_g: Floats

    @property
    def drawn_g(self) -> Floats:
        """Tannin in all liquors together, shape (...)."""
        return np.asarray(np.sum(self.tannin_g, axis=-1))

    @property
    def drawn_share(self) -> Floats:
        """Share of the contained tannin that was drawn, shape (...); 0 where there was none."""
        return np.asarray(self.drawn_g / np.where(self.contained_g > 0.0, self.contained_g, 1.0))

    @property
    def tannin_g_per_l(self) -> Floats:
        """Strength of each liquor, shape (..., washes)."""
        return np.asarray(self.tannin_g / self.volume_l)

    @property
    def solubles_g_per_l(self) -> Floats:
        """Tannins and non-tans of each liquor, shape (..., washes); what a hydrometer sees."""
        return np.asarray((self.tannin_g + self.nontan_g) / self.volume_l)


def air_dry_kg(
    mass_kg: Value, moisture_share: Value, basis_moisture: Value = AIR_DRY_MOISTURE
) -> Floats:
    """Mass the lot would have at ``basis_moisture``; moisture as share of the wet mass."""
    dry = positive(mass_kg, "mass") * (1.0 - within(moisture_share, 0.0, 0.95, "moisture"))
    return np.asarray(dry / (1.0 - within(basis_moisture, 0.0, 0.5, "basis moisture")))


def release_per_hour(
    temperature_c: Value, piece_mm: Value, rate_at_reference: Value = RELEASE_PER_HOUR
) -> Floats:
    """Rate of release k for pieces ``piece_mm`` thick at that warmth.

    Diffusion inside a piece: proportional to T / viscosity of water, and to 1 / thickness squared,
    from ``rate_at_reference`` at 80 °C and 4 mm.
    """
    size = RELEASE_PIECE_MM / positive(piece_mm, "piece thickness")
    heat = water.diffusion_ratio(temperature_c, RELEASE_C)
    return np.asarray(positive(rate_at_reference, "release rate") * heat * size**2)


def cooks(
    mass_kg: Value,
    tannin_share: Value,
    moisture_share: Value = AIR_DRY_MOISTURE,
    purity: Value = 0.6,
    water_l_per_kg: Value = WATER_L_PER_KG,
    washes: int = WASHES,
    temperature_c: Value | tuple[Value, ...] = 80.0,
    hours: Value | tuple[Value, ...] = 3.0,
    *,
    response: TemperatureResponse = FLAT_RESPONSE,
    piece_mm: Value = RELEASE_PIECE_MM,
    held_l_per_kg: Value = HELD_L_PER_KG,
    rate_at_reference: Value = RELEASE_PER_HOUR,
    basis_moisture: Value = AIR_DRY_MOISTURE,
) -> CookSeries:
    """Liquors from ``washes`` equal waters drawn one after the other from one lot.

    Parameters
    ----------
    mass_kg, moisture_share:
        The lot as it lies and its water (share of wet mass; fresh bark 0.35 to 0.5).
    tannin_share:
        Tannin over mass of material at ``basis_moisture``, 0 to 1.
    purity:
        Tannins over total solubles of the liquor, above 0; taken to be the same in every water.
    water_l_per_kg:
        Fresh water of each cook per kg air-dry material; more than the bark soaks up.
    temperature_c, hours:
        Of each cook; a tuple gives one value to each of the ``washes``.
    response, piece_mm, held_l_per_kg, rate_at_reference:
        How the material gives up its tannin: see the module and :class:`TemperatureResponse`.

    Returns
    -------
    CookSeries
        Arrays of the broadcast shape of the arguments.

    Raises
    ------
    InputError
        For values out of range, or water that the bark would soak up whole.
    """
    if washes < 1:
        raise InputError("at least one water is needed", remedy="set washes to 1 or more")
    warmth, time = _per_wash(temperature_c, washes), _per_wash(hours, washes)
    base = air_dry_kg(mass_kg, moisture_share, basis_moisture)
    contained, clean, poured, held, piece, rate, moist, *_rest = np.broadcast_arrays(
        base * share(tannin_share, "tannin share") * 1000.0,
        positive(share(purity, "purity"), "purity"),
        base * positive(water_l_per_kg, "water"),
        base * not_negative(held_l_per_kg, "held liquor"),
        positive(piece_mm, "piece thickness"),
        positive(rate_at_reference, "release rate"),
        base,
        *warmth,
        *time,
    )
    inside = floats(mass_kg) * floats(moisture_share) + np.zeros_like(moist)
    drained = poured + inside - held
    if np.any(drained <= 0.0):
        raise InputError(
            "the bark soaks up all the water of a cook", remedy="use more water per kg of material"
        )
    solid, dissolved = contained.copy(), np.zeros_like(contained)
    destroyed = np.zeros_like(contained)
    tannin, volume = [], []
    for heat, spell in zip(warmth, time, strict=True):
        in_reach = np.maximum(solid - contained * (1.0 - response.reached(heat)), 0.0)
        release = release_per_hour(heat, piece, rate)
        loss = response.loss_per_hour(heat)
        freed, kept = _one_cook(in_reach, dissolved, release, loss, spell)
        solid = solid - freed
        destroyed = destroyed + (dissolved + freed - kept)
        out = poured + inside - held
        drawn = kept * out / (poured + inside)
        tannin.append(drawn)
        volume.append(out)
        dissolved, inside = kept - drawn, held
    tannin_g = np.stack(tannin, axis=-1)
    clean = clean[..., np.newaxis]
    return CookSeries(
        tannin_g=tannin_g,
        nontan_g=np.asarray(tannin_g * (1.0 - clean) / clean),
        volume_l=np.stack(volume, axis=-1),
        contained_g=contained.copy(),
        left_g=np.asarray(solid + dissolved),
        destroyed_g=destroyed,
    )


def _per_wash(value: Value | tuple[Value, ...], washes: int) -> tuple[Floats, ...]:
    if not isinstance(value, tuple):
        return (floats(value),) * washes
    if len(value) != washes:
        raise InputError(f"{len(value)} values were given for {washes} waters")
    return tuple(floats(item) for item in value)


def _one_cook(
    in_reach: Floats, dissolved: Floats, release: Floats, loss: Floats, hours: Floats
) -> tuple[Floats, Floats]:
    """Tannin freed from the solid, and in solution at the end: release and loss in a row, exact."""
    time = not_negative(hours, "hours")
    freed = in_reach * -np.expm1(-release * time)
    surviving = np.exp(-loss * time)
    gap = (loss - release) * time
    small = np.abs(gap) < 1e-8
    growth = np.where(small, 1.0, np.expm1(np.where(small, 1.0, gap)) / np.where(small, 1.0, gap))
    kept = surviving * (dissolved + in_reach * release * time * growth)
    return np.asarray(freed), np.asarray(kept)


def share_left_after_washes(
    water_l_per_kg: Value, held_l_per_kg: Value, washes: int, first_held_l_per_kg: Value = np.nan
) -> Floats:
    """Share of the tannin in reach still in the bark after long cooks with ``washes`` equal waters.

    (1 / (1 + V/v))^n for bark already soaked with v litres per kg. ``first_held_l_per_kg`` is the
    water it brings to the first cook when that differs (0 for bone-dry bark: then the first
    factor is v / V).
    """
    fresh, held = positive(water_l_per_kg, "water"), positive(held_l_per_kg, "held liquor")
    brought = floats(first_held_l_per_kg)
    brought = np.where(np.isnan(brought), held, brought)
    first = held / (fresh + brought)
    if np.any(first >= 1.0):
        raise InputError("the bark soaks up all the water", remedy="use more water per kg")
    return np.asarray(first * (held / (fresh + held)) ** (washes - 1))


def share_left_counter_current(
    water_l_per_kg: Value, held_l_per_kg: Value, stages: int, first_held_l_per_kg: Value = np.nan
) -> Floats:
    """Share still in the bark of a row of ``stages`` tubs worked against the stream.

    Fresh water goes on the most spent bark and each liquor on to the next fresher. With E = V/v and
    w/v the water that fresh bark brings: 1 / (1 + (E - 1 + w/v)(1 + E + ... + E^(n-1))). For
    soaked bark (w = v) it is the usual (E - 1)/(E^(n+1) - 1); for bone-dry bark E^-n.
    Source: balance of each tub in the steady state.
    """
    fresh, held = positive(water_l_per_kg, "water"), positive(held_l_per_kg, "held liquor")
    brought = floats(first_held_l_per_kg)
    brought = np.where(np.isnan(brought), held, brought)
    ratio = fresh / held
    if np.any(ratio - 1.0 + brought / held <= 0.0):
        raise InputError("the bark soaks up all the water", remedy="use more water per kg")
    series = np.zeros_like(ratio)
    for _stage in range(stages):
        series = series * ratio + 1.0
    return np.asarray(1.0 / (1.0 + (ratio - 1.0 + brought / held) * series))


def counter_current_g_per_l(
    tannin_share: Value,
    water_l_per_kg: Value,
    held_l_per_kg: Value = HELD_L_PER_KG,
    stages: int = 6,
    reach: Value = 1.0,
    moisture: Value = AIR_DRY_MOISTURE,
) -> Floats:
    """Tannin strength of the finished liquor of a counter-current row, g/L, at the long-cook limit.

    ``reach`` is the share of the tannin that the heat loosens. What is drawn leaves in
    V + water of the bark - v litres per kg.
    """
    brought = floats(moisture)
    left = share_left_counter_current(water_l_per_kg, held_l_per_kg, stages, brought)
    drawn = 1000.0 * share(tannin_share, "tannin share") * share(reach, "reach") * (1.0 - left)
    return np.asarray(drawn / (floats(water_l_per_kg) + brought - floats(held_l_per_kg)))


def drawn_share(tannin_before: Value, tannin_left: Value) -> Floats:
    """Share drawn, from tannin per mass before and after (loss of the material's mass left out)."""
    before = positive(tannin_before, "tannin before")
    return share(1.0 - not_negative(tannin_left, "tannin left") / before, "share drawn")


def tannin_by_difference_pct(total_soluble_pct: Value, non_tannin_pct: Value) -> Floats:
    """Tannin = total solubles - non-tannins, % of material (hide-powder method, procter1903)."""
    whole = not_negative(total_soluble_pct, "total solubles")
    return not_negative(whole - not_negative(non_tannin_pct, "non-tannins"), "tannin")


def purity_of(tannin: Value, non_tannin: Value) -> Floats:
    """Tannins over total solubles, 0 to 1; both in one unit."""
    tans = not_negative(tannin, "tannin")
    return np.asarray(tans / positive(tans + not_negative(non_tannin, "non-tannins"), "solubles"))
