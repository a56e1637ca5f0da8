"""What the colonies could turn over at a moment, what they do, and what is offered to them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from watervane.process.arrays import Array, jax
from watervane.process.booking import Seen
from watervane.process.daily_noise import DRIFTING
from watervane.process.kept_program import KeptProgram
from watervane.process.program import GEOMETRY_NAMES
from watervane.process.rates.nitrifiers import (
    GUILDS,
    HABITATS,
    colony_pace,
    environment_factor,
    ph_factor,
)
from watervane.process.run import BLOCK_MEMBERS, Members
from watervane.process.state import COLUMN, MATRIX, TankState
from watervane.process.tank_model import SYSTEM, Chemistry, fixed_by, site_of
from watervane.process.timeline import Timeline
from watervane.records import SettledLevels

Numbers = NDArray[np.float64]
_GROWTH = {
    guild: {h: MATRIX.process(f"growth_of_{guild}_oxidisers_{h}") for h in HABITATS}
    for guild in GUILDS
}
# Nitrogen a colony takes, most of it turned over and little built in, for each unit of growth.
TAKEN_PER_GROWTH = {
    guild: -float(MATRIX.coefficients[_GROWTH[guild][HABITATS[0]], COLUMN[guild]])
    for guild in GUILDS
}


class ColonyView(NamedTuple):
    """The colonies of each guild in each habitat, at one moment.

    Parameters
    ----------
    capacity
        What they could turn over fed to saturation, awake, at the water's temperature, pH,
        oxygen and alkalinity; shape (guilds, habitats, members). [mg N/L/d]
    held
        What they turn over while the water stays at a low level, seen through their films;
        shape (guilds, habitats, members). [mg N/L/d]
    turnover
        What they do turn over, shape (guilds, habitats, members). [mg N/L/d]
    offered
        What all else brings to each guild, less what all else takes; shape (guilds, members).
        [mg N/L/d]
    awake
        Share of each guild awake, shape (guilds, members). [-]
    """

    capacity: Numbers
    held: Numbers
    turnover: Numbers
    offered: Numbers
    awake: Numbers


def _viewed(
    state: TankState,
    row: Mapping[str, Array],
    theta: Mapping[str, Array],
    geometry: Mapping[str, Array],
    levels: Mapping[str, Array],
) -> dict[str, Array]:
    site = site_of(theta, geometry)
    fixed = fixed_by(state, row, site)
    chemistry = Chemistry(fixed, row, site)
    awake = (state.ammonia_wakefulness, state.nitrite_wakefulness)
    at = chemistry.conditions(state.amounts, state.ph, awake)
    rates, _, _ = chemistry.rates(at)
    found: dict[str, Array] = {}
    own = {guild: set(_GROWTH[guild].values()) for guild in GUILDS}
    for guild in GUILDS:
        found[f"offered_{guild}"] = sum(
            float(SYSTEM.coefficients[place, COLUMN[guild]]) * rates[name]
            for place, name in enumerate(SYSTEM.processes)
            if SYSTEM.coefficients[place, COLUMN[guild]] and place not in own[guild]
        )
        # Inhibitors are what saturation would bring along; a keeper never feeds to it.
        clean = at._replace(
            free_ammonia_mg_n_per_l=0.0 * at.free_ammonia_mg_n_per_l,
            nitrous_acid_mg_n_per_l=0.0 * at.nitrous_acid_mg_n_per_l,
        )
        best = environment_factor(guild, clean, theta, ph_factor(at.ph))
        pace = colony_pace(guild, theta, site.colonies[guild], at.temperature_c)
        for habitat in HABITATS:
            colony = at.amount[f"{guild}_oxidisers_{habitat}"]
            able = pace.fastest_per_d * best * colony
            if habitat == "filter":
                able = able * row["filter_running"]
            film = site.colonies[guild].film_mg_n_d_per_mg_o2[habitat] * able
            hindered = theta[f"{guild}_oxidiser_half_saturation"] + film + levels[guild]
            held = able * levels[guild] / hindered
            found[f"held_{guild}_{habitat}"] = TAKEN_PER_GROWTH[guild] * held
            growth = rates[f"growth_of_{guild}_oxidisers_{habitat}"]
            found[f"capacity_{guild}_{habitat}"] = TAKEN_PER_GROWTH[guild] * able
            found[f"turnover_{guild}_{habitat}"] = TAKEN_PER_GROWTH[guild] * growth
    return found


_view = KeptProgram(jax.jit(_viewed), "colony_view")


class ColonyViewer:
    """Looks at some members of a tank, at most `BLOCK_MEMBERS`."""

    def __init__(self, line: Timeline, members: Members, levels: SettledLevels) -> None:
        self._levels = {guild: np.full((1, 1), levels.of(guild)) for guild in GUILDS}
        self._count = len(members)
        self._lanes = np.minimum(np.arange(BLOCK_MEMBERS), self._count - 1)
        wide = members.chosen(self._lanes)
        self._theta = {name: value[None, :] for name, value in wide.parameters.items()}
        self._line = line

    def __call__(self, seen: Seen) -> ColonyView:
        """View the colonies at a moment."""
        state = TankState(*(np.asarray(part)[..., self._lanes] for part in seen.state))
        theta = dict(self._theta)
        for guild in DRIFTING:
            growth = f"{guild}_oxidiser_growth_per_d"
            theta[growth] = theta[growth] * seen.growth_factors[guild][self._lanes]
        row = {name: np.asarray(value) for name, value in seen.row.items()}
        told = self._line.geometry_at(seen.at_d)
        geometry = {name: np.full((1, 1), told[name], dtype=np.float64) for name in GEOMETRY_NAMES}
        found = {
            name: np.broadcast_to(np.asarray(value), (1, BLOCK_MEMBERS))[0, : self._count]
            for name, value in _view(state, row, theta, geometry, self._levels).items()
        }

        def by_habitat(what: str) -> Numbers:
            return np.stack(
                [np.stack([found[f"{what}_{g}_{h}"] for h in HABITATS]) for g in GUILDS]
            )

        awake = (seen.state.ammonia_wakefulness, seen.state.nitrite_wakefulness)
        return ColonyView(
            by_habitat("capacity"),
            by_habitat("held"),
            by_habitat("turnover"),
            np.stack([found[f"offered_{guild}"] for guild in GUILDS]),
            np.stack([np.asarray(one)[0] for one in awake]),
        )
