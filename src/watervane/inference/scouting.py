"""Far moves by a chain on a surrogate: many cheap steps, one dear look.

A surrogate of the likelihood, fitted to all runs so far, is walked for many steps that leave
prior times surrogate as it is; where the walk ends is proposed to the target itself and
accepted by the ratio of the true to the surrogate likelihood at both ends. That is exact for
any surrogate (delayed acceptance with surrogate transitions: liu2001, christen_fox2005, from
memory); a good one makes most ends acceptable. Members of one half are guided by runs of the
other half only, so that no member has a part in its own proposal.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from watervane.inference.mixing import correlations
from watervane.inference.moves import Choice, deal, propose
from watervane.inference.shape import Shape, fit_within
from watervane.inference.target import (
    Evaluated,
    Flags,
    Floats,
    Guessable,
    Surrogate,
    Target,
)

LEAST_RUNS = 1.5  # runs of a half over unknowns, before a surrogate is fitted
FIRST_STEPS, LEAST_STEPS, MOST_STEPS = 20, 8, 40
VIEWPOINTS, NUDGE = 24, 0.05
INFORMED, MOST_KNOWN = 0.1, 24
REMEMBERED = 6  # sweeps of each half
TRUST = 0.9  # power of the surrogate: a walk should stray too far rather than not far enough
# Where a surrogate is wrong it is about as wrong nearby, so members that far walks leave
# stuck get away by short ones.
SHORT_SHARE, SHORT = 0.2, 0.15
FRESH = 0.15  # correlation with the start at which a walk is far enough
REACH, SLOPE = 8.0, 2.5  # log likelihoods below the members' middle at which runs fade out

Tempered = Callable[[Evaluated], Floats]


@dataclass(frozen=True)
class Scouted:
    """Ends of walks, shape (unknowns, members), and the log ratio of surrogates they owe."""

    turned: Floats
    log_ratio: Floats


class Habit:
    """What earlier walks of a half taught: how long to walk, and by which moves.

    Both are fixed before a walk begins. A walk that learned on its way would not be as likely
    backwards as forwards, and its end could not be accepted by the likelihoods alone.
    """

    def __init__(self) -> None:
        self.choice = Choice()
        self.steps = FIRST_STEPS

    def learn(self, resemblance: float) -> None:
        """Take the length at which the last walk would have been far enough."""
        rate = math.log(min(max(resemblance, 0.02), 0.98)) / self.steps
        needed = math.ceil(math.log(FRESH) / rate)
        self.steps = min(max(needed, LEAST_STEPS), MOST_STEPS)


def walk(
    turned: Floats,
    other: Floats,
    shape: Shape,
    likely: Callable[[Floats], Floats],
    habit: Habit,
    rng: np.random.Generator,
) -> Scouted:
    """Walk members on a surrogate: most until they have forgotten their start, some not as far.

    Parameters
    ----------
    turned, other
        The members walked, and those of the other half, shape (unknowns, members).
    shape
        Fitted to the other half.
    likely
        Tempered log likelihood by the surrogate, fitted to the other half's runs, of turned
        unknowns.
    habit
        How to walk; learns from the walk.
    rng
        Source of all chance.
    """
    members = turned.shape[1]
    shares = habit.choice.shares(1.0, 0.3)
    short = max(round(SHORT * habit.steps), 1)
    stops = np.where(rng.uniform(size=members) < SHORT_SHARE, short, habit.steps)
    standard_others = shape.standard(other)
    now, there = turned, TRUST * likely(turned)
    start = there
    for step in range(habit.steps):
        kind = deal(shares, members, rng)
        proposal = propose(now, other, shape, kind, rng, standard_others)
        then = TRUST * likely(proposal.turned)
        with np.errstate(invalid="ignore"):
            chance = np.exp(np.minimum(proposal.log_ratio + then - there, 0.0))
        chance = np.nan_to_num(chance)
        accepted: Flags = (rng.uniform(size=members) < chance) & (step < stops)
        habit.choice.learn(kind, chance, accepted.astype(np.float64), proposal)
        now = np.where(accepted, proposal.turned, now)
        there = np.where(accepted, then, there)
    far = stops == habit.steps
    habit.learn(_resemblance(turned[:, far], now[:, far], len(shape.axes)))
    return Scouted(now, start - there)


def informed_directions(
    turned: Floats, leading: int, surrogate: Surrogate, turn: Floats, tempered: Tempered
) -> Floats:
    """Directions in which the likelihood tells something, orthonormal rows.

    Eigenvectors of the mean outer product of the surrogate's gradient: the
    likelihood-informed subspace (cui2014, from memory).

    Parameters
    ----------
    turned
        Members to look from, shape (unknowns, members).
    leading
        Turned rows that may be known directions.
    surrogate, turn, tempered
        As in `walk`.
    """
    some = turned[:, :: max(turned.shape[1] // VIEWPOINTS, 1)][:, :VIEWPOINTS]
    count = some.shape[1]
    steps = NUDGE * np.eye(len(turned))[:, :leading]
    ahead = (some[:, None, :] + steps[:, :, None]).reshape(len(turned), -1)
    behind = (some[:, None, :] - steps[:, :, None]).reshape(len(turned), -1)
    rise = tempered(surrogate(turn.T @ ahead)) - tempered(surrogate(turn.T @ behind))
    slope = np.clip(np.nan_to_num(rise).reshape(leading, count) / (2.0 * NUDGE), -50.0, 50.0)
    told, axes = np.linalg.eigh(slope @ slope.T / count)
    clear = np.flatnonzero(told > INFORMED)[::-1][:MOST_KNOWN]
    return np.asarray(axes[:, clear].T)


def _resemblance(old: Floats, new: Floats, leading: int) -> float:
    return float(correlations(old[:leading], new[:leading]).mean())


def run_weights(told: Floats, middle: float) -> Floats:
    """Weights of runs in a surrogate's fit: those far less likely than members count little.

    Parameters
    ----------
    told
        Tempered log likelihood of runs, shape (runs,).
    middle
        Median of the members' own.
    """
    with np.errstate(over="ignore"):
        weights = 1.0 / (1.0 + np.exp(-(told - (middle - REACH)) / SLOPE))
    return np.asarray(np.nan_to_num(weights) + 1e-4)


@dataclass(frozen=True)
class _Runs:
    """One sweep's runs of one half of the members."""

    z: Floats
    found: Evaluated
    kept: Mapping[str, Floats]


class Scouts:
    """Remembers runs by half, and proposes ends of walks guided by those of the other half.

    Parameters
    ----------
    target
        Whose runs these are; without surrogates nothing is remembered.
    turn
        Rows that turn unknowns, see `rotation`.
    """

    def __init__(self, target: Target, turn: Floats) -> None:
        self._target = target if isinstance(target, Guessable) else None
        self._turn = turn
        self._halves: tuple[deque[_Runs], deque[_Runs]] = (
            deque(maxlen=REMEMBERED),
            deque(maxlen=REMEMBERED),
        )
        self._habits = (Habit(), Habit())

    def remember(self, z: Floats, found: Evaluated) -> None:
        """Take in a sweep: the first half of its columns, and the second."""
        if self._target is None:
            return
        needed = {n: np.asarray(found.kept[n]) for n in self._target.needed}
        usable = ~np.isnan(found.log_likelihood) & ~np.isnan(found.base)
        for values in needed.values():
            usable &= np.isfinite(values).reshape(-1, len(usable)).all(axis=0)
        first = np.arange(z.shape[1]) < z.shape[1] // 2
        for runs, side in zip(self._halves, (first, ~first), strict=True):
            part = np.flatnonzero(side & usable)
            base = None if found.log_base is None else found.log_base[part]
            told = Evaluated(found.log_likelihood[part], {}, base)
            runs.append(_Runs(z[:, part], told, {n: v[..., part] for n, v in needed.items()}))

    @property
    def ready(self) -> bool:
        """Whether enough is known for a surrogate."""
        count = sum(r.z.shape[1] for r in self._halves[0])
        return self._target is not None and count > LEAST_RUNS * len(self._turn)

    def propose(
        self, turned: Floats, leading: int, tempered: Tempered, middle: float, seed: int
    ) -> Scouted:
        """Walk both halves, each in its own thread.

        Parameters
        ----------
        turned
            All members, shape (unknowns, members).
        leading
            Turned rows that may be known directions.
        tempered
            What of a likelihood counts at the present temperature.
        middle
            Median of the members' own tempered likelihood.
        seed
            Of both walks.
        """
        half = turned.shape[1] // 2
        parts = (turned[:, :half], turned[:, half:])

        def work(side: int) -> Scouted:
            other = parts[1 - side]
            guess = self._guess(1 - side, tempered, middle)
            basis = informed_directions(other, leading, guess, self._turn, tempered)
            shape = fit_within(other[:leading], basis)
            # A walk takes tens of thousands of normal numbers a step: the quickest source there is.
            rng = np.random.Generator(np.random.SFC64([seed, side]))

            def likely(at: Floats) -> Floats:
                return tempered(guess(self._turn.T @ at))

            return walk(parts[side], other, shape, likely, self._habits[side], rng)

        with ThreadPoolExecutor(2) as pool:
            first, second = pool.map(work, (0, 1))
        return Scouted(
            np.concatenate([first.turned, second.turned], axis=1),
            np.concatenate([first.log_ratio, second.log_ratio]),
        )

    def _guess(self, half: int, tempered: Tempered, middle: float) -> Surrogate:
        if self._target is None:
            raise TypeError("the target makes no surrogates")
        runs = self._halves[half]
        told = np.concatenate([tempered(r.found) for r in runs])
        z = np.concatenate([r.z for r in runs], axis=1)
        kept = {n: np.concatenate([r.kept[n] for r in runs], axis=-1) for n in self._target.needed}
        return self._target.surrogate(z, kept, run_weights(told, middle))
