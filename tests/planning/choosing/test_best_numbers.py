"""The program's numbers against trying every combination."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from watervane.planning.choosing.program import Program, best, better, ease_of, fits, worth_of


@st.composite
def programs(draw) -> Program:
    kinds = draw(st.integers(1, 4))
    rooms = draw(st.integers(0, 3))
    least = tuple(draw(st.integers(1, 4)) for _ in range(kinds))
    asked = tuple(low + draw(st.integers(0, 2)) for low in least)
    most = tuple(told + draw(st.integers(0, 3)) for told in asked)
    cost = st.one_of(st.just(0.0), st.floats(0.01, 5.0))
    costs = np.array([[draw(cost) for _ in range(kinds)] for _ in range(rooms)])
    pairs = [(i, j) for i in range(kinds) for j in range(i)]
    return Program(
        least=least,
        asked=asked,
        most=most,
        weights=tuple(draw(st.integers(1, 9)) / 3.0 for _ in range(kinds)),
        costs=costs.reshape(rooms, kinds),
        limits=np.array([draw(st.floats(0.0, 30.0)) for _ in range(rooms)]),
        quarrels=tuple(draw(st.lists(st.sampled_from(pairs), unique=True))) if pairs else (),
    )


def every(program: Program) -> Iterator[tuple[int, ...]]:
    """All numbers that fit."""
    choices = [(0, *range(a, b + 1)) for a, b in zip(program.least, program.most, strict=True)]
    return (counts for counts in product(*choices) if fits(program, counts))


@settings(max_examples=120, deadline=None)
@given(program=programs())
def test_no_combination_is_better(program: Program) -> None:
    """First those with most kinds there, of these those that meet most wishes, then the fullest."""
    found = best(program)
    assert fits(program, found.counts)
    assert found.worth == worth_of(program, found.counts)
    left = [(counts, worth_of(program, counts)) for counts in every(program)]
    for name in ("there", "met"):
        top = max(getattr(worth, name) for _, worth in left)
        assert getattr(found.worth, name) == pytest.approx(top, abs=1e-6)
        left = [each for each in left if getattr(each[1], name) >= top - 1e-6]
    top = max(worth.full - ease_of(program, counts) for counts, worth in left)
    assert found.worth.full - ease_of(program, found.counts) == pytest.approx(top, abs=1e-6)
    assert not any(better(worth, found.worth) for _, worth in left)


@settings(max_examples=40, deadline=None)
@given(program=programs())
def test_a_limit_less_never_makes_it_worse(program: Program) -> None:
    for room in range(len(program.limits)):
        assert not better(best(program).worth, best(program.without_room(room)).worth)


def test_all_there_come_before_a_few_in_full() -> None:
    """Room for sixteen: four kinds in half groups each, not two in full; five kinds in less yet."""
    four = Program((4,) * 4, (4,) * 4, (8,) * 4, (1.0,) * 4, np.ones((1, 4)), np.array([16.0]), ())
    assert best(four).counts == (4, 4, 4, 4)
    five = Program((3,) * 5, (6,) * 5, (6,) * 5, (1.0,) * 5, np.ones((1, 5)), np.array([16.0]), ())
    assert min(best(five).counts) == 3
    assert sum(best(five).counts) == 16


def test_what_was_wished_for_comes_before_more_of_what_was_not_numbered() -> None:
    """A kind without a number fills up only with what the numbered one leaves."""
    room = Program((5, 5), (5, 10), (10, 10), (9.0, 1.0), np.ones((1, 2)), np.array([16.0]), ())
    assert best(room).counts == (6, 10)


def test_a_heavier_wish_goes_first_and_equals_take_the_easier() -> None:
    room = np.array([[1.0, 1.0]])
    plain = Program((3, 3), (3, 3), (3, 3), (1.0, 2.0), room, np.array([3.0]), ())
    assert best(plain).counts == (0, 3)
    easier = Program(
        (3, 3), (3, 3), (3, 3), (1.0, 1.0), np.array([[1.0, 0.9]]), np.array([3.0]), ()
    )
    assert best(easier).counts == (0, 3)


def test_nothing_wished_for_and_nothing_that_fits() -> None:
    none = Program((), (), (), (), np.zeros((0, 0)), np.zeros(0), ())
    assert best(none).counts == ()
    tight = Program((5,), (5,), (9,), (1.0,), np.array([[1.0]]), np.array([4.0]), ())
    assert best(tight).counts == (0,)
