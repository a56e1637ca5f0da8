"""What animals breathe and what their food would burn to: plain figures, free of the model."""

from __future__ import annotations

ROUTINE_OVER_RESTING = 1.7  # from memory: 1.5 to 2
FOOD_MG_O2_PER_G = 1250.0  # house estimate: protein 1.5, fat 2.9, starch 1.1 g/g


def resting_oxygen_mg_per_d(mass_g: float) -> float:
    """Resting uptake of one fish at 25 degC (clarke_johnston1999). [mg O2/d]"""
    return float(24.0 * 10.263 * (mass_g / 50.0) ** 0.80)
