"""How long members are moved grows with what the readings can tell."""

from __future__ import annotations

from itertools import pairwise

import pytest

from watervane.inference.fitting import (
    FEW_READINGS,
    LONG_LOG_D,
    MANY_READINGS,
    QUICK,
    SHORT_LOG_D,
    THOROUGH,
    effort_for,
)


@pytest.mark.parametrize("readings", [0, 12, FEW_READINGS])
def test_few_readings_take_the_quick_effort(readings: int) -> None:
    assert effort_for(readings) == QUICK


@pytest.mark.parametrize("readings", [MANY_READINGS, 10 * MANY_READINGS])
def test_many_readings_take_the_thorough_effort(readings: int) -> None:
    assert effort_for(readings) == THOROUGH


def test_effort_never_falls_as_readings_are_added() -> None:
    efforts = [effort_for(count) for count in range(MANY_READINGS + 1)]
    for fewer, more in pairwise(efforts):
        assert more.at_end <= fewer.at_end
        assert more.most_between >= fewer.most_between
        assert more.most_at_end >= fewer.most_at_end


def test_a_log_of_many_months_is_not_made_to_wait() -> None:
    assert effort_for(MANY_READINGS, SHORT_LOG_D) == THOROUGH
    assert effort_for(MANY_READINGS, LONG_LOG_D) == QUICK
    assert effort_for(MANY_READINGS, 5 * 365) == QUICK
