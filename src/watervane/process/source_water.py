"""The keeper's source water as components, for every member."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from watervane.chemistry.dissolved_carbon import inorganic_carbon_from_ph
from watervane.process.assumed import ASSUMED
from watervane.process.state import COLUMN, COMPONENTS
from watervane.records import Finding, SourceWater

MEQ_PER_DKH = 0.356650
MMOL_PER_DGH = 0.178325
MG_N_PER_MMOL = 14.0067
MG_CL_PER_MMOL = 35.453
MAGNESIUM_SHARE = 0.25
SOURCE_PARAMETERS = (
    "source_alkalinity_deviation",
    "source_ph_deviation",
    "source_nitrate_deviation",
)


def source_findings(water: SourceWater) -> list[Finding]:
    """What had to be assumed about the source water."""
    missing = [
        n for n in ("ph", "kh_dkh", "gh_dgh", "nitrate_mg_n_per_l") if getattr(water, n) is None
    ]
    findings = [Finding("assumed-source-water", "info", {"missing": missing})] if missing else []
    if water.chlorine_mg_per_l is None and water.chloramine_mg_per_l is None:
        findings.append(
            Finding("assumed-chloramine", "info", {"mg_per_l": ASSUMED["chloramine_mg_per_l"]})
        )
    return findings


def source_composition(
    water: SourceWater, deviations: Mapping[str, NDArray[np.float64]]
) -> NDArray[np.float64]:
    """Components per litre of source water.

    Parameters
    ----------
    water
        As the keeper describes it; gaps get customary values with a wide spread.
    deviations
        Standard normal numbers by `SOURCE_PARAMETERS`, shape (tanks, members).

    Returns
    -------
    array, shape (components, tanks, members)
        In the units of the component table.
    """
    shape = deviations["source_alkalinity_deviation"].shape

    def told(name: str) -> float | None:
        value = getattr(water, name)
        return None if value is None else float(value)

    kh, spread = _guess(told("kh_dkh"), ASSUMED["kh_dkh"], 0.05, 0.6)
    alkalinity = kh * MEQ_PER_DKH * np.exp(spread * deviations["source_alkalinity_deviation"])
    ph, ph_spread = _guess(told("ph"), ASSUMED["ph"], 0.08, 0.3)
    ph_values = np.clip(ph + ph_spread * deviations["source_ph_deviation"], 5.0, 9.5)
    nitrate, n_spread = _guess(told("nitrate_mg_n_per_l"), ASSUMED["nitrate_mg_n_per_l"], 0.15, 0.8)
    hardness = told("gh_dgh")
    minerals = 1.3 * kh * MMOL_PER_DGH if hardness is None else hardness * MMOL_PER_DGH
    chloride = told("chloride_mg_per_l")
    amounts = {
        "alkalinity": alkalinity,
        "nitrate": nitrate * np.exp(n_spread * deviations["source_nitrate_deviation"]),
        "ammonia": told("ammonia_mg_n_per_l") or 0.0,
        "nitrite": told("nitrite_mg_n_per_l") or 0.0,
        "oxygen": 9.0,
        "calcium": (1.0 - MAGNESIUM_SHARE) * minerals,
        "magnesium": MAGNESIUM_SHARE * minerals,
        "chlorine": told("chlorine_mg_per_l") or 0.0,
        "chloramine": _chloramine(told("chlorine_mg_per_l"), told("chloramine_mg_per_l")),
        "chloride": (ASSUMED["chloride_mg_per_l"] if chloride is None else chloride)
        / MG_CL_PER_MMOL,
    }
    amounts["inorganic_carbon"] = inorganic_carbon_from_ph(
        ph_values, alkalinity, 15.0, _ionic(alkalinity, minerals)
    )
    composition = np.zeros((len(COMPONENTS), *shape))
    for name, value in amounts.items():
        composition[COLUMN[name]] = value
    _close_charge(composition)
    return composition


def _guess(told: float | None, assumed: float, known: float, unknown: float) -> tuple[float, float]:
    return (told, known) if told is not None else (assumed, unknown)


def _chloramine(chlorine: float | None, chloramine: float | None) -> float:
    if chlorine is None and chloramine is None:
        return ASSUMED["chloramine_mg_per_l"]
    return chloramine or 0.0


def _ionic(alkalinity: NDArray[np.float64], minerals: float) -> NDArray[np.float64]:
    return 1e-3 * (0.5 * alkalinity + 2.0 * minerals + 0.3)


def _close_charge(composition: NDArray[np.float64]) -> None:
    """Let sodium carry what the named ions leave over, or chloride where it is negative."""
    c = {name: composition[COLUMN[name]] for name in COMPONENTS}
    anions = c["alkalinity"] + c["chloride"] + (c["nitrate"] + c["nitrite"]) / MG_N_PER_MMOL
    cations = 2.0 * (c["calcium"] + c["magnesium"]) + c["ammonia"] / MG_N_PER_MMOL
    composition[COLUMN["sodium"]] = np.maximum(anions - cations, 0.0)
    composition[COLUMN["chloride"]] += np.maximum(cations - anions, 0.0)
