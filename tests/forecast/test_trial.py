"""*Settled* without planned food: the trial's book-keeping against a search by hand."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from watervane.forecast import trial
from watervane.forecast.milestones import SETTLED_DAYS
from watervane.forecast.trial import (
    MOST_CANDIDATES,
    candidate_days,
    trial_days,
    without_food_or_ammonia,
)
from watervane.process.run import Course, Members
from watervane.process.state import OUTPUT, OUTPUTS, TankState
from watervane.process.timeline import Timeline, timeline
from watervane.records import AnimalsIn, Dose, Feed, SettledLevels, Span, Tank, WaterChange

AT = datetime(2026, 3, 2, 12, tzinfo=UTC)
DAYS, MEMBERS = 20, 4


def line(*events: Any) -> Timeline:
    return timeline(Tank(name="A", filled=date(2026, 3, 1), volume_l=60.0, events=events), DAYS)


@pytest.mark.parametrize(("first", "last"), [(0, 0), (0, 30), (5, 5 + MOST_CANDIDATES - 1)])
def test_every_day_is_tried_in_a_log_of_usual_length(first: int, last: int) -> None:
    assert candidate_days(first, last) == list(range(first, last + 1))


@given(st.integers(0, 50), st.integers(0, 3000))
def test_a_long_log_is_tried_evenly_and_never_too_often(first: int, length: int) -> None:
    days = candidate_days(first, first + length)
    assert 1 <= len(days) <= MOST_CANDIDATES
    assert days[0] == first
    assert len(set(np.diff(days))) <= 1
    assert first + length - days[-1] < (days[1] - days[0] if len(days) > 1 else 1)


def test_the_trial_is_fed_by_itself_alone() -> None:
    doses = [
        Dose(at=AT, substance="ammonium chloride", target_mg_n_per_l=2.0),
        Dose(at=AT, substance="ammonium chloride", added_mg_n_per_l=2.0),
        Dose(at=AT, substance="ammonia solution", mass_g=Span.exact(0.2)),
        Feed(at=AT, mass_g=Span.exact(0.1)),
    ]
    others = [
        WaterChange(at=AT, fraction=0.2),
        Dose(at=AT, substance="sodium bicarbonate", mass_g=Span.exact(1.0)),
        AnimalsIn(at=AT, species="Danio rerio", count=2),
    ]
    bare, full = line(*others), without_food_or_ammonia(line(*doses, *others))
    assert full.actions == bare.actions


LINE = line()
STATE = TankState(np.zeros((1, 1, MEMBERS)), *(np.zeros((1, MEMBERS)) for _ in range(5)))
ALL = Members(np.arange(MEMBERS), {}, np.zeros((1, MEMBERS)), seed=1)


def found_by_trial(low: np.ndarray, before: np.ndarray, days: list[int]) -> np.ndarray:
    """Run the trial where a member is low on a day exactly as the table says."""

    def fake(
        _line: Timeline, members: Members, state: TankState, span: tuple[int, int], **_: Any
    ) -> Course:
        outputs = np.zeros((len(OUTPUTS), 1, len(members)))
        over = ~low[span[0], members.numbers]
        outputs[OUTPUT["ammonia_mg_n_per_l"]] = np.where(over, 1.0, 0.0)
        assert state.ph.shape[-1] == len(members), "states and members go together"
        return Course(np.array([0.0]), outputs, np.zeros((1, 2, len(members))), 0, state)

    course = Course(
        np.zeros(0),
        np.zeros((len(OUTPUTS), 0, MEMBERS)),
        np.zeros((0, 2, MEMBERS)),
        0,
        STATE,
        dict.fromkeys(days, STATE),
    )
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(trial, "simulate", fake)
        return trial_days(LINE, ALL, course, before, Span.exact(0.1), SettledLevels(), threads=1)


def searched(low: np.ndarray, before: np.ndarray, days: list[int]) -> list[float]:
    found = []
    for member in range(MEMBERS):
        passing = [
            float(day)
            for day in days
            if before[day, member] and low[day : day + SETTLED_DAYS, member].all()
        ]
        found.append(min(passing, default=np.inf))
    return found


def test_the_first_candidate_whose_week_stays_low_is_found() -> None:
    low = np.ones((DAYS, MEMBERS), dtype=bool)
    before = np.ones_like(low)
    low[:5, 1] = False
    low[8, 2] = False
    before[:6, 3] = False
    days = candidate_days(0, DAYS - SETTLED_DAYS)
    assert found_by_trial(low, before, days).tolist() == [0.0, 5.0, 0.0, 6.0]
    low[6, 2] = False
    assert found_by_trial(low, before, days).tolist() == [0.0, 5.0, 9.0, 6.0]


def test_nobody_is_found_where_every_week_has_a_high_day() -> None:
    low = np.ones((DAYS, MEMBERS), dtype=bool)
    low[::SETTLED_DAYS] = False
    days = candidate_days(0, DAYS - SETTLED_DAYS)
    assert np.isinf(found_by_trial(low, np.ones_like(low), days)).all()


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    arrays(np.bool_, (DAYS, MEMBERS), elements=st.sampled_from([True, True, True, True, False])),
    st.lists(st.integers(0, DAYS), min_size=MEMBERS, max_size=MEMBERS),
    st.integers(1, 3),
)
def test_cohorts_find_what_a_search_finds(
    low: np.ndarray, exceeded_from: list[int], stride: int
) -> None:
    before = np.arange(DAYS)[:, None] >= np.array(exceeded_from)
    days = list(range(0, DAYS - SETTLED_DAYS + 1, stride))
    assert found_by_trial(low, before, days).tolist() == searched(low, before, days)
