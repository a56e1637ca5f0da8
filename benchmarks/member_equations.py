"""One member's water as differential equations: the model's own rates, compiled for one tank.

Between two rows nothing is done. Temperature and volume follow the model's own closed form from
the row's start; everything else is handed to the integrator.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from jax.flatten_util import ravel_pytree
from numpy.typing import NDArray

from watervane.process.actions import act
from watervane.process.arrays import apart, jax, jnp
from watervane.process.state import COLUMN, COMPONENTS, TankState
from watervane.process.tank_model import DOZING_D, SYSTEM, WAKING_D, Chemistry, fixed_by
from watervane.process.warmth import cool_and_evaporate

Numbers = NDArray[np.float64]
COUNT = len(COMPONENTS)
UNKNOWNS = COUNT + 2  # and how far each guild is awake
SEEN = (
    "ammonia_mg_n_per_l",
    "nitrite_mg_n_per_l",
    "nitrate_mg_n_per_l",
    "alkalinity_meq_per_l",
    "oxygen_mg_per_l",
    "free_ammonia_mg_n_per_l",
    "ph",
    "temperature_c",
)


class Equations:
    """The compiled functions of one tank; all that is fixed within a row comes as one array.

    One array keeps the cost of a call small: JAX looks at each argument anew every time.
    """

    def __init__(self, example: Any) -> None:
        self._unpacked = ravel_pytree(example)[1]
        self.slopes = jax.jit(self._slopes)
        self.seen = jax.jit(self._seen)
        self.ended = jax.jit(self._ended)
        self.many_slopes = jax.jit(self._many_slopes)

    def packed(self, given: Any) -> Any:
        """Row, state at its start and site as one array."""
        return ravel_pytree(given)[0]

    def _slopes(self, told: Any, packed: Any) -> Any:
        """Slopes of the unknowns and the pH, from unknowns, days since the row began, pH guess."""
        chemistry, at, _ = self._at(told, packed)
        rates, _, wished = chemistry.rates(at)
        extents = jnp.stack([jnp.reshape(rates[p], ()) for p in SYSTEM.processes])
        targets = jnp.stack([jnp.reshape(t, ()) for t in wished])
        awake = told[COUNT:UNKNOWNS]
        waking = (targets - awake) / jnp.where(targets > awake, WAKING_D, DOZING_D)
        change = jnp.asarray(SYSTEM.coefficients.T) @ extents
        return jnp.concatenate([change, waking, jnp.reshape(at.ph, (1,))])

    def _seen(self, told: Any, packed: Any) -> Any:
        """What a forecast shows of the water, in the order of `SEEN`."""
        _, at, now = self._at(told, packed)
        names = ("ammonia", "nitrite", "nitrate", "alkalinity", "oxygen")
        shown = [told[COLUMN[n]] / now.volume_ratio for n in names]
        shown += [at.free_ammonia_mg_n_per_l, at.ph, now.temperature_c]
        return jnp.stack([jnp.reshape(x, ()) for x in shown])

    def _ended(self, told: Any, packed: Any) -> TankState:
        """State at the end of a row."""
        return self._at(told, packed)[2]

    def _many_slopes(self, told: Any, packed: Any, times: Any) -> Any:
        """Slopes so many times over, each resting on the one before: no call from outside."""
        whole = apart()(self._slopes)  # as the day program does with its row

        def again(_: Any, now: Any) -> Any:
            return now.at[:UNKNOWNS].add(1e-12 * whole(now, packed)[:UNKNOWNS])

        return jax.lax.fori_loop(0, times, again, told)

    def _at(self, told: Any, packed: Any) -> tuple[Any, Any, TankState]:
        row, begin, site = self._unpacked(packed)
        unknowns, since_d = told[:UNKNOWNS], told[UNKNOWNS]
        awake = [jnp.reshape(unknowns[COUNT + k], (1, 1)) for k in (0, 1)]
        amounts = unknowns[:COUNT, None, None]
        guess = jnp.reshape(told[UNKNOWNS + 1], (1, 1))
        state = TankState(amounts, begin.volume_ratio, begin.temperature_c, guess, *awake)
        now = cool_and_evaporate(state, {**row, "step_d": since_d}, site.geometry, site.theta)
        chemistry = Chemistry(fixed_by(now, row, site), row, site)
        return chemistry, chemistry.conditions(amounts, guess, tuple(awake)), now


@jax.jit
def acted(state: TankState, row: Any, theta: Any, source: Any, noise: Any) -> TankState:
    """What a row does at its start."""
    return act(state, row, theta, source, noise)
