"""A dose by its label: exact sums, and a refusal of what would harm.

The label and a veterinarian prevail. What needs a prescription, is banned or is dangerous to handle
is not dosed.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from watervane.advice.dose_warnings import brought, warnings
from watervane.chemistry.dilution import (
    endless_peak,
    left_after_changes,
    left_after_decay,
    peaks_of_repeats,
    share_to_change,
)
from watervane.records import Finding, OwnAnimal, Span
from watervane.records.doses import DosedAnimal, DoseDay, DoseSheet, DoseWish, HospitalLoad
from watervane.reference import UnknownNameError, value, wet_mass_g
from watervane.reference.dosing import Dosed, dosed, not_dosed, usual_dose

TEN_TIMES = 10.0
WELL_OVER = 2.0
DROP_ML = Span(0.03, 0.07)  # of a dropper bottle: common practice says 0.05, no source
HOSPITAL_MG_N_PER_L = 0.5  # house estimate: as low as coarse kits show for certain
SCALED_BY = 0.8  # of body mass: the exponent the table's row names


class CannotDose(Exception):
    """A dose that is refused; every reason at once."""

    def __init__(self, problems: Sequence[Finding]) -> None:
        super().__init__(", ".join(problem.key for problem in problems))
        self.problems = tuple(problems)


def dose_sheet(wish: DoseWish) -> DoseSheet:
    """Work a dose out.

    Parameters
    ----------
    wish
        Volumes are net: water alone, without bed and stones.

    Raises
    ------
    CannotDose
        For what is not dosed at all, an unknown name, a unit that does not fit, no water, ten times
        what is usual, twice that where nobody said it is so, more than the label's own maximum, or
        an animal present that it harms.
    """
    what = named(wish.substance)
    left = left_after_decay(24.0 * wish.every_days, wish.half_life_h or math.inf)
    left *= 1.0 - wish.changes
    peaks = peaks_of_repeats(1.0, left, wish.times)
    problems = [*_size_problems(wish, what, max(peaks))]
    found = warnings(wish, what, max(peaks))
    problems += [each for each in found if each.severity == "problem"]
    if problems:
        raise CannotDose(problems)
    removed = 1.0 - left_after_changes(wish.removed)
    amount = wish.rate.rate * wish.volume_l
    days = [
        DoseDay(number * wish.every_days, peak - 1.0, peak) for number, peak in enumerate(peaks)
    ]
    usual = usual_dose(what.kind, wish.rate.unit)
    repeated = wish.times > 1
    return DoseSheet(
        wish=wish,
        kind=what.kind,
        unit=wish.rate.unit,
        amount=amount,
        removed_share=removed,
        top_up=amount * removed,
        course=tuple(days) if repeated else (),
        endless=endless_peak(1.0, left) if repeated and left < 1.0 else None,
        drops=_in_drops(amount) if wish.rate.unit == "mL" and amount <= 5.0 else None,
        brings=brought(wish, what, 1.0),
        kept_share=_span(usual.colonies) if usual and usual.colonies and not wish.bath else None,
        hospital=_hospital(wish) if wish.bath and wish.animals else None,
        findings=(*wish.findings, *found, Finding("dose-label-prevails", "caution")),
    )


def named(substance: str) -> Dosed:
    """What is to be dosed.

    Parameters
    ----------
    substance
        As its keeper calls it.

    Raises
    ------
    CannotDose
        For what is not dosed at all, and for an unknown name.
    """
    refused = not_dosed(substance)
    if refused is not None:
        told = {"name": refused.name, "note": refused.note, "field": "substance"}
        raise CannotDose([Finding(f"dose-not-{refused.why}", "problem", told)])
    try:
        return dosed(substance)
    except UnknownNameError as error:
        near = error.nearest or ("treatment",)
        words = {"name": substance[:40], "near": near, "field": "substance"}
        raise CannotDose([Finding("dose-unknown", "problem", words)]) from error


def _size_problems(wish: DoseWish, what: Dosed, peak: float) -> list[Finding]:
    rate, found = wish.rate, []
    if not wish.volume_l > 0.0:
        found.append(Finding("dose-no-water", "problem", {"field": "volume"}))
    if not rate.rate > 0.0:
        found.append(Finding("dose-nothing", "problem", {"field": "label", "told": rate.raw}))
    usual = usual_dose(what.kind, _weighed(rate.unit))
    told: dict[str, object] = {"name": what.name, "told": rate.raw, "field": "label"}
    if usual is None and what.kind != "ammonia":
        other = "g" if rate.unit != "g" else "mL"
        found.append(Finding("dose-unit", "problem", {**told, "unit": other}))
    elif usual is not None:
        high = usual.bath_high if wish.bath else usual.high
        per_l = rate.rate * (DROP_ML.low if rate.unit == "drops" else 1.0)
        times = per_l / high
        words = {**told, "times": round(times, 1), "high": f"{high:g}", "unit": usual.unit}
        if times >= TEN_TIMES:
            found.append(Finding("dose-ten-times", "problem", words))
        elif times >= WELL_OVER and not wish.sure:
            found.append(Finding("dose-well-over", "problem", words))
    if wish.most is not None:
        if wish.most.unit != rate.unit:
            units = {"unit": rate.unit, "told": wish.most.raw, "field": "most"}
            found.append(Finding("dose-most-unit", "problem", units))
        elif peak * rate.rate > wish.most.rate * (1.0 + 1e-9):
            over = {"peak": peak, "most": wish.most.rate / rate.rate, "field": "most"}
            found.append(Finding("dose-over-most", "problem", over))
    return found


def _weighed(unit: str) -> str:
    return "mL" if unit == "drops" else unit


def _in_drops(amount_ml: float) -> Span:
    return Span(amount_ml / DROP_ML.high, amount_ml / DROP_ML.low)


def _span(row_id: str) -> Span:
    row = value(row_id)
    low, high = (row.value if end is None else end for end in (row.low, row.high))
    return Span(low, high)


def _hospital(wish: DoseWish) -> HospitalLoad:
    """Ammonia of fasting animals in a bare tank: how fast it rises, what change holds it."""
    row = value("fasting_excretion_mg_n_per_g_d")
    scaled = sum(scaled_mass(each, wish.own_animals) for each in wish.animals)
    ends = [scaled * (end or row.value) / wish.volume_l for end in (row.low, row.high)]
    level = HOSPITAL_MG_N_PER_L
    shares = [min(1.0, share_to_change(end, level)) for end in ends]
    return HospitalLoad(
        Span(*ends), Span(24.0 * level / ends[1], 24.0 * level / ends[0]), Span(*shares), level
    )


def scaled_mass(each: DosedAnimal, own: Sequence[OwnAnimal] = ()) -> float:
    """Mass of animals as their excretion goes with it: each to the power of `SCALED_BY`.

    Parameters
    ----------
    each
        Some of a kind.
    own
        The keeper's own rows of animals.
    """
    return float(each.count * wet_mass_g(each.species, each.length_cm, own) ** SCALED_BY)
