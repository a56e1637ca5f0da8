"""Truths lie as they should among members that are carried on from day to day of readings."""

from __future__ import annotations

import pytest
from carried_growth import look_for_carried
from invented_growth import Invented
from test_calibration_growth import hold

from watervane.engine.update import CARRY
from watervane.inference.calibration import (
    Judged,
    prior_quantities,
    stratified_truths,
    together,
)
from watervane.inference.fitting import QUICK


def judge(truths: int, members: int, until: int) -> Judged:
    """The first two days of readings are fitted, all others are taken in one by one."""
    problem = Invented(days=tuple(range(2, until + 1, 2)), daily=until)
    drawn = stratified_truths(problem.unknowns, truths, 5)
    prior = prior_quantities(problem, 21)
    how = {"first": 2, "start": QUICK, "effort": CARRY}
    return together(
        [
            look_for_carried(problem, truth, prior, members, 21, number, **how)
            for number, truth in enumerate(drawn.T)
        ]
    )


@pytest.mark.slow
def test_a_few_truths_lie_as_they_should_among_carried_members() -> None:
    hold(judge(12, 200, 8))


@pytest.mark.slow
def test_many_truths_lie_as_they_should_among_carried_members() -> None:
    hold(judge(96, 400, 14))
