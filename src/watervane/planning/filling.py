"""Who joins when: orders, batch sizes and dates, searched so that the last are in soonest."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import ceil

PARTS = 4  # of a wish: the most batches it is brought in


@dataclass(frozen=True, slots=True)
class Batch:
    """Some animals of one wish that join on a day."""

    day: int
    wish: int
    count: int


Bears = Callable[[tuple[Batch, ...], int], bool]


@dataclass(frozen=True, slots=True)
class Schedule:
    """Batches in the order of their days, and how many of each wish are left."""

    order: tuple[int, ...]
    batches: tuple[Batch, ...]
    left: tuple[int, ...]

    @property
    def finish(self) -> int | None:
        """Day of the last batch; ``None`` where some are left."""
        return None if any(self.left) else max((b.day for b in self.batches), default=None)

    @property
    def rank(self) -> tuple[int, int, int]:
        """Smaller is better: how many are left, when the last are in, in how many batches."""
        last = max((b.day for b in self.batches), default=0)
        return sum(self.left), last, len({b.day for b in self.batches})


def orders(preferred: Sequence[int]) -> list[tuple[int, ...]]:
    """Orders to search: the preferred, as written, and the preferred turned round.

    Parameters
    ----------
    preferred
        Places in the wish list, hardy and cheap to feed first.
    """
    first = tuple(preferred)
    return list(dict.fromkeys([first, tuple(range(len(first))), first[::-1]]))


def fill(
    order: Sequence[int],
    counts: Sequence[int],
    days: Sequence[int],
    spacing_days: int,
    bears: Bears,
    give_up_after: int | None = None,
) -> Schedule:
    """Bring in as many as are borne on each day, in an order.

    Parameters
    ----------
    order
        Places in the wish list.
    counts
        Animals wished for.
    days
        On which animals may join, ascending.
    spacing_days
        Between days on which animals join, at the least.
    bears
        Whether the tank bears batches, those of the day it is asked about among them. More are
        never better borne than fewer.
    give_up_after
        A day after which another order has won.
    """
    left = list(counts)
    batches: tuple[Batch, ...] = ()
    last: int | None = None
    for day in days:
        if last is not None and day < last + spacing_days:
            continue
        if give_up_after is not None and day > give_up_after:
            break
        today = _most_borne(order, counts, left, day, batches, bears)
        for batch in today:
            left[batch.wish] -= batch.count
        if today:
            batches, last = (*batches, *today), day
        if not any(left):
            break
    return Schedule(tuple(order), batches, tuple(left))


def _most_borne(
    order: Sequence[int],
    counts: Sequence[int],
    left: Sequence[int],
    day: int,
    batches: tuple[Batch, ...],
    bears: Bears,
) -> tuple[Batch, ...]:
    """The largest beginning of the queue that is borne: all of it, or by halving."""
    queue = _beginnings(order, counts, left, day)
    if not queue:
        return ()
    if bears((*batches, *queue[-1]), day):
        return queue[-1]
    low, high = -1, len(queue) - 1  # borne, not borne
    while high - low > 1:
        middle = (low + high) // 2
        if bears((*batches, *queue[middle]), day):
            low = middle
        else:
            high = middle
    return queue[low] if low >= 0 else ()


def _beginnings(
    order: Sequence[int], counts: Sequence[int], left: Sequence[int], day: int
) -> list[tuple[Batch, ...]]:
    """Beginnings of the queue, each a part of a wish longer than the one before."""
    found: list[tuple[Batch, ...]] = []
    whole: tuple[Batch, ...] = ()
    for wish in order:
        part, taken = ceil(counts[wish] / PARTS), 0
        while taken < left[wish]:
            taken = min(taken + part, left[wish])
            found.append((*whole, Batch(day, wish, taken)))
        if left[wish]:
            whole = found[-1]
    return found
