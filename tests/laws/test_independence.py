"""Results depend on the tank, the members and the seed; on nothing else."""

from __future__ import annotations

import numpy as np
import pytest
from eventful_tank import eventful_tank

from watervane.inference.priors import prior_members
from watervane.process import run as runs
from watervane.process.run import Course, Members, initial_state, simulate
from watervane.process.state import TankState
from watervane.process.timeline import Timeline, timeline

DAYS = 24
COUNT = 80
STOPS = [d + 0.7 for d in range(DAYS)]


@pytest.fixture(scope="module")
def line() -> Timeline:
    return timeline(eventful_tank(), DAYS)


@pytest.fixture(scope="module")
def members(line: Timeline) -> Members:
    return prior_members(line.tank, np.arange(COUNT), 5)


def _run(line: Timeline, members: Members, block: int = 32, threads: int = 1) -> Course:
    before = runs.BLOCK_MEMBERS
    runs.BLOCK_MEMBERS = block
    try:
        return simulate(
            line, members, initial_state(line, members), (0, DAYS), stops_d=STOPS, threads=threads
        )
    finally:
        runs.BLOCK_MEMBERS = before


@pytest.fixture(scope="module")
def plain(line: Timeline, members: Members) -> Course:
    return _run(line, members)


def _same(one: Course, other: Course, order: np.ndarray | slice = slice(None)) -> None:
    assert np.array_equal(one.outputs[..., order], other.outputs)
    assert np.array_equal(one.daily_means[..., order], other.daily_means)
    for a, b in zip(one.final, other.final, strict=True):
        assert np.array_equal(a[..., order], b)


def test_a_run_repeats_itself(plain: Course, line: Timeline, members: Members) -> None:
    _same(plain, _run(line, members))


def test_threads_change_nothing(plain: Course, line: Timeline, members: Members) -> None:
    _same(plain, _run(line, members, threads=2))


def test_neighbours_change_nothing(plain: Course, line: Timeline, members: Members) -> None:
    """Members in another order, with others beside them, some twice."""
    order = np.random.default_rng(3).permutation(np.r_[0:COUNT, 0:7])
    _same(plain, _run(line, members.chosen(order)), order)


def test_blocks_of_another_size_change_only_the_last_digits(
    plain: Course, line: Timeline, members: Members
) -> None:
    """Another width is another compiled program, which may round otherwise."""
    few = np.arange(20)
    other = _run(line, members.chosen(few), block=500)
    assert np.allclose(other.outputs, plain.outputs[..., few], rtol=1e-8, atol=1e-10)


def test_a_checkpoint_continues_as_if_never_interrupted(
    plain: Course, line: Timeline, members: Members
) -> None:
    before = runs.BLOCK_MEMBERS
    runs.BLOCK_MEMBERS = 32
    try:
        start = initial_state(line, members)
        first = simulate(
            line, members, start, (0, 12), stops_d=STOPS, checkpoint_days=(5, 11), threads=1
        )
        rest = simulate(line, members, first.checkpoints[11], (11, DAYS), stops_d=STOPS, threads=1)
    finally:
        runs.BLOCK_MEMBERS = before
    assert set(first.checkpoints) == {5, 11}
    for name, a, b in zip(TankState._fields, rest.final, plain.final, strict=True):
        assert np.array_equal(a, b), name


def test_another_seed_is_another_future(plain: Course, line: Timeline, members: Members) -> None:
    other = Members(members.numbers, members.parameters, members.source, members.seed + 1)
    assert not np.array_equal(plain.outputs, _run(line, other).outputs)


def test_progress_counts_up_to_one(line: Timeline, members: Members) -> None:
    seen: list[float] = []
    few = members.chosen(np.arange(4))
    before = runs.BLOCK_MEMBERS
    runs.BLOCK_MEMBERS = 32
    try:
        simulate(line, few, initial_state(line, few), (0, 3), progress=seen.append)
    finally:
        runs.BLOCK_MEMBERS = before
    assert seen == pytest.approx([1 / 3, 2 / 3, 1.0])
