"""From a report to ions: what is missing worked out, what contradicts itself told.

Water carries no charge. Where one ion is missing the others tell it; where none is, they must
agree, and a report that does not is either misread or mistyped.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from watervane.chemistry.conductivity import conductivity_us_per_cm_25
from watervane.chemistry.hardness import MEQ_PER_DKH, MMOL_PER_DGH
from watervane.planning.waters.ions import MG_PER_MMOL, charge_meq_per_l
from watervane.records import Finding, IonWater, WaterReport
from watervane.reference import sourced
from watervane.units import conversions as mass

FIELDS: Mapping[str, str] = MappingProxyType(
    {
        "calcium": "calcium_mg_per_l",
        "magnesium": "magnesium_mg_per_l",
        "sodium": "sodium_mg_per_l",
        "potassium": "potassium_mg_per_l",
        "chloride": "chloride_mg_per_l",
        "sulfate": "sulfate_mg_per_l",
        "nitrate": "nitrate_mg_n_per_l",
        "ammonium": "ammonia_mg_n_per_l",
    }
)
CALCIUM_SHARE = 0.75  # of a hardness that is not split: common practice, no source
IMPOSSIBLE_SHARE = 0.10  # of imbalance, beyond any laboratory's error
CONDUCTIVITY_SHARE = 0.25
SOFT_SHARE = 0.5  # hardness over alkalinity under which a softener is suspected
SOFT_FROM_MEQ = 1.0
PLAUSIBLE_CHLORAMINE_MG_PER_L = 4.0  # the most a utility may leave in the water: by it one doses
# Misreadings of a report that would make its charges agree: the ion and the factor on it.
MISREAD: Mapping[str, tuple[str, float]] = MappingProxyType(
    {
        "nitrate-as-n": ("nitrate", mass.NO3_PER_N),
        "nitrate-as-ion": ("nitrate", 1.0 / mass.NO3_PER_N),
        "alkalinity-french": ("bicarbonate", 10.0 / mass.MG_CACO3_PER_DEGREE),
        "alkalinity-twice": ("bicarbonate", 0.5),
        "sulfate-as-s": ("sulfate", (mass.SULFUR + 4 * mass.OXYGEN) / mass.SULFUR),
        "calcium-as-caco3": ("calcium", mass.CALCIUM / mass.CALCIUM_CARBONATE),
    }
)


class CannotRead(Exception):
    """A report that contradicts itself, with every contradiction."""

    def __init__(self, problems: list[Finding]) -> None:
        super().__init__(", ".join(problem.key for problem in problems))
        self.problems = tuple(problems)


@sourced("apha1030", where="allowed difference of cations and anions")
def allowed_difference_meq_per_l(anions_meq_per_l: float) -> float:
    """By how much cations and anions of a good analysis may differ. [meq/L]

    Parameters
    ----------
    anions_meq_per_l
        Sum of the anions. [meq/L]
    """
    if anions_meq_per_l <= 3.0:
        return 0.2
    return (0.02 if anions_meq_per_l <= 10.0 else 0.05) * 2.0 * anions_meq_per_l


def read_report(report: WaterReport) -> IonWater:
    """Work out every ion of a water.

    Parameters
    ----------
    report
        As told; partial is fine.

    Raises
    ------
    CannotRead
        Where what is told cannot stand in one water.
    """
    told, problems = _told(report)
    if problems:
        raise CannotRead(problems)
    filled, imbalance, found = _balanced(told)
    findings = list(found)
    softened = _softened(told, filled)
    if softened:
        sodium = MG_PER_MMOL["sodium"] * filled["sodium"]
        findings.append(Finding("water-softened", "caution", {"sodium": sodium}))
    findings += _conductivity(report, filled)
    findings += _acidity(report)
    known = report.chlorine_mg_per_l is not None or report.chloramine_mg_per_l is not None
    worst = 0.0 if known else PLAUSIBLE_CHLORAMINE_MG_PER_L
    return IonWater(
        name=report.name,
        ions=filled,
        assumed=tuple(name for name in filled if name not in told and filled[name] > 0.0),
        imbalance=imbalance,
        softened=softened,
        chlorine_mg_per_l=report.chlorine_mg_per_l or 0.0,
        chloramine_mg_per_l=report.chloramine_mg_per_l or worst,
        disinfectant_told=known,
        findings=tuple(findings),
    )


def _told(report: WaterReport) -> tuple[dict[str, float], list[Finding]]:
    """Ions as told, hardness split where need be. [mmol/L]"""
    found = {
        name: getattr(report, field) / MG_PER_MMOL[name]
        for name, field in FIELDS.items()
        if getattr(report, field) is not None
    }
    problems = [
        Finding("water-negative", "problem", {"ion": name})
        for name, amount in found.items()
        if amount < 0.0
    ]
    if report.kh_dkh is not None:
        found["bicarbonate"] = MEQ_PER_DKH * report.kh_dkh
    if report.gh_dgh is None:
        return found, problems
    hardness = MMOL_PER_DGH * report.gh_dgh
    pair = [found.get("calcium"), found.get("magnesium")]
    known = sum(each for each in pair if each is not None)
    if None not in pair and abs(known - hardness) > max(0.1 * hardness, MMOL_PER_DGH):
        told = {"gh_dgh": report.gh_dgh, "from_ions": known / MMOL_PER_DGH}
        return found, [*problems, Finding("water-hardness-differs", "problem", told)]
    if known > hardness + 0.5 * MMOL_PER_DGH:
        told = {"gh_dgh": report.gh_dgh, "from_ions": known / MMOL_PER_DGH}
        return found, [*problems, Finding("water-hardness-over", "problem", told)]
    if pair[0] is None and pair[1] is None:
        found |= {"calcium": CALCIUM_SHARE * hardness}
        found |= {"magnesium": (1.0 - CALCIUM_SHARE) * hardness}
    elif pair[0] is None:
        found["calcium"] = max(hardness - known, 0.0)
    elif pair[1] is None:
        found["magnesium"] = max(hardness - known, 0.0)
    return found, problems


def _balanced(
    told: Mapping[str, float],
) -> tuple[dict[str, float], float | None, list[Finding]]:
    """All ions, the share of imbalance where it can be known, and what was worked out."""
    cations, anions = charge_meq_per_l(told)
    gap = cations - anions
    untold_cations = [n for n in ("sodium", "calcium", "magnesium", "potassium") if n not in told]
    untold_anions = [n for n in ("bicarbonate", "chloride", "sulfate", "nitrate") if n not in told]
    takers = untold_anions if gap > 0 else untold_cations
    major = [name for name in takers if name not in ("potassium", "nitrate")]
    filled = dict(told)
    if major:
        first = major[0]
        filled[first] = abs(gap) / (2.0 if first in ("calcium", "magnesium", "sulfate") else 1.0)
        rest = [n for n in (*untold_cations, *untold_anions) if n != first]
        key = "water-worked-out" if not set(rest) - {"potassium", "nitrate"} else "water-assumed"
        arguments: dict[str, object] = {"ion": first, "rest": rest or ["none"]}
        return _whole(filled), None, [Finding(key, "caution", arguments)]
    imbalance = gap / max(cations + anions, 1e-9)
    allowed = max(allowed_difference_meq_per_l(anions), 0.2)
    if abs(gap) <= allowed:
        return _whole(filled), imbalance, []
    arguments = {
        "cations": cations,
        "anions": anions,
        "percent": 100.0 * imbalance,
        "ions": list(told),
    }
    if abs(imbalance) > IMPOSSIBLE_SHARE:
        helps = misreadings(told)
        key = "water-unbalanced-misread" if helps else "water-unbalanced"
        why = {**arguments, "helps": helps[0] if helps else ""}
        raise CannotRead([Finding(key, "problem", why, source="apha1030")])
    return _whole(filled), imbalance, [Finding("water-uneven", "caution", arguments)]


def misreadings(told: Mapping[str, float]) -> list[str]:
    """Keys of `MISREAD` any one of which would make the charges agree."""
    found = []
    for key, (ion, factor) in MISREAD.items():
        if ion not in told:
            continue
        cations, anions = charge_meq_per_l({**told, ion: told[ion] * factor})
        if abs(cations - anions) <= allowed_difference_meq_per_l(anions):
            found.append(key)
    return found


def _whole(ions: Mapping[str, float]) -> dict[str, float]:
    names = ("calcium", "magnesium", "sodium", "potassium", "ammonium")
    return {
        name: ions.get(name, 0.0)
        for name in (*names, "bicarbonate", "chloride", "sulfate", "nitrate")
    }


def _softened(told: Mapping[str, float], filled: Mapping[str, float]) -> bool:
    """Whether sodium stands where calcium and magnesium would."""
    hardness = 2.0 * (filled["calcium"] + filled["magnesium"])
    if "bicarbonate" not in told or not {"calcium", "magnesium"} <= told.keys():
        return False
    alkalinity = filled["bicarbonate"]
    sodium = filled["sodium"] >= 0.5 * alkalinity
    return alkalinity >= SOFT_FROM_MEQ and hardness < SOFT_SHARE * alkalinity and sodium


def _conductivity(report: WaterReport, filled: Mapping[str, float]) -> list[Finding]:
    told = report.conductivity_us_per_cm
    if told is None or told <= 0.0:
        return []
    ours = float(conductivity_us_per_cm_25(filled))
    if abs(ours - told) <= CONDUCTIVITY_SHARE * told:
        return []
    return [Finding("water-conductivity", "caution", {"told": told, "from_ions": ours})]


def _acidity(report: WaterReport) -> list[Finding]:
    if report.ph is None or report.kh_dkh is None:
        return []
    if report.ph < 4.3 and report.kh_dkh > 0.5:
        told = {"ph": report.ph, "kh_dkh": report.kh_dkh}
        raise CannotRead([Finding("water-acid-with-kh", "problem", told)])
    return []


def pure(name: str, share_kept: float = 0.0, tap: IonWater | None = None) -> IonWater:
    """Water through a membrane that lets a share of the tap's ions pass, or rain.

    Parameters
    ----------
    name
        Its name.
    share_kept
        Of each ion. [-]
    tap
        What goes in; rain and distilled water have none.
    """
    ions: Mapping[str, float] = _whole({}) if tap is None else tap.ions
    return IonWater(name, {ion: share_kept * amount for ion, amount in ions.items()})
