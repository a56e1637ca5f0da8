"""Hold waters against all limits: tier by tier, subject by subject, the strictest counts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from watervane.limits.exposure import mean_over
from watervane.limits.limit import Constant, Limit
from watervane.limits.water import Array, Water


@dataclass(frozen=True, slots=True)
class Judged:
    """One tier of one subject in all members' waters.

    ``ratio`` is over 1 where the strictest limit is passed; ``leading`` is the place in
    ``limits``, those that can be the strictest, of the one that is. Both have the shape of the
    water.
    """

    tier: str
    subject: str
    limits: tuple[Limit, ...]
    ratio: Array
    leading: NDArray[np.intp]

    @property
    def passed(self) -> NDArray[np.bool_]:
        """Where the strictest limit is passed."""
        return np.asarray(self.ratio > 1.0)

    def at(self, which: slice | NDArray[np.bool_]) -> Judged:
        """The same of some of the stops."""
        return replace(self, ratio=self.ratio[which], leading=self.leading[which])

    @property
    def leader(self) -> Limit:
        """The limit that most often is the strictest: where passed if it is anywhere.

        Where it is nowhere passed, the one that comes nearest to it.
        """
        if not self.passed.any():
            return self.limits[int(self.leading.ravel()[self.ratio.argmax()])]
        places = self.leading[self.passed]
        return self.limits[int(np.bincount(places, minlength=len(self.limits)).argmax())]


def judge(
    limits: Sequence[Limit],
    water: Water,
    times_d: ArrayLike | None = None,
    first: int = 0,
    *,
    passing_only: bool = False,
) -> Mapping[tuple[str, str], Judged]:
    """Each tier of each subject the water tells of; tiers are never put together.

    Parameters
    ----------
    limits : sequence of Limit
        Of the animals present, see `limits_for`.
    water : Water
    times_d : array, shape (stops,), optional
        Moments of a course whose waters have the shape (stops, ...), or are plain numbers: each
        limit is then held against the mean over its own exposure, see `mean_over`. Without
        it every limit is held against the water as it is. [d]
    first : int
        Stop from which on it is judged.
    passing_only : bool
        Only what is passed is worked out: a ratio of no more than 1 tells no more than that.

    Returns
    -------
    mapping of (tier, subject) to Judged
    """
    grouped: dict[tuple[str, str], list[tuple[Limit, Array]]] = {}
    for limit in _leaders(limits):
        if times_d is None:
            ratio = limit.ratio(water)
        else:
            ratio = _over_time(limit, water, times_d, first, passing_only=passing_only)
        if ratio is not None:
            grouped.setdefault((limit.tier, limit.subject), []).append((limit, ratio))
    return {key: _judged(*key, found) for key, found in grouped.items()}


def _over_time(
    limit: Limit, water: Water, times_d: ArrayLike, first: int, *, passing_only: bool
) -> Array | None:
    """Ratio of the mean over the exposure."""
    if passing_only:
        value, highest = water.value(limit.quantity), limit.highest_ratio(water)
        if value is not None and highest is not None and highest <= 1.0:
            return np.broadcast_to(highest, value[first:].shape if value.ndim else ())
    ratio = limit.ratio(water)
    if ratio is None or ratio.ndim == 0:  # a plain number holds all the time
        return ratio
    if passing_only:
        return _where_passing(ratio, times_d, limit.exposure_hours, first)
    return mean_over(times_d, ratio, limit.exposure_hours, first)


def _where_passing(ratio: Array, times_d: ArrayLike, exposure_hours: float, first: int) -> Array:
    """Means of those whose water is over the limit at any time; no mean of the others can be."""
    over = ratio.max(axis=0) > 1.0
    if not over.any():
        return np.broadcast_to(ratio.max(), ratio[first:].shape)
    if over.ndim == 0 or over.all():
        return mean_over(times_d, ratio, exposure_hours, first)
    found = np.broadcast_to(np.minimum(ratio.max(axis=0), 1.0), ratio[first:].shape).copy()
    found[..., over] = mean_over(times_d, ratio[..., over], exposure_hours, first)
    return found


def _leaders(limits: Sequence[Limit]) -> Sequence[Limit]:
    """Limits that can be the strictest in some water: of fixed levels of one kind only one can.

    Where two share that level, it stands for the animals of both.
    """
    found: dict[object, Limit] = {}
    for limit in limits:
        if not isinstance(limit.level, Constant):
            found[limit.key] = limit
            continue
        kind = (limit.tier, limit.quantity, limit.side, limit.exposure_hours)
        before = found.get(kind)
        if before is None or _stricter(limit, before):
            found[kind] = limit
        elif not _stricter(before, limit):
            animals = tuple(dict.fromkeys((*before.animals, *limit.animals)))
            found[kind] = replace(before, animals=animals)
    return tuple(found.values())


def _stricter(one: Limit, other: Limit) -> bool:
    if not (isinstance(one.level, Constant) and isinstance(other.level, Constant)):
        raise TypeError("only fixed levels compare in every water")
    mine, theirs = one.level.value, other.level.value
    return mine < theirs if one.side == "above" else mine > theirs


def _judged(tier: str, subject: str, found: Sequence[tuple[Limit, Array]]) -> Judged:
    shape = np.broadcast_shapes(*(ratio.shape for _, ratio in found))
    highest, leading = found[0][1], np.zeros((), dtype=np.intp)
    for place, (_, ratio) in enumerate(found[1:], start=1):
        if _one_number(highest) and _one_number(ratio):
            if ratio.flat[0] > highest.flat[0]:
                highest, leading = ratio, np.array(place)
            continue
        higher = ratio > highest
        highest, leading = np.where(higher, ratio, highest), np.where(higher, place, leading)
    limits = tuple(limit for limit, _ in found)
    whole = np.broadcast_to(highest, shape), np.broadcast_to(leading, shape)
    return Judged(tier, subject, limits, *whole)


def _one_number(ratio: Array) -> bool:
    """Whether one number stands for all stops and members."""
    return not any(ratio.strides)
