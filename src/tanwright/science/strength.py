"""How strong a liquor is: one strength on many scales, and the arithmetic of mixing.

Everything passes through specific gravity ``sg`` (liquor over water, both at the instrument's
reference temperature). Strengths in °Bk, and tannins or solubles in g/L, are taken to add by
volume: the true volume of a mixture of liquors differs by well under 0.1 %.

Sources
-------
Barkometer: Procter (1885), reference 60 °F (key ``procter1885``). Twaddell and Baumé: definitions;
pairs printed in Procter (1903) and Bennett (1921). Brix: a cubic read in an open brewing library.
Plato: the cubic of the American Society of Brewing Chemists, from memory. Solubles per degree: a
sugar-like liquor, derived. See docs/method/strength.md.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from tanwright.errors import InputError
from tanwright.science import water
from tanwright.science.values import Floats, Value, floats, not_negative, positive, share, within

BARKOMETER_REFERENCE_C = (60.0 - 32.0) / 1.8
"""15.56 °C: the tanner's barkometer is read at 60 °F (procter1885)."""
BAUME_US = 145.0
BAUME_RATIONAL = 144.3
"""Modulus of the European tables; it alone fits both pairs that Bennett (1921) prints."""
SOLUBLES_G_PER_L_PER_BK = 2.55
"""Total solubles per °Bk; range 2.4 to 2.7. Sugar gives 2.6; lime salts and acids give less."""
SOLUBLES_RANGE_G_PER_L_PER_BK = (2.4, 2.7)
GLASS_EXPANSION_PER_C = 25e-6
"""Cubic expansion of a soda-glass hydrometer, from memory."""
REFRACTOMETER_READS_HIGH = 0.10
"""A sugar refractometer is taken to read a tannin liquor one tenth high; range 0 to 0.25, from
memory. One reading of the same liquor by weight or by hydrometer replaces it."""
SG_LOW, SG_HIGH = 0.98, 1.40
_ROUNDING = 1e-9
_BRIX = (182.4601, -775.6821, 1262.7794, -669.5622)
_PLATO = (135.997, -630.272, 1111.14, -616.868)


def checked_sg(sg: Value) -> Floats:
    """``sg`` as an array; refused outside 0.98 to 1.40, which no tan liquor reaches."""
    return within(
        sg,
        SG_LOW - _ROUNDING,
        SG_HIGH + _ROUNDING,
        "specific gravity",
        remedy="check the scale the number was read on",
    )


def bk_from_sg(sg: Value) -> Floats:
    """Degrees barkometer: 1000 (sg - 1)."""
    return np.asarray(1000.0 * (checked_sg(sg) - 1.0))


def sg_from_bk(strength_bk: Value) -> Floats:
    """Specific gravity: 1 + °Bk / 1000."""
    return checked_sg(1.0 + floats(strength_bk) / 1000.0)


def tw_from_sg(sg: Value) -> Floats:
    """Degrees Twaddell: 200 (sg - 1)."""
    return np.asarray(200.0 * (checked_sg(sg) - 1.0))


def sg_from_tw(strength_tw: Value) -> Floats:
    """Specific gravity: 1 + °Tw / 200."""
    return checked_sg(1.0 + floats(strength_tw) / 200.0)


def be_from_sg(sg: Value, modulus: Value = BAUME_US) -> Floats:
    """Degrees Baumé for liquids heavier than water: modulus - modulus / sg."""
    return np.asarray(floats(modulus) * (1.0 - 1.0 / checked_sg(sg)))


def sg_from_be(strength_be: Value, modulus: Value = BAUME_US) -> Floats:
    """Specific gravity: modulus / (modulus - °Bé)."""
    scale = positive(modulus, "Baumé modulus")
    below = within(strength_be, -10.0, 60.0, "degrees Baumé")
    return checked_sg(scale / (scale - below))


def _cubic(sg: Floats, coefficients: tuple[float, float, float, float]) -> Floats:
    a, b, c, d = coefficients
    return np.asarray(((a * sg + b) * sg + c) * sg + d)


def _cubic_inverse(
    value: Floats, coefficients: tuple[float, float, float, float], name: str
) -> Floats:
    """Newton's method on a cubic that rises throughout; converges to the last bits in 8 steps."""
    a, b, c, _ = coefficients
    low, high = _cubic(np.array([SG_LOW, SG_HIGH]), coefficients)
    within(value, low - 1e-6, high + 1e-6, f"degrees {name}")
    sg = 1.0 + value / 240.0
    for _step in range(12):
        slope = (3.0 * a * sg + 2.0 * b) * sg + c
        sg = sg - (_cubic(sg, coefficients) - value) / slope
    return sg


def brix_from_sg(sg: Value) -> Floats:
    """Degrees Brix (% sucrose by weight) of a sugar solution of that sg.

    Within about 0.1 °Bx of sugar tables from 0 to 40 °Bx; a tan liquor is only sugar-like.
    """
    return _cubic(checked_sg(sg), _BRIX)


def sg_from_brix(brix: Value) -> Floats:
    """Inverse of :func:`brix_from_sg` to 1e-10 (Newton). Raises InputError above 78 °Bx."""
    return checked_sg(_cubic_inverse(floats(brix), _BRIX, "Brix"))


def plato_from_sg(sg: Value) -> Floats:
    """Degrees Plato (% extract by weight); made for brewing worts up to about sg 1.14."""
    return _cubic(checked_sg(sg), _PLATO)


def sg_from_plato(plato: Value) -> Floats:
    """Inverse of :func:`plato_from_sg` to 1e-10 (Newton). Raises InputError above 76 °P."""
    return checked_sg(_cubic_inverse(floats(plato), _PLATO, "Plato"))


def solubles_g_per_l(strength_bk: Value, per_bk: Value = SOLUBLES_G_PER_L_PER_BK) -> Floats:
    """Total solubles (tannins and non-tans) in g/L: ``per_bk`` x °Bk."""
    return np.asarray(floats(strength_bk) * positive(per_bk, "solubles per degree"))


def bk_from_solubles(solubles: Value, per_bk: Value = SOLUBLES_G_PER_L_PER_BK) -> Floats:
    """Degrees barkometer of ``solubles`` g/L; inverse of :func:`solubles_g_per_l`."""
    return np.asarray(floats(solubles) / positive(per_bk, "solubles per degree"))


def sugar_solids_g_per_l(sg: Value) -> Floats:
    """Solids in g/L if the liquor were sugar and water: 10 x °Plato x sg. A check on ``per_bk``."""
    return np.asarray(10.0 * plato_from_sg(sg) * floats(sg))


def tannin_g_per_l(
    strength_bk: Value, purity: Value, per_bk: Value = SOLUBLES_G_PER_L_PER_BK
) -> Floats:
    """Tannins in g/L: purity (tannins over total solubles, 0 to 1) x total solubles."""
    return np.asarray(share(purity, "purity") * solubles_g_per_l(strength_bk, per_bk))


def hydrometer_to_sg(
    reading_sg: Value,
    temperature_c: Value,
    calibrated_at_c: Value = BARKOMETER_REFERENCE_C,
    glass_expansion_per_c: float = GLASS_EXPANSION_PER_C,
) -> Floats:
    """True sg from what a hydrometer reads in a liquor that is not at its reference temperature.

    reading x (1 - glass x (T - T0)) x water density at T0 / at T. It takes the liquor to expand
    like water: good to 0.2 °Bk up to 40 °Bk within 15 °C of the reference; the correction itself is
    1 to 3 °Bk in a warm vat. Source: buoyancy; worked example in docs/method/strength.md.
    """
    return checked_sg(
        floats(reading_sg) * _reading_factor(temperature_c, calibrated_at_c, glass_expansion_per_c)
    )


def hydrometer_reading(
    sg: Value,
    temperature_c: Value,
    calibrated_at_c: Value = BARKOMETER_REFERENCE_C,
    glass_expansion_per_c: float = GLASS_EXPANSION_PER_C,
) -> Floats:
    """What a hydrometer reads in a liquor of true ``sg``; inverse of :func:`hydrometer_to_sg`."""
    factor = _reading_factor(temperature_c, calibrated_at_c, glass_expansion_per_c)
    return np.asarray(checked_sg(sg) / factor)


def _reading_factor(temperature_c: Value, calibrated_at_c: Value, glass: float) -> Floats:
    at, reference = floats(temperature_c), floats(calibrated_at_c)
    densities = water.density_kg_per_l(reference) / water.density_kg_per_l(at)
    return np.asarray((1.0 - glass * (at - reference)) * densities)


def refractometer_to_sg(brix: Value, reads_high: Value = REFRACTOMETER_READS_HIGH) -> Floats:
    """sg from a sugar refractometer that reads the liquor high by the share ``reads_high``.

    Tannins bend light more than sugar of the same weight does, so a liquor reads stronger than it
    weighs. The instrument is taken to correct for temperature itself; cool the drop first.
    """
    bias = within(reads_high, -0.5, 1.0, "share by which the refractometer reads high")
    return sg_from_brix(floats(brix) / (1.0 + bias))


def refractometer_reading(sg: Value, reads_high: Value = REFRACTOMETER_READS_HIGH) -> Floats:
    """What the refractometer will show, °Bx; inverse of :func:`refractometer_to_sg`."""
    return np.asarray(brix_from_sg(sg) * (1.0 + floats(reads_high)))


def weighed_to_sg(mass_g: Value, volume_ml: Value, temperature_c: Value = 20.0) -> Floats:
    """sg from the weight of a measured volume of liquor (vessel taken off), a kitchen scale's way.

    mass / (volume x water density at the liquor's temperature). Air buoyancy (1 g in a litre, the
    same for water) is left out when a marked vessel is filled with water first:
    then give the mass of the water and use :func:`sg_from_two_weights`.
    """
    held = positive(volume_ml, "volume") * water.density_kg_per_l(temperature_c)
    return checked_sg(positive(mass_g, "weight") / held)


def sg_from_two_weights(liquor_g: Value, water_g: Value) -> Floats:
    """sg from the same vessel filled to the same mark with liquor and with water of its warmth."""
    return checked_sg(positive(liquor_g, "weight of liquor") / positive(water_g, "weight of water"))


def weighed_sd_bk(
    mass_sd_g: Value, volume_sd_ml: Value, volume_ml: Value = 1000.0, sg: Value = 1.02
) -> Floats:
    """Standard deviation in °Bk of :func:`weighed_to_sg`: relative errors of both, added in square.

    A litre weighed to 1 g and filled to 3 mL is good to 3 °Bk: the volume decides.
    """
    volume = positive(volume_ml, "volume")
    mass = checked_sg(sg) * volume
    mass_part = not_negative(mass_sd_g, "weight error") / mass
    volume_part = not_negative(volume_sd_ml, "volume error") / volume
    return np.asarray(1000.0 * floats(sg) * np.hypot(mass_part, volume_part))


@dataclass(frozen=True)
class Scale:
    """One scale of strength: its key, the sign printed after a number, and the way to sg and back.

    ``to_sg`` and ``from_sg`` take the value and one constant of the scale (a modulus, or solubles
    per degree; unused by the others), whose usual value is ``constant``.
    """

    key: str
    sign: str
    to_sg: Callable[[Value, Value], Floats]
    from_sg: Callable[[Value, Value], Floats]
    constant: float = 1.0
    read_by_hydrometer: bool = True


SCALES: dict[str, Scale] = {
    scale.key: scale
    for scale in (
        Scale("sg", "SG", lambda v, _: checked_sg(v), lambda s, _: checked_sg(s)),
        Scale("bk", "°Bk", lambda v, _: sg_from_bk(v), lambda s, _: bk_from_sg(s)),
        Scale("tw", "°Tw", lambda v, _: sg_from_tw(v), lambda s, _: tw_from_sg(s)),
        Scale("be", "°Bé", sg_from_be, be_from_sg, BAUME_US),
        Scale("brix", "°Bx", lambda v, _: sg_from_brix(v), lambda s, _: brix_from_sg(s)),
        Scale("plato", "°P", lambda v, _: sg_from_plato(v), lambda s, _: plato_from_sg(s)),
        Scale(
            "solubles",
            "g/L",
            lambda v, k: sg_from_bk(bk_from_solubles(v, k)),
            lambda s, k: solubles_g_per_l(bk_from_sg(s), k),
            SOLUBLES_G_PER_L_PER_BK,
            read_by_hydrometer=False,
        ),
    )
}


def scale_of(key: str) -> Scale:
    """The scale with that key. Raises InputError naming the scales there are."""
    try:
        return SCALES[key.strip().lower()]
    except KeyError:
        raise InputError(
            f"unknown scale of strength {key!r}", remedy=f"use one of {', '.join(SCALES)}"
        ) from None


def convert(
    value: Value,
    from_scale: str,
    to_scale: str,
    *,
    from_constant: Value | None = None,
    to_constant: Value | None = None,
    temperature_c: Value | None = None,
    calibrated_at_c: Value = BARKOMETER_REFERENCE_C,
) -> Floats:
    """``value`` of one scale on another, any shape.

    Parameters
    ----------
    value:
        Number or array on ``from_scale``; a hydrometer's raw reading when ``temperature_c`` is set.
    from_scale, to_scale:
        Keys of :data:`SCALES`: sg, bk, tw, be, brix, plato, solubles (g/L).
    from_constant, to_constant:
        The scale's constant where it has one: Baumé modulus (145 or 144.3), solubles per °Bk.
    temperature_c, calibrated_at_c:
        Temperature of the liquor when it was read, and of the instrument's calibration, °C.

    Raises
    ------
    InputError
        For an unknown scale, a strength no liquor has, or a temperature given with solubles.
    """
    source, target = scale_of(from_scale), scale_of(to_scale)
    given = source.constant if from_constant is None else from_constant
    wanted = target.constant if to_constant is None else to_constant
    sg = source.to_sg(value, given)
    if temperature_c is not None:
        if not source.read_by_hydrometer:
            raise InputError(
                f"a temperature means nothing for {source.sign}",
                remedy="leave the temperature out, or give what the hydrometer read",
            )
        sg = hydrometer_to_sg(sg, temperature_c, calibrated_at_c)
    return target.from_sg(sg, wanted)
