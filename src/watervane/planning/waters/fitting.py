"""Which animals a water suits as it is: fitting animals to water comes before changing it."""

from __future__ import annotations

from watervane.records import AiredWater, Span
from watervane.reference import animal_values


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
    found: dict[str, list[str]] = {}
    told = {"ph": tank_ph, "hardness": Span.exact(water.gh_dgh)}
    for value in animal_values():
        if value.quantity not in told:
            continue
        against = found.setdefault(value.name, [])
        if value.low is not None and told[value.quantity].high < value.low:
            against.append(f"{value.quantity}-low")
        if value.high is not None and told[value.quantity].low > value.high:
            against.append(f"{value.quantity}-high")
    suits = tuple(name for name, against in found.items() if not against)
    return suits, {name: tuple(against) for name, against in found.items() if against}
