"""Tests of the source water: they tell of what is poured in, not of the tank."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

import numpy as np

from watervane.chemistry.carbonate import ph_from_alkalinity
from watervane.kits.face import Array
from watervane.process.source_water import MEQ_PER_DKH, MG_CL_PER_MMOL, MMOL_PER_DGH
from watervane.process.state import COLUMN

_STOOD_AT_C = 15.0


def _component(name: str, factor: float = 1.0) -> Callable[[Array], Array]:
    return lambda source: np.asarray(factor * source[COLUMN[name]])


def _minerals(source: Array) -> Array:
    return np.asarray(source[COLUMN["calcium"]] + source[COLUMN["magnesium"]])


def _ph(source: Array) -> Array:
    alkalinity = source[COLUMN["alkalinity"]]
    ionic = 1e-3 * (0.5 * alkalinity + 2.0 * _minerals(source) + 0.3)
    carbon = source[COLUMN["inorganic_carbon"]]
    return np.asarray(ph_from_alkalinity(alkalinity, carbon, _STOOD_AT_C, ionic))


_LEVELS: Mapping[str, Callable[[Array], Array]] = MappingProxyType(
    {
        "ammonia": _component("ammonia"),
        "nitrite": _component("nitrite"),
        "nitrate": _component("nitrate"),
        "ph": _ph,
        "kh": _component("alkalinity", 1.0 / MEQ_PER_DKH),
        "gh": lambda source: _minerals(source) / MMOL_PER_DGH,
        "chlorine": _component("chlorine"),
        "chloride": _component("chloride", MG_CL_PER_MMOL),
    }
)
OF_SOURCE = tuple(_LEVELS)


def source_level(source: Array, quantity: str) -> Array:
    """A quantity of the source water, in its canonical unit, shape (members,).

    Parameters
    ----------
    source
        Per litre by component, shape (components, members).
    quantity
        One of `OF_SOURCE`.
    """
    return _LEVELS[quantity](source)
