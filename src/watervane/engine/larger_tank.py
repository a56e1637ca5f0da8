"""A whole tank moved into a larger one: what travels, what is lost, what the new water brings."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from watervane.process.rates.nitrifiers import HABITATS
from watervane.process.run import Members, initial_state
from watervane.process.state import COLUMN, WATER, TankState
from watervane.process.timeline import Timeline
from watervane.records import Span
from watervane.reference import value

Numbers = NDArray[np.float64]
# Everything alive or lying about, by the share that travels; what is not listed is left behind
# with the old panes: the film on them, and algae. Rows of the table of events.
_TRAVELS: Mapping[str, str] = {
    "ammonia_oxidisers_filter": "kept_fresh",
    "nitrite_oxidisers_filter": "kept_fresh",
    "ammonia_oxidisers_bed": "kept_bed_vacuumed",
    "nitrite_oxidisers_bed": "kept_bed_vacuumed",
    "food_nitrogen": "kept_waste_food",
    "carrion_nitrogen": "kept_waste_carrion",
    "faeces_nitrogen": "kept_waste_matter",
    "organic_matter": "kept_waste_matter",
}
_WHOLE = (
    *("gut_nitrogen", "gut_matter", "animal_nitrogen", "animal_matter", "plant_nitrogen"),
    "calcium_carbonate",
)
_GUILDS = ("ammonia", "nitrite")


def moved(
    state: TankState,
    old: Timeline,
    new: Timeline,
    members: Members,
    kept: Mapping[str, Span] | None = None,
    old_water: float = 0.0,
) -> TankState:
    """The members' tanks after the move.

    Parameters
    ----------
    state
        Before it, one tank by members.
    old, new
        The tank as it was and as it will be: its volume and surfaces differ.
    members
        Of the tank; how much of a colony travels differs from one to the next.
    kept
        Shares of the colonies of each habitat that travel, in place of those of a careful move;
        with panes named, the film on them travels, too.
    old_water
        Share of the new filling that is water of the old tank.

    Returns
    -------
    TankState
        Filled with conditioned source water of the tank's own warmth. Animals, plants, filter
        media and bed travel; the colonies in them lose what a careful move costs, and what lay
        about is mostly siphoned off. The new panes are bare but for a trace.
    """
    fresh = initial_state(new, members)
    amounts = np.zeros_like(np.asarray(state.amounts))
    before, filled = np.asarray(state.amounts), np.asarray(fresh.amounts)
    thinned = old.geometry["volume_l"] / new.geometry["volume_l"]
    for name in WATER:
        both = (before[COLUMN[name]], filled[COLUMN[name]])
        amounts[COLUMN[name]] = old_water * both[0] + (1.0 - old_water) * both[1]
    for name in _WHOLE:
        amounts[COLUMN[name]] = thinned * before[COLUMN[name]]
    rng = np.random.default_rng([members.seed, 1271])
    shares = {row: _share(row, rng, before.shape[-1]) for row in sorted({*_TRAVELS.values()})}
    for name, row in _TRAVELS.items():
        amounts[COLUMN[name]] = thinned * shares[row] * before[COLUMN[name]]
    for guild in _GUILDS:
        for habitat, span in (kept or {}).items():
            column = COLUMN[f"{guild}_oxidisers_{habitat}"]
            amounts[column] = thinned * drawn_share(span, members, habitat) * before[column]
        if kept is not None and "surface" in kept:
            continue
        name = f"{guild}_oxidisers_surface"
        amounts[COLUMN[name]] = np.minimum(filled[COLUMN[name]], thinned * before[COLUMN[name]])
    amounts[COLUMN["algal_nitrogen"]] = np.minimum(
        filled[COLUMN["algal_nitrogen"]], thinned * before[COLUMN["algal_nitrogen"]]
    )
    ones = np.ones_like(np.asarray(state.volume_ratio))
    return TankState(
        amounts,
        ones,
        np.asarray(state.temperature_c),
        np.asarray(fresh.ph),
        np.asarray(state.ammonia_wakefulness),
        np.asarray(state.nitrite_wakefulness),
    )


def drawn_share(span: Span, members: Members, habitat: str) -> Numbers:
    """A share between two bounds for each member, the same for both guilds."""
    place = HABITATS.index(habitat)
    rng = np.random.default_rng([members.seed, 1277, place])
    return np.asarray(span.low + (span.high - span.low) * rng.beta(2.0, 2.0, len(members)))


def _share(row: str, rng: np.random.Generator, members: int) -> Numbers:
    """A share for each member, likeliest at the row's value."""
    told = value(row)
    low = told.value if told.low is None else told.low
    high = told.value if told.high is None else told.high
    return rng.triangular(low, told.value, high, members)
