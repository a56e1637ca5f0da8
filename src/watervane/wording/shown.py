"""Which series are shown, under which title, and as nitrogen or as the ion."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from watervane.units.conversions import NH4_PER_N, NO2_PER_N, NO3_PER_N
from watervane.wording.amounts import acidity, concentration

ION_PER_N = {"ammonia": NH4_PER_N, "nitrite": NO2_PER_N, "nitrate": NO3_PER_N}
ION_NAMES = {"ammonia": "ammonium", "nitrite": "nitrite", "nitrate": "nitrate"}
BASES = ("usual", "n", "ion")


@dataclass(frozen=True, slots=True)
class Shown:
    """One series as it is printed: ``printed = factor * stored``."""

    key: str
    quantity: str
    title: str
    unit: str
    factor: float
    text: Callable[[float], str]

    def value(self, stored: float) -> str:
        """The stored value as printed, without its unit."""
        return self.text(stored * self.factor)

    def amount(self, stored: float) -> str:
        """The stored value with its unit."""
        return f"{self.value(stored)} {self.unit}".strip()


def shown_species(quantity: str, basis: str = "usual") -> Shown:
    """How one nitrogen species is printed.

    Parameters
    ----------
    quantity
        ``ammonia``, ``nitrite`` or ``nitrate``.
    basis
        ``usual`` (ammonia and nitrite as N, nitrate as the ion), ``n`` or ``ion``.
    """
    as_ion = basis == "ion" or (basis == "usual" and quantity == "nitrate")
    return Shown(
        key=f"{quantity}_mg_n_per_l",
        quantity=quantity,
        title=quantity.capitalize(),
        unit=f"mg/L as {ION_NAMES[quantity]}" if as_ion else "mg N/L",
        factor=ION_PER_N[quantity] if as_ion else 1.0,
        text=concentration,
    )


def shown_by_kit(quantity: str, basis: str) -> Shown:
    """How a kit prints one nitrogen species: the ion, but where it is told to show nitrogen.

    Parameters
    ----------
    quantity
        ``ammonia``, ``nitrite`` or ``nitrate``.
    basis
        ``n``, ``ion``, or ``unknown``: then its unit does not say which.
    """
    shown = shown_species(quantity, "n" if basis == "n" else "ion")
    return replace(shown, unit="mg/L") if basis == "unknown" else shown


def shown_series(basis: str = "usual") -> tuple[Shown, ...]:
    """The four series every forecast shows, in the order they are drawn."""
    if basis not in BASES:
        raise ValueError(f"unknown basis {basis!r}")
    acid = Shown(key="ph", quantity="ph", title="pH", unit="", factor=1.0, text=acidity)
    return (*(shown_species(species, basis) for species in ION_PER_N), acid)


def both_bases(quantity: str, stored_mg_n_per_l: float, basis: str = "usual") -> str:
    """``1.5 mg N/L (1.9 mg/L as ammonium)``: the shown basis first, the other beside it."""
    first = shown_species(quantity, basis)
    other = shown_species(quantity, "n" if first.factor > 1.0 else "ion")
    return f"{first.amount(stored_mg_n_per_l)} ({other.amount(stored_mg_n_per_l)})"
