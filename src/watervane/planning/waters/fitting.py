"""Which animals a water suits as it is: fitting animals to water comes before changing it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from watervane.records import AiredWater, Span
from watervane.reference import Needs, animal_needs, animal_values


def suited(water: AiredWater, tank_ph: Span) -> tuple[tuple[str, ...], dict[str, tuple[str, ...]]]:
    """Animals of the tables whose ranges of pH and hardness hold the water, and the others.

    Parameters
    ----------
    water
        After a day with air.
    tank_ph
        Of the same water in a tank.

    Returns
    -------
    suits, suits_not
        Names; and by name what is out of range: ``ph-low``, ``ph-high``, ``hardness-low`` or
        ``hardness-high``.
    """
    told = {"ph": tank_ph, "hardness": Span.exact(water.gh_dgh)}
    names = dict.fromkeys(value.name for value in animal_values())
    found = {name: tuple(_against(animal_needs(name), told)) for name in names}
    suits = tuple(name for name, against in found.items() if not against)
    return suits, {name: against for name, against in found.items() if against}


def _against(needs: Needs, told: Mapping[str, Span]) -> Iterator[str]:
    for quantity, level in told.items():
        wanted = needs.values.get(quantity)
        if wanted is not None and wanted.low is not None and level.high < wanted.low:
            yield f"{quantity}-low"
        if wanted is not None and wanted.high is not None and level.low > wanted.high:
            yield f"{quantity}-high"
