"""What a dosed substance adds to the water."""

from __future__ import annotations

import math

from watervane.process.day_program import Action
from watervane.records import Dose, Span
from watervane.reference import Substance, substance, taken_by_label

MG_N_PER_MMOL = 14.0067
EXCHANGER = "zeolite"
CONDITIONER_MG_CL2_PER_L = 5.0  # a usual dose covers this much chlorine (common practice)


def dose_action(at_d: float, event: Dose, volume_l: float) -> Action:
    """Turn a dose into components per litre.

    Ammonia may be told as an amount, as a rise or as a level to fill up to; a dose
    without any amount of anything but a conditioner adds nothing. A range (of drops, of
    what was believed) becomes a log spread about its geometric centre; where an amount is
    told, the range of the substance's strength widens it about the usual strength. The amount of
    a conditioner counts where its strength is told, too; else it is taken as dosed to its label.
    """
    what = substance(event.substance)
    believed = event.amount_factor or Span.exact(1.0)
    scalars = {"dose_log_spread": _log_spread(believed)}
    if event.target_mg_n_per_l is not None and what.tan_mol > 0:
        scalars |= {
            "ammonia_target_mg_n_per_l": event.target_mg_n_per_l * believed.centre,
            "target_alkalinity_meq_per_mg_n": what.alkalinity_eq / what.tan_mol / MG_N_PER_MMOL,
            "target_chloride_mmol_per_mg_n": what.chloride_mol / what.tan_mol / MG_N_PER_MMOL,
        }
        return Action(at_d, scalars)
    if event.added_mg_n_per_l is not None and what.tan_mol > 0:
        moles = event.added_mg_n_per_l * believed.centre / MG_N_PER_MMOL / what.tan_mol
        return Action(at_d, scalars, {"add": _added(what, moles)})
    if event.mass_g is not None and not taken_by_label(what):
        grams = event.mass_g.centre * believed.centre / volume_l
        millimoles = 1000.0 * grams * what.strength / what.molar_mass_g_per_mol
        added = _added(what, millimoles)
        pure_mg_per_l = 1000.0 * grams * what.strength
        if what.name == EXCHANGER:
            added["zeolite"] = grams * what.strength
        added["dechlorinator"] = pure_mg_per_l * what.dechlorination_mg_cl2_per_mg
        spans = (believed, event.mass_g, what.strength_span)
        scalars["dose_log_spread"] = math.hypot(*map(_log_spread, spans))
        return Action(at_d, scalars, {"add": added})
    if what.dechlorination_mg_cl2_per_mg > 0:
        return Action(at_d, vectors={"add": {"dechlorinator": CONDITIONER_MG_CL2_PER_L}})
    return Action(at_d)


def _log_spread(span: Span) -> float:
    """Standard deviation of the logarithm where a span is its 95 % range."""
    return math.log(span.high / span.low) / (2.0 * 1.96) if span.low > 0 else 0.0


def _added(what: Substance, millimoles_per_l: float) -> dict[str, float]:
    return {
        "ammonia": what.tan_mol * millimoles_per_l * MG_N_PER_MMOL,
        "nitrite": what.nitrite_mol * millimoles_per_l * MG_N_PER_MMOL,
        "nitrate": what.nitrate_mol * millimoles_per_l * MG_N_PER_MMOL,
        "alkalinity": what.alkalinity_eq * millimoles_per_l,
        "inorganic_carbon": what.dic_mol * millimoles_per_l,
        "calcium": what.calcium_mol * millimoles_per_l,
        "magnesium": what.magnesium_mol * millimoles_per_l,
        "sodium": (what.sodium_mol + what.potassium_mol) * millimoles_per_l,
        "chloride": what.chloride_mol * millimoles_per_l,
    }
