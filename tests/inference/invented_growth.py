"""An invented two-step growth read by three coarse kits: small enough for hundreds of runs.

Food brings a first substance that one colony turns into a second and another colony into a
third. Rates, starting colonies, kit biases, every day's food and a weekly drift of both growth
rates are unknown. Nothing here describes a real tank; only the kind of knowledge is alike.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from watervane.inference.emulator import Emulator
from watervane.inference.target import Evaluated, Surrogate

Floats = NDArray[np.float64]

# Name, median and spread of the logarithm.
PARAMETERS = (
    ("food a day", 0.5, 0.3),
    ("growth of the first", 0.55, 0.35),
    ("growth of the second", 0.45, 0.35),
    ("half saturation of the first", 0.6, 0.4),
    ("half saturation of the second", 0.5, 0.4),
    ("starting first", 0.03, 1.0),
    ("starting second", 0.015, 1.0),
    ("decay", 0.06, 0.4),
    ("release a day", 0.7, 0.3),
    ("loss of the third", 0.02, 0.5),
)
KITS = ("first", "second", "third")
LASTING = len(PARAMETERS) + len(KITS)
BIAS_SPREAD, ERROR, FLOOR, OUTLIER = 0.15, 0.18, 0.15, 0.03
STEPS = {
    "first": (0.0, 0.25, 0.5, 1.0, 2.0, 4.0, 8.0),
    "second": (0.0, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0),
    "third": (0.0, 2.0, 5.0, 10.0, 20.0, 40.0),
}
FOOD_SPREAD, DRIFT = 0.35, 0.1
STEPS_A_DAY = 6


@dataclass(frozen=True)
class Growth:
    """What was read of one imagined course: step numbers, shape (kits, reading days)."""

    read: NDArray[np.int64]
    days: tuple[int, ...]
    daily: int = 24  # days of unknown food; later ones feed as usual

    @property
    def names(self) -> tuple[str, ...]:
        return names(self.daily)

    @property
    def lasting(self) -> NDArray[np.int64]:
        return np.arange(LASTING)

    @property
    def fleeting(self) -> Mapping[str, NDArray[np.int64]]:
        at, weeks = LASTING + self.daily, _weeks(self.daily)
        return {
            "food": np.arange(LASTING, at),
            "drift of the first": np.arange(at, at + weeks),
            "drift of the second": np.arange(at + weeks, at + 2 * weeks),
        }

    def evaluate(self, z: Floats) -> Evaluated:
        looks = logs_on(z, self.days, self.daily)
        return Evaluated(self._weigh(looks, z), {"looks": looks.reshape(-1, z.shape[1])})

    def _weigh(self, looks: Floats, z: Floats) -> Floats:
        total = np.zeros(z.shape[1])
        for k, kit in enumerate(KITS):
            edges = np.concatenate([[-np.inf], _edges(kit), [np.inf]])
            seen = looks[k] + BIAS_SPREAD * z[len(PARAMETERS) + k]
            above = ndtr((edges[self.read[k] + 1][:, None] - seen) / ERROR)
            below = ndtr((edges[self.read[k]][:, None] - seen) / ERROR)
            chance = (1.0 - OUTLIER) * (above - below) + OUTLIER / len(STEPS[kit])
            total += np.log(chance).sum(axis=0)
        return total


class EmulatedGrowth(Growth):
    """The same, with surrogates: what kits look at is emulated, how they read is known."""

    @property
    def needed(self) -> tuple[str, ...]:
        return ("looks",)

    def surrogate(self, z: Floats, kept: Mapping[str, Floats], weights: Floats) -> Surrogate:
        emulator = Emulator(z, kept["looks"], weights)

        def guess(at: Floats) -> Evaluated:
            looks = emulator(at).reshape(len(KITS), len(self.days), -1)
            return Evaluated(self._weigh(looks, at))

        return guess


class CalmGrowth(EmulatedGrowth):
    """The same readings seen by a model that takes every day as told and rates as constant."""

    @property
    def names(self) -> tuple[str, ...]:
        return names(self.daily)[:LASTING]

    @property
    def fleeting(self) -> Mapping[str, NDArray[np.int64]]:
        return {}

    def evaluate(self, z: Floats) -> Evaluated:
        looks = logs_on(_with_calm_days(z, self.daily), self.days, self.daily)
        return Evaluated(self._weigh(looks, z), {"looks": looks.reshape(-1, z.shape[1])})


@dataclass(frozen=True)
class Invented:
    """The problem to be calibrated: truths, their readings, and what is judged."""

    days: tuple[int, ...] = tuple(range(2, 25, 2))
    daily: int = 24
    emulated: bool = True
    calm: bool = False  # members take every day as told; truths never do

    @property
    def unknowns(self) -> int:
        return len(names(self.daily))

    def imagine(self, truth: Floats, rng: np.random.Generator) -> Growth:
        """Readings that a course of these whitened unknowns would give."""
        looks = logs_on(truth[:, None], self.days, self.daily)[:, :, 0]
        read = np.empty((len(KITS), len(self.days)), dtype=np.int64)
        for k, kit in enumerate(KITS):
            seen = looks[k] + BIAS_SPREAD * truth[len(PARAMETERS) + k]
            seen = seen + ERROR * rng.standard_normal(len(self.days))
            read[k] = np.searchsorted(_edges(kit), seen)
            blind = rng.uniform(size=len(self.days)) < OUTLIER
            read[k][blind] = rng.integers(len(STEPS[kit]), size=int(blind.sum()))
        kind = CalmGrowth if self.calm else EmulatedGrowth if self.emulated else Growth
        return kind(read, self.days, self.daily)

    def quantities(self, z: Floats) -> Mapping[str, Floats]:
        """All lasting unknowns, and what a keeper would ask."""
        told = dict(zip(names(self.daily)[:LASTING], z, strict=False))
        later = course(_with_calm_days(z, self.daily), 2 * self.daily, self.daily)
        told["day the second turns"] = np.argmax(later[1], axis=0).astype(np.float64)
        told["highest second"] = later[1].max(axis=0)
        told["second at the end"] = later[1, max(self.days) - 1]
        return told


def _with_calm_days(z: Floats, daily: int) -> Floats:
    """With the days and weeks of members that know none: as told, and without drift."""
    missing = len(names(daily)) - len(z)
    return np.concatenate([z, np.zeros((missing, z.shape[1]))]) if missing else z


def _weeks(daily: int) -> int:
    return -(-daily // 7)


def names(daily: int) -> tuple[str, ...]:
    """Names of all unknowns."""
    return (
        *(name for name, _, _ in PARAMETERS),
        *(f"bias {kit}" for kit in KITS),
        *(f"food {day}" for day in range(daily)),
        *(f"drift {which} {week}" for which in (1, 2) for week in range(_weeks(daily))),
    )


def course(z: Floats, last: int, daily: int) -> Floats:
    """The three substances at the end of each day, shape (3, days, members)."""
    p = {
        name: median * np.exp(spread * z[i]) for i, (name, median, spread) in enumerate(PARAMETERS)
    }
    first, weeks = LASTING, _weeks(daily)
    drift = DRIFT * z[first + daily :].reshape(2, weeks, -1).cumsum(axis=1)
    state = np.zeros((6, z.shape[1]))
    state[4], state[5] = p["starting first"], p["starting second"]
    days = []
    for day in range(last):
        food = p["food a day"]
        if day < daily:
            food = food * np.exp(FOOD_SPREAD * z[first + day] - 0.5 * FOOD_SPREAD**2)
        bent = np.exp(drift[:, min(day // 7, weeks - 1)])
        state[0] += food
        for _ in range(STEPS_A_DAY):
            state = _step(state, p, bent, 1.0 / STEPS_A_DAY)
        days.append(state[1:4])
    return np.stack(days, axis=1)


def _step(state: Floats, p: Mapping[str, Floats], bent: Floats, dt: float) -> Floats:
    """One step, uptake implicit in what is taken up: stable and smooth where food runs out."""
    bound, first, second, third, one, two = state
    released = bound * -np.expm1(-dt * p["release a day"])
    half_one, half_two = p["half saturation of the first"], p["half saturation of the second"]
    first_then = (first + released) / (1.0 + dt * one / (first + half_one))
    turned = first + released - first_then
    second_then = (second + turned) / (1.0 + dt * two / (second + half_two))
    passed = second + turned - second_then
    decay = np.exp(-dt * p["decay"])
    return np.stack(
        [
            bound - released,
            first_then,
            second_then,
            (third + passed) * np.exp(-dt * p["loss of the third"]),
            (one + p["growth of the first"] * bent[0] * turned) * decay,
            (two + p["growth of the second"] * bent[1] * passed) * decay,
        ]
    )


def logs_on(z: Floats, days: tuple[int, ...], daily: int) -> Floats:
    """Logarithms of levels over a floor, which is what kits see, shape (3, days, members)."""
    return np.log(course(z, max(days), daily)[:, np.array(days) - 1] + FLOOR)


def _edges(kit: str) -> Floats:
    """Half way between the steps of a kit, as it sees them."""
    steps = np.array(STEPS[kit])
    return np.asarray(np.log(0.5 * (steps[1:] + steps[:-1]) + FLOOR))
