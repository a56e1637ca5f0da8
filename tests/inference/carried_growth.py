"""The invented growth read day by day: members are carried on from each reading to the next."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from invented_growth import EmulatedGrowth, Growth, Invented

from watervane.inference.calibration import Placed, place
from watervane.inference.emulator import Emulator
from watervane.inference.target import Evaluated, Floats, Population, Posterior, Surrogate
from watervane.inference.tempered import Effort, sample

NEXT = 104729  # from one day's seed to the next one's


@dataclass(frozen=True)
class GrowthSoFar(EmulatedGrowth):
    """Readings of which the first days' were agreed with before."""

    settled: int = 0

    def evaluate(self, z: Floats) -> Evaluated:
        found = super().evaluate(z)
        looks = np.asarray(found.kept["looks"], dtype=np.float64)
        return Evaluated(found.log_likelihood, found.kept, self._base(looks, z))

    def surrogate(self, z: Floats, kept: Mapping[str, Floats], weights: Floats) -> Surrogate:
        emulator = Emulator(z, kept["looks"], weights)

        def guess(at: Floats) -> Evaluated:
            looks = emulator(at)
            by_kit = looks.reshape(len(self.read), len(self.days), -1)
            return Evaluated(self._weigh(by_kit, at), {}, self._base(looks, at))

        return guess

    def _base(self, looks: Floats, z: Floats) -> Floats:
        before = self.until(self.settled)
        by_kit = looks.reshape(len(self.read), len(self.days), -1)[:, : self.settled]
        return before._weigh(by_kit, z)  # noqa: SLF001  (one target's own readings, fewer)

    def until(self, days: int) -> Growth:
        """The first days' readings alone."""
        return Growth(self.read[:, :days], self.days[:days], self.daily)


@dataclass(frozen=True)
class Carried:
    """How members were carried: the last posterior, and sweeps of each day."""

    posterior: Posterior
    sweeps: tuple[int, ...]


def carried(
    whole: Growth, first: int, members: int, seed: int, start: Effort, effort: Effort
) -> Carried:
    """Fit the first days' readings, then take in one day after another.

    Parameters
    ----------
    whole
        All readings.
    first
        Days fitted in one go.
    members, seed
        Of all runs.
    start, effort
        Of the first fit, and after each day.
    """

    def until(days: int, settled: int) -> GrowthSoFar:
        return GrowthSoFar(whole.read[:, :days], whole.days[:days], whole.daily, settled)

    found = sample(until(first, 0), members, seed, effort=start)
    sweeps = [found.info.sweeps]
    for days in range(first + 1, len(whole.days) + 1):
        target = until(days, days - 1)
        seed += NEXT
        begin = Population(found.z, target.evaluate(found.z))
        found = sample(target, members, seed, start=begin, effort=effort)
        sweeps.append(found.info.sweeps)
    return Carried(found, tuple(sweeps))


def look_for_carried(
    problem: Invented,
    truth: Floats,
    prior: Mapping[str, Floats],
    members: int,
    seed: int,
    number: int,
    *,
    first: int,
    start: Effort,
    effort: Effort,
) -> Placed:
    """As `watervane.inference.calibration.look_for`, but readings come day by day.

    The same seed and number give the same readings as there.
    """
    chance = np.random.default_rng([seed, number])
    actual = problem.quantities(truth[:, None])
    whole = problem.imagine(truth, chance)
    found = carried(whole, first, members, seed + number, start, effort)
    drawn = problem.quantities(found.posterior.z)
    places, before = {}, {}
    for name, values in actual.items():
        places[name] = place(float(values[0]), drawn[name], chance)
        before[name] = place(float(values[0]), prior[name], chance)
    return Placed(places, before, sum(found.sweeps), found.posterior.info.health)
