"""The program's numbers against trying every combination."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from watervane.planning.choosing.program import Program, best, fits, score, worth_of


@st.composite
def programs(draw) -> Program:
    kinds = draw(st.integers(1, 4))
    rooms = draw(st.integers(0, 3))
    least = tuple(draw(st.integers(1, 4)) for _ in range(kinds))
    most = tuple(low + draw(st.integers(0, 4)) for low in least)
    cost = st.one_of(st.just(0.0), st.floats(0.01, 5.0))
    costs = np.array([[draw(cost) for _ in range(kinds)] for _ in range(rooms)])
    pairs = [(i, j) for i in range(kinds) for j in range(i)]
    return Program(
        least=least,
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


@settings(max_examples=250, deadline=None)
@given(program=programs())
def test_no_combination_is_better(program: Program) -> None:
    found = best(program)
    assert fits(program, found.counts)
    top = max(score(program, counts) for counts in every(program))
    assert score(program, found.counts) == pytest.approx(top, abs=1e-8)
    assert found.worth == pytest.approx(worth_of(program, found.counts))


@settings(max_examples=60, deadline=None)
@given(program=programs())
def test_a_limit_less_never_makes_it_worse(program: Program) -> None:
    for room in range(len(program.limits)):
        assert best(program.without_room(room)).worth >= best(program).worth - 1e-4


def test_a_heavier_wish_goes_first_and_equals_take_the_easier() -> None:
    room = np.array([[1.0, 1.0]])
    plain = Program((3, 3), (3, 3), (1.0, 2.0), room, np.array([3.0]), ())
    assert best(plain).counts == (0, 3)
    easier = Program((3, 3), (3, 3), (1.0, 1.0), np.array([[1.0, 0.9]]), np.array([3.0]), ())
    assert best(easier).counts == (0, 3)


def test_nothing_wished_for_and_nothing_that_fits() -> None:
    none = Program((), (), (), np.zeros((0, 0)), np.zeros(0), ())
    assert best(none).counts == ()
    tight = Program((5,), (9,), (1.0,), np.array([[1.0]]), np.array([4.0]), ())
    assert best(tight).counts == (0,)
