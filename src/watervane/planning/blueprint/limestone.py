"""How far a calcareous bed lifts the carbonate hardness of the water above it."""

from __future__ import annotations

from dataclasses import dataclass

from watervane.chemistry.dissolved_carbon import (
    calcite_saturation_index,
    ph_from_alkalinity_and_co2,
)
from watervane.chemistry.gases import co2_saturation_mg_per_l, standard_pressure_atm
from watervane.chemistry.hardness import MEQ_PER_DKH, MMOL_PER_DGH
from watervane.process.geometry import LIMESTONE
from watervane.records import BlueprintWish, Span

RICH_CO2_MG_PER_L = 10.0  # crowded or poorly aired water: house estimate
_HALVINGS = 60
_MOST_MMOL_PER_L = 10.0


def dissolved_limestone_mmol_per_l(
    alkalinity_meq_per_l: float,
    calcium_mmol_per_l: float,
    co2_mg_per_l: float,
    temperature_c: float,
) -> float:
    """Calcium carbonate that water takes up until it is saturated with calcite.

    Parameters
    ----------
    alkalinity_meq_per_l
        Before. [meq/L]
    calcium_mmol_per_l
        Before. [mmol/L]
    co2_mg_per_l
        Held by air and animals. [mg CO2/L]
    temperature_c
        [degC]

    Returns
    -------
    float
        [mmol/L]; none where the water is saturated already.
    """

    def index(dissolved: float) -> float:
        alkalinity = alkalinity_meq_per_l + 2.0 * dissolved
        calcium = calcium_mmol_per_l + dissolved
        ionic = _ionic(alkalinity, calcium)
        ph = _ph(alkalinity, calcium, co2_mg_per_l, temperature_c)
        return float(calcite_saturation_index(ph, alkalinity, calcium, temperature_c, ionic))

    low, high = 1e-6, _MOST_MMOL_PER_L
    if index(low) >= 0.0:
        return 0.0
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if index(middle) >= 0.0 else (middle, high)
    return 0.5 * (low + high)


@dataclass(frozen=True, slots=True)
class Ceiling:
    """Where a calcareous bed ceases to dissolve, well aired or rich in CO2."""

    kh_dkh: Span
    ph: Span


def is_of_lime(wish: BlueprintWish) -> bool:
    """Whether any layer holds limestone or coral sand, alone or stirred in.

    Parameters
    ----------
    wish
        With its layers.
    """
    return any(each in LIMESTONE for layer in wish.layers for each in layer.materials)


def ceiling_of(wish: BlueprintWish) -> Ceiling | None:
    """KH and pH at which the bed ceases to dissolve, in well aired water and in water rich in CO2.

    ``None`` without limestone or coral sand; the water before is that of the wish, or pure.
    """
    if not is_of_lime(wish):
        return None
    alkalinity = MEQ_PER_DKH * (wish.source_water.kh_dkh or 0.0)
    calcium = MMOL_PER_DGH * (wish.source_water.gh_dgh or 0.0)
    pressure = standard_pressure_atm(wish.altitude_m)
    aired = float(co2_saturation_mg_per_l(wish.water_c, pressure_atm=pressure))
    hardness, acidity = [], []
    for co2 in (aired, RICH_CO2_MG_PER_L):
        dissolved = dissolved_limestone_mmol_per_l(alkalinity, calcium, co2, wish.water_c)
        after = alkalinity + 2.0 * dissolved
        hardness.append(after / MEQ_PER_DKH)
        acidity.append(_ph(after, calcium + dissolved, co2, wish.water_c))
    return Ceiling(Span(min(hardness), max(hardness)), Span(min(acidity), max(acidity)))


def _ph(
    alkalinity_meq_per_l: float,
    calcium_mmol_per_l: float,
    co2_mg_per_l: float,
    temperature_c: float,
) -> float:
    ionic = _ionic(alkalinity_meq_per_l, calcium_mmol_per_l)
    return float(
        ph_from_alkalinity_and_co2(
            alkalinity_meq_per_l,
            co2_mg_per_l,
            temperature_c,
            ionic,
            calcium_mmol_per_l=calcium_mmol_per_l,
        )
    )


def _ionic(alkalinity_meq_per_l: float, calcium_mmol_per_l: float) -> float:
    """Ionic strength of water that holds little else."""
    return 0.5e-3 * (alkalinity_meq_per_l + 4.0 * calcium_mmol_per_l)
