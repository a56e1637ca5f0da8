"""A kit whose lid does not say "as N" or "as the ion": two ways to read it."""

from __future__ import annotations

from watervane.kits.sizes import RATIO_ION_TO_N, number
from watervane.records import Reading


def unknown_basis(reading: Reading) -> bool:
    """Whether a reading may be on either basis."""
    return reading.value.basis == "unknown" and reading.quantity in RATIO_ION_TO_N


def basis_chances(quantity: str) -> dict[float, float]:
    """Factor from the value as converted to what the kit meant, with the chance of each."""
    as_ion = number("ion_basis_chance")
    return {1.0: as_ion, RATIO_ION_TO_N[quantity]: 1.0 - as_ion}
