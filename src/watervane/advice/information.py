"""How much a test would tell of a question, in bits, estimated from finite members.

The measure is the mutual information of what a kit will show and the answer: the expected fall
of the answer's entropy (lindley1956, from memory). Each member brings the chances its water and
its kit's errors give to every step, so nothing is drawn. Taken as they are, such estimates lie
too high, for the members of a group differ from those of another by chance alone; the excess is
taken off to first order, as of counted steps by Miller and Madow (from memory), with the spread
of chances within the groups in the place of that of counts. Groups of given size are taken as
given: the error is that of drawing other members with the same answers.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from watervane.advice.questions import Answers

Numbers = NDArray[np.float64]
SHUFFLES = 60
BEYOND_CHANCE = 0.95  # of shuffles stay under it, whichever test is the best in each
_LEAST = 1e-300


@dataclass(frozen=True)
class Information:
    """What several tests would tell of one question.

    Parameters
    ----------
    chances
        Of each thing each test can show, by member: shape (values, members) a test; each
        column sums to one.
    answers
        To the question.
    effective
        Independent members these are worth.
    """

    chances: Sequence[Numbers]
    answers: Answers
    effective: float

    @cached_property
    def bits(self) -> Numbers:
        """Expected gain of each test, never more than is open and never under 0. [bit]"""
        return np.maximum(self._plain - self._excess, 0.0)

    @cached_property
    def error_bits(self) -> Numbers:
        """One standard error of each. [bit]"""
        return np.array([self._spread(told) for told in self._told])

    def error_between(self, one: int, other: int) -> float:
        """One standard error of the difference of two gains. [bit]"""
        return self._spread(self._told[one] - self._told[other])

    def chance_bits(self, seed: int) -> float:
        """What the best of these tests seems to tell where answers are dealt out by lot. [bit]

        Parameters
        ----------
        seed
            Of the lots.
        """
        if self.answers.count < 2 or not len(self.chances):
            return 0.0
        rng = np.random.default_rng(seed)
        dealt = [self._sorted_into(rng.permutation(self.answers.group)) for _ in range(SHUFFLES)]
        means = (self._rows @ np.concatenate(dealt, axis=1)).reshape(len(self._rows), SHUFFLES, -1)
        found = self._divergence(means)
        best = (found - found.mean(axis=1, keepdims=True)).max(axis=0)
        factor = len(self.answers.group) / self.effective
        return float(np.quantile(best, BEYOND_CHANCE)) * factor

    @cached_property
    def _rows(self) -> Numbers:
        return np.concatenate(list(self.chances))

    @cached_property
    def _starts(self) -> NDArray[np.int64]:
        return np.cumsum([0, *(len(c) for c in self.chances)])[:-1]

    def _sorted_into(self, group: NDArray[np.int64]) -> Numbers:
        """Weights that take the mean over each group, shape (members, groups)."""
        inside = group[:, None] == np.arange(self.answers.count)
        return np.asarray(inside / inside.sum(axis=0))

    @cached_property
    def _means(self) -> Numbers:
        """Chance of each thing shown, by answer, shape (rows, groups)."""
        return np.maximum(self._rows @ self._sorted_into(self.answers.group), _LEAST)

    @cached_property
    def _overall(self) -> Numbers:
        return np.asarray(self._means @ self.answers.shares)

    @cached_property
    def _logs(self) -> Numbers:
        return np.asarray(np.log2(self._means / self._overall[:, None]))

    def _divergence(self, means: Numbers) -> Numbers:
        """Mean divergence of the groups from the whole, shape (tests, lots)."""
        shares, means = self.answers.shares, np.maximum(means, _LEAST)
        rows = (means * np.log2(means / self._overall[:, None, None])) @ shares
        return np.asarray(np.add.reduceat(rows, self._starts, axis=0))

    @cached_property
    def _plain(self) -> Numbers:
        return np.asarray(self._divergence(self._means[:, None, :])[:, 0])

    @cached_property
    def _excess(self) -> Numbers:
        """By how much the plain estimate lies too high, to first order. [bit]"""
        sizes = np.bincount(self.answers.group, minlength=self.answers.count)
        square = (self._rows**2) @ self._sorted_into(self.answers.group)
        within = np.maximum(square - self._means**2, 0.0) * (sizes / np.maximum(sizes - 1, 1))
        rows = (within / self._means).sum(axis=1) - within @ self.answers.shares / self._overall
        return np.asarray(np.add.reduceat(rows, self._starts) / (2.0 * np.log(2) * self.effective))

    @cached_property
    def _told(self) -> Numbers:
        """What each member tells of the gain, their mean the plain one, shape (tests, members)."""
        each = self._rows * self._logs[:, self.answers.group]
        return np.asarray(np.add.reduceat(each, self._starts, axis=0))

    def _spread(self, told: Numbers) -> float:
        """Standard error of a mean over groups of given size."""
        group, count = self.answers.group, self.answers.count
        sizes = np.bincount(group, minlength=count)
        middle = np.bincount(group, told, minlength=count) / sizes
        apart = float(((told - middle[group]) ** 2).mean())
        return float(np.sqrt(apart / self.effective))
