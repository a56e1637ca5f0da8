"""Equilibria of one water: chemistry's own functions, fitted in temperature once.

A row of the day program needs some fourteen functions of temperature alone, all of them
chains of powers and logarithms. Each is sampled from `watervane.chemistry` when the model
loads and evaluated as a polynomial, which costs a tenth; they agree to 1e-7 (see the tests).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np
from numpy.polynomial import chebyshev
from numpy.typing import NDArray

from watervane.chemistry.activity import davies_term, debye_huckel_slope
from watervane.chemistry.carbonate_constants import (
    CarbonateConstants,
    IdealConstants,
    constants_in_water,
    ideal_constants,
    log10_solubility_calcite,
)
from watervane.chemistry.gases import co2_saturation_mg_per_l, oxygen_saturation_mg_per_l
from watervane.process.arrays import Array, apart, between, jnp

LOWEST_C, HIGHEST_C = 0.0, 50.0  # the correlations' own range; beyond it the edge holds
DEGREE = 10
MG_CO2_PER_MMOL = 44.0095
LN10 = float(np.log(10.0))
_PRESSURES_ATM = np.array([0.7, 0.9, 1.1])

Numbers = NDArray[np.float64]


def _fitted(function: Callable[[Numbers], Numbers]) -> tuple[float, ...]:
    """Power series in the scaled temperature, through Chebyshev's points."""
    x = chebyshev.chebpts1(DEGREE + 1)
    degrees = LOWEST_C + 0.5 * (x + 1.0) * (HIGHEST_C - LOWEST_C)
    fit = chebyshev.chebfit(x, function(degrees), DEGREE)
    return tuple(float(c) for c in chebyshev.cheb2poly(fit))


def _by_pressure(
    saturation: Callable[[Numbers, float], Numbers], degree: int
) -> tuple[tuple[float, ...], ...]:
    """Power series for each power of the pressure; the formula is a polynomial in it."""
    powers = np.linalg.inv(np.vander(_PRESSURES_ATM[: degree + 1], increasing=True))

    def power(k: int) -> Callable[[Numbers], Numbers]:
        return lambda t: np.asarray(
            sum(w * saturation(t, p) for w, p in zip(powers[k], _PRESSURES_ATM, strict=False))
        )

    return tuple(_fitted(power(k)) for k in range(degree + 1))


_IDEAL = tuple(
    _fitted(lambda t, name=name: np.asarray(getattr(ideal_constants(t), name)))  # type: ignore[misc]
    for name in IdealConstants._fields
)
_DISSOLVING = _fitted(lambda t: np.asarray(10.0 ** -log10_solubility_calcite(t)))
_DEBYE_HUCKEL = _fitted(lambda t: np.asarray(debye_huckel_slope(t)))
_OXYGEN = _by_pressure(lambda t, p: np.asarray(oxygen_saturation_mg_per_l(t, 0.0, p)), 2)
_CO2 = _by_pressure(lambda t, p: np.asarray(co2_saturation_mg_per_l(t, 1.0, p)), 1)


class Equilibria(NamedTuple):
    """What one temperature and one set of ions fix.

    Parameters
    ----------
    constants
        For pH.
    calcite_per_product
        Calcite saturation ratio over calcium times carbonate. [L2/mol2]
    oxygen_saturation_mg_per_l, co2_saturation_mmol_per_l
        Under the air of the room.
    """

    constants: CarbonateConstants
    calcite_per_product: Array
    oxygen_saturation_mg_per_l: Array
    co2_saturation_mmol_per_l: Array


@apart()
def equilibria(
    temperature_c: Array,
    ionic_strength_mol_per_l: Array,
    calcium_mmol_per_l: Array,
    room_co2_ppm: Array,
    pressure_atm: Array,
) -> Equilibria:
    """Equilibria of one water.

    Parameters
    ----------
    temperature_c
        [degC]
    ionic_strength_mol_per_l
        [mol/L]
    calcium_mmol_per_l
        [mmol/L]
    room_co2_ppm
        [umol/mol]
    pressure_atm
        [atm]
    """
    held = between(temperature_c, LOWEST_C, HIGHEST_C)
    x = (held - LOWEST_C) * (2.0 / (HIGHEST_C - LOWEST_C)) - 1.0
    slope = _series(_DEBYE_HUCKEL, x)
    activity = _activity(slope, ionic_strength_mol_per_l)
    fourth = (activity * activity) * (activity * activity)
    return Equilibria(
        constants_in_water(
            IdealConstants(*(_series(c, x) for c in _IDEAL)), activity, calcium_mmol_per_l
        ),
        _series(_DISSOLVING, x) * (fourth * fourth),
        _series([_series(c, pressure_atm) for c in zip(*_OXYGEN, strict=True)], x),
        room_co2_ppm
        * _series([_series(c, pressure_atm) for c in zip(*_CO2, strict=True)], x)
        / MG_CO2_PER_MMOL,
    )


@apart()
def _activity(slope: Array, ionic_strength_mol_per_l: Array) -> Array:
    return jnp.exp(-LN10 * slope * davies_term(ionic_strength_mol_per_l))


def _series(coefficients: Sequence[Array], x: Array) -> Array:
    """Power series by Horner's scheme, lowest power first."""
    value = coefficients[-1]
    for c in coefficients[-2::-1]:
        value = value * x + c
    return value
