"""Water: its density and viscosity, and how warmth speeds diffusion in it.

Sources
-------
Density: Kell (1975), J. Chem. Eng. Data 20, 97-105 (key ``kell1975``), 0 to 100 °C at one
atmosphere.
Viscosity: IAPWS supplementary release on liquid water at 0.1 MPa (2008) (key ``iapws2008``).
Diffusion: Stokes-Einstein, D proportional to absolute temperature over viscosity
(key ``crank1975`` for its use in water).
"""

from __future__ import annotations

import numpy as np

from tanwright.science.values import Floats, Value, within

KELVIN = 273.15
"""0 °C in kelvin (definition)."""


def _liquid(temperature_c: Value) -> Floats:
    return within(
        temperature_c,
        -5.0,
        110.0,
        "temperature",
        remedy="give the temperature of liquid water in °C",
    )


def density_kg_per_l(temperature_c: Value) -> Floats:
    """Density of air-free water in kg/L (g/mL) at ``temperature_c`` (-5 to 110 °C), any shape.

    Source: Kell (1975), within 1e-5 g/mL from 0 to 100 °C; beyond that an extrapolation.
    Raises InputError outside the range.
    """
    t = _liquid(temperature_c)
    top = 999.83952 + t * (
        16.945176
        + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - t * 280.54253e-12)))
    )
    return np.asarray(top / (1.0 + 16.879850e-3 * t) / 1000.0)


def viscosity_mpa_s(temperature_c: Value) -> Floats:
    """Dynamic viscosity of water in mPa.s at ``temperature_c`` (-5 to 110 °C), any shape.

    Source: IAPWS (2008), supplementary release on liquid water at 0.1 MPa, equation for viscosity,
    1 % or better. Raises InputError outside the range.
    """
    ratio = (_liquid(temperature_c) + KELVIN) / 300.0
    micro = (
        280.68 * ratio**-1.9 + 511.45 * ratio**-7.7 + 61.131 * ratio**-19.6 + 0.45903 * ratio**-40.0
    )
    return np.asarray(micro / 1000.0)


def diffusion_ratio(temperature_c: Value, reference_c: Value) -> Floats:
    """How many times faster a dissolved body diffuses at ``temperature_c`` than at ``reference_c``.

    Stokes-Einstein: (T2/T1) x (viscosity at 1 / viscosity at 2), no unit, broadcast shape. It says
    nothing of heat changing the pelt itself. Raises InputError outside -5 to 110 °C.
    """
    hot = (_liquid(temperature_c) + KELVIN) / viscosity_mpa_s(temperature_c)
    cold = (_liquid(reference_c) + KELVIN) / viscosity_mpa_s(reference_c)
    return np.asarray(hot / cold)
