"""Anchors: what is known of a tank at the start of a day, in place of all that went before.

The members that agree with every reading before the day are kept as one smooth distribution of
their lasting unknowns, their water and how far growth had drifted: each part of the state by its
own quantiles, all of them together by a normal distribution of the scores. Inference goes on
from there as from a prior. What was learned long ago is believed a little less with every day:
lasting unknowns drift back towards the prior, slowly.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from watervane.process.daily_noise import DRIFT_LOG_SD, DRIFT_WEEKS, DRIFTING, drift_steps
from watervane.process.noise import keyed_normal
from watervane.process.run import Members
from watervane.process.state import COMPONENTS, TankState
from watervane.process.timeline import Timeline
from watervane.records import Reading, Tank

Numbers = NDArray[np.float64]
ANCHOR_EVERY_D = 42  # whole weeks: the drift of growth is told by the week
ANCHOR_AGE_D = 90  # history older than this is anchored
FORGETTING_YEARS = 10.0  # house estimate: kits, food and strains change
_ALIKE = 1e-12  # of a part's size; parts that differ by less are the same in all members
_JITTER = 1e-6
# Parts of a tank that tell nothing of what its water did, or are looked at by themselves.
_NOT_OF_THE_PAST = (
    "name",
    "owner",
    "notes",
    "events",
    "habits",
    "readings",
    "kits",
    "food_amounts",
    "normal_food_g_per_d",
    "normal_food_protein",
)
_DRIFT_STEP = DRIFT_LOG_SD * math.sqrt(1.0 - math.exp(-2.0 / DRIFT_WEEKS))


@dataclass(frozen=True)
class Anchor:
    """What the readings before a day tell of a tank at its start.

    Parameters
    ----------
    day
        Whole weeks since filling.
    names
        Lasting unknowns, then the state's scores, then how far growth has drifted.
    mean, covariance
        Of them, shape (names,) and (names, names).
    values
        Ordered values of each varying part of the state, shape (parts, members).
    varying
        Which rows of the packed state those are, shape (parts,).
    fixed
        The whole packed state, for what does not vary, shape (rows,).
    readings
        Readings it stands for.
    effective
        Members drawn independently that would tell as much.
    digest
        Of everything that led here; see `past_digest`.
    """

    day: int
    names: tuple[str, ...]
    mean: Numbers
    covariance: Numbers
    values: Numbers
    varying: NDArray[np.int64]
    fixed: Numbers
    readings: int
    effective: float
    digest: str

    @property
    def state_names(self) -> tuple[str, ...]:
        """Names of the scores of the state and of the drift."""
        return self.names[len(self.names) - len(self.varying) - len(DRIFTING) :]

    def state(self, scores: Numbers) -> TankState:
        """The water that scores stand for, shape (state names, members)."""
        packed = np.repeat(self.fixed[:, None], scores.shape[1], axis=1)
        count = self.values.shape[1]
        places = count * ndtr(scores[: len(self.varying)]) - 0.5
        for row, ordered, place in zip(self.varying, self.values, places, strict=True):
            packed[row] = np.interp(place, np.arange(count), ordered)
        return unpacked_state(packed)

    def scores(self, state: TankState, drift: Numbers) -> Numbers:
        """The inverse of `state`, as far as values were met with; drift as in `drift_walk`."""
        packed, count = packed_state(state)[self.varying], self.values.shape[1]
        rows = [
            _scores(values, ordered, count)
            for values, ordered in zip(packed, self.values, strict=True)
        ]
        return np.concatenate([np.reshape(rows, packed.shape), drift / DRIFT_LOG_SD])

    def drift_steps(self, scores: Numbers) -> Mapping[str, Numbers]:
        """The one step of the week before that brings each drift to where it was."""
        walk = self.drift(scores)
        return {f"{g} drift": row / _DRIFT_STEP for g, row in zip(DRIFTING, walk, strict=True)}

    def drift(self, scores: Numbers) -> Numbers:
        """The drift that scores stand for, as in `drift_walk`."""
        return np.asarray(scores[len(self.varying) :] * DRIFT_LOG_SD)

    def aged(self, days: float) -> Anchor:
        """The same, its lasting unknowns believed less by so many days."""
        lasting = len(self.names) - len(self.state_names)
        keep = np.ones(len(self.names))
        keep[:lasting] = math.exp(-days / (365.25 * FORGETTING_YEARS))
        covariance = self.covariance * np.outer(keep, keep) + np.diag(1.0 - keep**2)
        return replace(self, mean=keep * self.mean, covariance=covariance)

    def holds(self, line: Timeline, readings: Sequence[Reading]) -> bool:
        """Whether the log before the day still is what it was."""
        begin = line.calendar.bounds_d(self.day)[0]
        before = [r for r in readings if line.calendar.days(r.at) < begin]
        return past_digest(line, before, begin) == self.digest


def anchored(
    day: int,
    names: Sequence[str],
    lasting: Numbers,
    state: TankState,
    drift: Numbers,
    readings: int,
    effective: float,
    digest: str,
) -> Anchor:
    """Make an anchor of members.

    Parameters
    ----------
    day
        At whose start.
    names, lasting
        Lasting unknowns by row, shape (unknowns, members).
    state
        At the start of the day.
    drift
        Logarithm of growth over its usual rate in the week before, shape (guilds, members).
    readings, effective, digest
        See `Anchor`.
    """
    packed = packed_state(state)
    size = np.abs(packed).max(axis=1)
    varying = np.flatnonzero(np.ptp(packed, axis=1) > _ALIKE * np.maximum(size, _ALIKE))
    values = np.sort(packed[varying], axis=1)
    count = packed.shape[1]
    rows = [_scores(packed[row], v, count) for row, v in zip(varying, values, strict=True)]
    whole = np.concatenate([lasting, np.reshape(rows, values.shape), drift / DRIFT_LOG_SD])
    covariance = np.cov(whole) + _JITTER * np.eye(len(whole))
    told = tuple(f"anchor {i}" for i in range(len(varying) + len(drift)))
    return Anchor(
        day,
        (*names, *told),
        whole.mean(axis=1),
        covariance,
        values,
        varying.astype(np.int64),
        packed.mean(axis=1),
        readings,
        effective,
        digest,
    )


def drift_walk(members: Members, day: int) -> Numbers:
    """Logarithm of growth over its usual rate in the week before a day, (guilds, members)."""
    walks = []
    for stream in (f"{guild} drift" for guild in DRIFTING):
        told = members.told.get(stream, np.zeros((0, len(members))))[: day // 7]
        beyond = [
            keyed_normal(members.seed, members.numbers, week, stream)
            for week in range(len(told), day // 7)
        ]
        walks.append(
            np.log(drift_steps(np.concatenate([told, *(row[None] for row in beyond)])))[-1]
        )
    return np.stack(walks)


def packed_state(state: TankState) -> Numbers:
    """A state of one tank as one array, shape (rows, members)."""
    return np.concatenate([np.asarray(a).reshape(-1, np.shape(a)[-1]) for a in state])


def unpacked_state(packed: Numbers) -> TankState:
    """The inverse of `packed_state`."""
    count = len(COMPONENTS)
    return TankState(packed[:count, None, :], *(row[None, :] for row in packed[count:]))


def past_digest(line: Timeline, readings: Sequence[Reading], until_d: float) -> str:
    """Fingerprint of a tank, its readings, and all that was done before a moment."""
    kits = line.tank.kits
    used = {r.kit: kits[r.kit] for r in readings if r.kit is not None and r.kit in kits}
    bare = Tank(name="", filled=line.tank.filled)
    untold = {name: getattr(bare, name) for name in _NOT_OF_THE_PAST}
    parts = [repr(replace(line.tank, **untold)), repr(sorted(line.geometry.items()))]
    parts += [repr(used[kit]) for kit in sorted(used)]
    parts += [
        repr((a.at_d, *(sorted(told.items()) for told in (a.scalars, a.vectors, a.habitats))))
        for a in line.actions
        if a.at_d < until_d
    ]
    parts += [reading_key(r) for r in readings]
    parts += [repr(o) for o in line.outages if o[0] < until_d]
    parts += [repr(c) for c in line.changes if c[0] < until_d]
    parts += [repr(b) for b in line.breath if b.from_d < until_d]
    parts += [repr(f) for f in line.fits if f.from_d < until_d]
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()


def reading_key(reading: Reading) -> str:
    """What tells one reading from another; where it stands in a file does not."""
    return repr(replace(reading, at=reading.at.astimezone(UTC), line=None, note=""))


def _scores(values: Numbers, ordered: Numbers, count: int) -> Numbers:
    """Normal scores of values among ordered ones; equal values share the middle of theirs."""
    levels, first, times = np.unique(ordered, return_index=True, return_counts=True)
    places = first + 0.5 * times
    return np.asarray(ndtri(np.interp(values, levels, places) / count))
