"""Whether a water lies where an animal of the catalogue is well."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from watervane.reference.catalogue_animal import CatalogueAnimal
from watervane.units import Span

QUANTITIES = ("temperature", "ph", "gh", "kh")
# from best to worst; the worst of several quantities stands
FITS = ("good", "edge", "unknown", "outside")


@dataclass(frozen=True, slots=True)
class AnimalsWanted:
    """What is looked for: a kind, and ranges of water by quantity, all of which must suit."""

    kind: str | None = None
    water: Mapping[str, Span] = field(default_factory=dict)


def ranges_of(animal: CatalogueAnimal, quantity: str) -> tuple[Span | None, Span | None]:
    """The range in which it is well, and the widest that was allowed; the latter where known."""
    found: tuple[Span | None, Span | None] = {
        "temperature": (animal.temperature_c, animal.widest_temperature_c),
        "ph": (animal.ph, animal.widest_ph),
        "gh": (animal.gh_dgh, animal.widest_gh_dgh),
        "kh": (animal.kh_dkh, animal.widest_kh_dkh),
    }[quantity]
    good, widest = found
    return good, widest or good


def water_fit(animal: CatalogueAnimal, quantity: str, told: Span) -> str:
    """How a water suits: ``good``, ``edge`` (by one review alone), ``unknown``, ``outside``.

    Parameters
    ----------
    animal : CatalogueAnimal
        Of the catalogue.
    quantity : str
        One of `QUANTITIES`.
    told : Span
        The water, in degC, pH, dGH or dKH.
    """
    good, widest = ranges_of(animal, quantity)
    if good is not None and _holds(good, told):
        return "good"
    if widest is None:
        return "unknown"
    return "edge" if _holds(widest, told) else "outside"


def fit(animal: CatalogueAnimal, wanted: AnimalsWanted) -> str:
    """The worst of all quantities that are told."""
    if wanted.kind is not None and animal.kind != wanted.kind:
        return "outside"
    found = [water_fit(animal, quantity, told) for quantity, told in wanted.water.items()]
    return max(found, key=FITS.index, default="good")


def _holds(outer: Span, inner: Span) -> bool:
    return outer.low <= inner.low and inner.high <= outer.high
