"""How much more a set of members bears before a limit is passed: pure search over runs.

Each member has its own most; the room at a risk is what all but that share of members bear. So
the risk is monotone in the amount and the room monotone in the risk by construction. Between two
amounts that were run, the one at which a member reaches a limit is found on a straight line
through the logarithms of how far it went; an amount over one that already broke counts as broken.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.special import bdtr  # scipy.stats takes half a second to import

Numbers = NDArray[np.float64]
MOST_RUNS = 7
CLOSE = 1.35  # neighbours of a room closer than this need no run between them
BESIDE = 1.15  # a room known before is tried so far below and above it
_LEAST_RATIO = 1e-9
Mapped = Callable[[Callable[[float], None], Iterable[float]], Iterable[None]]


def most_borne(amounts: Sequence[float], ratios: Numbers) -> Numbers:
    """The amount at which each member reaches a limit.

    Parameters
    ----------
    amounts : sequence of float, length k
        Ascending, the first of them 0.
    ratios : array, shape (k, members)
        How far each member went of the way to the limit; over 1 it is passed.

    Returns
    -------
    array, shape (members,)
        Negative where a limit is passed without any, infinite where the most tried is borne.
    """
    steps = np.asarray(amounts, dtype=np.float64)
    worst = np.maximum.accumulate(np.log(np.maximum(ratios, _LEAST_RATIO)), axis=0)
    passed = worst > 0.0
    first = np.where(passed.any(axis=0), passed.argmax(axis=0), len(steps))
    after = np.clip(first, 1, len(steps) - 1)
    lanes = np.arange(ratios.shape[1])
    low, high = worst[after - 1, lanes], worst[after, lanes]
    rise = np.where(high > low, high - low, 1.0)
    found = steps[after - 1] + (steps[after] - steps[after - 1]) * np.clip(-low / rise, 0.0, 1.0)
    found = np.where(first == len(steps), np.inf, found)
    return np.asarray(np.where(first == 0, -1.0, found))


def room_at(borne: Numbers, allowed: float) -> float:
    """The most that no more than a share of the members fails to bear.

    Parameters
    ----------
    borne : array, shape (members,)
        See `most_borne`.
    allowed : float
        The share. [-]

    Returns
    -------
    float
        Never under 0; infinite where too few members fail to bear the most that was tried.
    """
    ordered = np.sort(borne)
    place = int(np.floor(allowed * len(ordered) + 1e-9))
    return float(max(ordered[place], 0.0)) if place < len(ordered) else float("inf")


def room_range(borne: Numbers, allowed: float, effective: float) -> tuple[float, float]:
    """The 90 % range of `room_at` from the members being finite.

    The number of members that fail at the true room is binomial, so its rank is known without
    any shape being assumed (order statistics).

    Parameters
    ----------
    borne, allowed
        See `room_at`.
    effective : float
        Independent members these are worth.
    """
    count = max(round(effective), 1)
    ordered = np.sort(borne)
    no_more = bdtr(np.arange(count + 1), count, allowed)
    ends = []
    for chance in (0.05, 0.95):
        rank = float(np.searchsorted(no_more, chance)) + (chance > 0.5)
        place = min(int(rank / count * len(ordered)), len(ordered) - 1)
        ends.append(float(max(ordered[place], 0.0)))
    return ends[0], ends[1]


@dataclass
class Tried:
    """Amounts that were run, with what came of each.

    Parameters
    ----------
    run
        Called with an amount; how far each member went, shape (members,) for each aspect.
    """

    run: Callable[[float], dict[str, Numbers]]
    found: dict[float, dict[str, Numbers]] = field(default_factory=dict)

    def take(self, amount: float) -> None:
        """Run an amount unless it was run."""
        if amount not in self.found:
            self.found[amount] = self.run(amount)

    @property
    def amounts(self) -> list[float]:
        """Ascending."""
        return sorted(self.found)

    def borne(self, aspect: str) -> Numbers:
        """See `most_borne`."""
        amounts = self.amounts
        return most_borne(amounts, np.stack([self.found[a][aspect] for a in amounts]))


def search(
    run: Callable[[float], dict[str, Numbers]],
    allowed: dict[str, float],
    guess: float,
    near: Sequence[float] = (),
    *,
    mapped: Mapped = map,
) -> Tried:
    """Try amounts until the room of each aspect lies between close neighbours.

    Parameters
    ----------
    run
        See `Tried`.
    allowed
        Share of members that may pass, by aspect.
    guess
        An amount of the right size.
    near
        Rooms of the same tank at another time, which save tries where they still hold.
    mapped
        As ``map``; the first amounts do not wait for one another.
    """
    tried = Tried(run)
    first = _first_amounts(guess, near)
    list(mapped(tried.take, first))
    top = first[-1]
    while len(tried.found) < MOST_RUNS:
        rooms = [room_at(tried.borne(name), share) for name, share in allowed.items()]
        finite = [room for room in rooms if np.isfinite(room)]
        wanted = _wide(tried.amounts, finite, guess)
        if wanted is not None:
            tried.take(wanted)
        elif not finite and top < 12.0 * guess:
            top *= 4.0
            tried.take(top)
        else:
            break
    return tried


def _first_amounts(guess: float, near: Sequence[float]) -> list[float]:
    """None, and amounts about the rooms that are known, or about a guess."""
    known = sorted(room for room in near if 0.01 * guess < room < float("inf"))
    if not known:
        return [0.0, 0.25 * guess, guess, 3.0 * guess]
    found = [0.0, known[0] / BESIDE, known[0] * BESIDE]
    found += [room * BESIDE for room in known[1:] if room > known[0] * BESIDE]
    return [*found, max(3.0 * guess, 1.5 * found[-1])]


def _wide(amounts: list[float], rooms: list[float], guess: float) -> float | None:
    """An amount to run for the smallest room whose neighbours lie far apart."""
    for room in sorted(rooms):
        after = next((a for a in amounts if a >= room), None)
        if room <= 0.01 * guess or after is None:
            continue
        before = max((a for a in amounts if a < room), default=0.0)
        if after - before > 0.1 * guess and after > CLOSE * before:
            gap = after - before
            return float(np.clip(room, before + 0.2 * gap, after - 0.1 * gap))
    return None
