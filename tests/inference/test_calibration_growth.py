"""Truths lie in their posteriors as they should: coarse readings of an invented growth."""

from __future__ import annotations

import numpy as np
import pytest
from invented_growth import Invented

from watervane.inference.calibration import (
    LEVELS,
    Judged,
    calibrate,
    coverage_bounds,
    covered,
    mean_coverage,
    place,
    stratified_truths,
    uniformity,
)
from watervane.inference.target import Guessable
from watervane.inference.tempered import sample

ALARM = 1e-4  # chance of a false alarm in each comparison, of some fifty
SIGMAS = 3.9  # the same for a mean


def judge(truths: int, members: int, *, emulated: bool) -> Judged:
    """Half the readings and noise of the long calibration, so that a run takes a second."""
    problem = Invented(days=tuple(range(2, 15, 2)), daily=14, emulated=emulated)
    drawn = stratified_truths(problem.unknowns, truths, 5)
    return calibrate(problem, drawn, members, 21)


def hold(found: Judged) -> None:
    """Coverage and ranks within what chance allows, the same truths in the prior beside."""
    count = len(found.sweeps)
    for level in LEVELS:
        mean, error = mean_coverage(found.places, level)
        print(level, mean, "prior", mean_coverage(found.prior_places, level)[0])
        assert abs(mean - level) < SIGMAS * error
        low, high = coverage_bounds(count, level, ALARM)
        for name, places in found.places.items():
            assert low <= covered(places, level) <= high, (name, level)
    for name, places in found.places.items():
        assert uniformity(places).least > ALARM / 3.0, name


@pytest.mark.slow
def test_a_few_truths_lie_as_they_should() -> None:
    hold(judge(24, 300, emulated=True))


@pytest.mark.slow
@pytest.mark.parametrize("emulated", [True, False])
def test_many_truths_lie_as_they_should(emulated) -> None:
    hold(judge(200, 500, emulated=emulated))


@pytest.mark.slow
def test_intervals_too_narrow_by_a_fifth_are_noticed() -> None:
    """The check can fail: the same truths among members drawn together."""
    problem = Invented(days=tuple(range(2, 15, 2)), daily=14)
    truths = stratified_truths(problem.unknowns, 200, 5)
    rng = np.random.default_rng(1)
    places: dict[str, list[float]] = {}
    for number in range(truths.shape[1]):
        target = problem.imagine(truths[:, number], rng)
        z = sample(target, 300, number).z
        middle = z.mean(axis=1, keepdims=True)
        actual = problem.quantities(truths[:, number, None])
        for name, values in problem.quantities(middle + 0.8 * (z - middle)).items():
            places.setdefault(name, []).append(place(float(actual[name][0]), values, rng))
    mean, error = mean_coverage({n: np.array(p) for n, p in places.items()}, 0.8)
    assert mean < 0.8 - SIGMAS * error


@pytest.mark.slow
def test_emulated_and_plain_runs_agree() -> None:
    """Means of lasting unknowns, in Monte Carlo errors of both."""
    problem = Invented(days=tuple(range(2, 15, 2)), daily=14)
    truth = stratified_truths(problem.unknowns, 8, 3)[:, 0]
    guided = problem.imagine(truth, np.random.default_rng(2))
    plain = Invented(problem.days, problem.daily, emulated=False).imagine(
        truth, np.random.default_rng(2)
    )
    assert isinstance(guided, Guessable)
    assert not isinstance(plain, Guessable)
    assert np.array_equal(guided.read, plain.read)
    one, two = sample(guided, 1000, 1), sample(plain, 1000, 2)
    for row in guided.lasting:
        for power in (1, 2):
            values, others = one.z[row] ** power, two.z[row] ** power
            error = np.hypot(one.standard_error(values), two.standard_error(others))
            floor = np.sqrt(2.0 / 1000) * values.std()
            assert abs(values.mean() - others.mean()) < 4.5 * max(error, floor)
    assert one.info.sweeps < 0.6 * two.info.sweeps
