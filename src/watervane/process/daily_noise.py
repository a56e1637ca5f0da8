"""What nobody logged: meals, the size of water changes, luck, unseen deaths, drift of rates.

Each is made of standard normal numbers, which either come with the members (a sampler moves
them) or are keyed by member and calendar day. Growth rates wander: an autoregressive walk of
weekly steps that forgets over `DRIFT_WEEKS`, so that a long log does not make a model sure
that is only nearly right. Sizes are house estimates of the tables.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from watervane.process.noise import food_from, keyed_normal
from watervane.reference import value

Numbers = NDArray[np.float64]
DRIFTING = ("ammonia", "nitrite")
NOISE_NAMES = ("food", "luck", "change", "death", "ammonia_drift", "nitrite_drift")
WEEKLY = ("death", *(f"{guild} drift" for guild in DRIFTING))
DRIFT_WEEKS = 8.0
DRIFT_LOG_SD = value("growth_drift_log_sd").value
CHANGE_LOG_SD = value("change_size_log_sd").value
DEATH_CHANCE = value("unseen_death_chance_per_week").value
_KEPT = math.exp(-1.0 / DRIFT_WEEKS)
_STEP = DRIFT_LOG_SD * math.sqrt(1.0 - _KEPT**2)


def drift_steps(z: Numbers) -> Numbers:
    """Growth over its usual rate, week by week, from standard normal steps.

    Parameters
    ----------
    z
        Shape (weeks, members).

    Returns
    -------
    array
        Factors, shape (weeks, members); the first week starts at one plus its step. [-]
    """
    walk = np.zeros_like(z)
    last = np.zeros(z.shape[1:])
    for week, step in enumerate(z):
        last = _KEPT * last + _STEP * step
        walk[week] = last
    return np.exp(walk)


@lru_cache(maxsize=1024)
def _drawn(seed: int, numbers: bytes, place: int, stream: str) -> Numbers:
    """Drawn once for all futures of some members, which ask for the same numbers again."""
    row = keyed_normal(seed, np.frombuffer(numbers, dtype=np.int64), place, stream)
    row.flags.writeable = False
    return row


class DailyNoise:
    """The noise of some members.

    Parameters
    ----------
    seed, numbers
        Keys of what is not told.
    told
        Standard normal numbers by stream: ``food``, ``luck`` and ``change`` by day,
        ``death``, ``ammonia drift`` and ``nitrite drift`` by week, shape (days or weeks, members);
        days beyond are keyed.
    last_day
        Until which weeks of drift are made ready.
    quiet
        Nothing varies: meals and changes are as told, nobody dies unseen, rates do not drift.
    """

    def __init__(
        self,
        seed: int,
        numbers: NDArray[np.int64],
        told: Mapping[str, Numbers],
        last_day: int,
        *,
        quiet: bool = False,
    ) -> None:
        self._seed, self._told = seed, told
        self._numbers = np.ascontiguousarray(numbers, dtype=np.int64)
        self._quiet = quiet
        weeks = range(last_day // 7 + 1)
        self._drift = {
            guild: drift_steps(np.stack([self._normal(f"{guild} drift", w) for w in weeks]))
            for guild in DRIFTING
            if not quiet
        }

    def _normal(self, stream: str, place: int) -> Numbers:
        told = self._told.get(stream)
        if told is not None and place < len(told):
            row: Numbers = told[place]
            return row
        return _drawn(self._seed, self._numbers.tobytes(), place, stream)

    def of_day(self, day: int) -> Numbers:
        """Noise of one day in the order of `NOISE_NAMES`, shape (streams, 1, members)."""
        luck = ndtr(self._normal("luck", day))
        one = np.ones(len(self._numbers))
        if self._quiet:
            return np.stack([one, luck, one, 0.0 * one, one, one])[:, None, :]
        return np.stack(
            [
                food_from(self._normal("food", day)),
                luck,
                np.exp(CHANGE_LOG_SD * self._normal("change", day)),
                ndtr(self._normal("death", day // 7)) > 1.0 - DEATH_CHANCE,
                *(self._drift[guild][day // 7] for guild in DRIFTING),
            ]
        )[:, None, :]
