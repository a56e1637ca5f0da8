"""The search for who joins when, on tanks whose capacity is a plain sum."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from watervane.planning.filling import Batch, Bears, fill, orders

DAYS = tuple(range(0, 200, 7))


def _growing(start: float, per_week: float) -> Bears:
    """A tank that bears so many animals at once, more each week by what lives in it."""

    def bears(batches: tuple[Batch, ...], day: int) -> bool:
        weeks = sum(b.count * (day - b.day) / 7 for b in batches if b.day < day)
        return sum(b.count for b in batches) <= start + per_week * weeks + 1e-9

    return bears


def test_a_tank_that_bears_all_takes_all_on_the_first_day() -> None:
    found = fill((0, 1), (8, 4), DAYS, 28, _growing(12, 0.0))
    assert found.batches == (Batch(0, 0, 8), Batch(0, 1, 4))
    assert found.finish == 0


def test_batches_are_as_large_as_is_borne_and_as_far_apart_as_quarantine_asks() -> None:
    found = fill((0,), (16,), DAYS, 28, _growing(4, 0.5))
    days = sorted({b.day for b in found.batches})
    assert found.batches[0] == Batch(0, 0, 4)
    assert all(later - earlier >= 28 for earlier, later in pairwise(days))
    assert found.finish == days[-1]


def test_what_never_fits_is_left() -> None:
    found = fill((0,), (16,), DAYS, 7, _growing(4, 0.0))
    assert found.left == (12,)
    assert found.finish is None


def test_another_order_that_has_won_ends_the_search() -> None:
    found = fill((0,), (16,), DAYS, 28, _growing(4, 0.1), give_up_after=0)
    assert {b.day for b in found.batches} == {0}


def test_the_preferred_order_comes_first_and_none_comes_twice() -> None:
    assert orders([1, 0]) == [(1, 0), (0, 1)]
    assert orders([0]) == [(0,)]
    assert orders([2, 0, 1])[0] == (2, 0, 1)


@given(
    st.lists(st.integers(1, 20), min_size=1, max_size=4),
    st.floats(0.0, 30.0),
    st.floats(0.0, 1.0),
)
def test_nobody_is_lost_and_every_batch_is_borne(
    counts: list[int], start: float, per_week: float
) -> None:
    bears = _growing(start, per_week)
    found = fill(range(len(counts)), counts, DAYS, 14, bears)
    for wish, count in enumerate(counts):
        assert sum(b.count for b in found.batches if b.wish == wish) + found.left[wish] == count
    for day in {b.day for b in found.batches}:
        assert bears(tuple(b for b in found.batches if b.day <= day), day)


@given(st.integers(1, 30), st.floats(1.0, 20.0), st.floats(0.0, 5.0))
def test_a_tank_that_bears_more_is_never_full_later(count: int, start: float, more: float) -> None:
    slow = fill((0,), (count,), DAYS, 7, _growing(start, 0.3)).rank
    fast = fill((0,), (count,), DAYS, 7, _growing(start + more, 0.3)).rank
    assert fast[:2] <= slow[:2]
