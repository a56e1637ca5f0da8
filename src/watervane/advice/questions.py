"""Questions a test may answer, as groups of members that share an answer."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]
Places = NDArray[np.int64]
Flags = NDArray[np.bool_]

MOST_GROUPS = 12
EFFECTIVE_PER_GROUP = 20.0  # fewer in a group, and what they would read is mostly chance
LEAST_SHARE = 0.01  # of the members, for an answer of its own


@dataclass(frozen=True)
class Answers:
    """What each member answers to a question.

    Parameters
    ----------
    group
        Number of each member's answer, counted from 0 without gaps, shape (members,).
    """

    group: Places

    @property
    def count(self) -> int:
        """Different answers."""
        return int(self.group.max(initial=-1)) + 1

    @property
    def shares(self) -> Numbers:
        """Of the members, by answer."""
        return np.bincount(self.group, minlength=self.count) / max(len(self.group), 1)

    @property
    def open_bits(self) -> float:
        """Entropy: what is not known of the answer. [bit]"""
        shares = self.shares
        return float(-(shares * np.log2(shares)).sum())


def dated(moments_d: Numbers, spared: Flags, effective: float) -> Answers:
    """The question when something comes: dates in groups, "never" and "nothing to wait for".

    Parameters
    ----------
    moments_d
        Of each member, infinite where never, shape (members,). [d]
    spared
        Members that have nothing to wait for, shape (members,).
    effective
        Independent members these are worth.

    Notes
    -----
    Days are taken together until a group holds its share of members, so that groups are small
    where dates crowd. What a test tells of groups is never more than it tells of the days.
    """
    count = len(moments_d)
    wanted = float(np.clip(np.floor(effective / EFFECTIVE_PER_GROUP), 2, MOST_GROUPS))
    least = max(LEAST_SHARE, 0.5 * EFFECTIVE_PER_GROUP / max(effective, EFFECTIVE_PER_GROUP))
    rank = np.where(spared, -np.inf, moments_d)
    values, sizes = np.unique(rank, return_counts=True)
    group, held = np.zeros(len(values), dtype=np.int64), 0
    for place in range(1, len(values)):
        held += int(sizes[place - 1])
        apart = not np.isfinite(values[place]) or not np.isfinite(values[place - 1])
        full = held >= (least if apart else 1.0 / wanted) * count
        rest = int(sizes[place:].sum()) >= least * count
        begins = full and rest
        group[place] = group[place - 1] + begins
        held = 0 if begins else held
    return Answers(group[np.searchsorted(values, rank)])


def yes_or_no(true: Flags) -> Answers:
    """A question with two answers; one, where all members agree."""
    return Answers(np.unique(true, return_inverse=True)[1].astype(np.int64))
