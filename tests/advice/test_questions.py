"""Dates in groups."""

from __future__ import annotations

import numpy as np
import pytest

from watervane.advice.questions import MOST_GROUPS, dated, yes_or_no

COUNT = 600
RNG = np.random.default_rng(6)
DAYS = np.floor(RNG.normal(24.0, 5.0, COUNT))
NONE = np.zeros(COUNT, dtype=bool)


def test_groups_follow_the_dates() -> None:
    answers = dated(DAYS, NONE, COUNT)
    assert 8 <= answers.count <= MOST_GROUPS
    for group in range(answers.count - 1):
        assert DAYS[answers.group == group].max() < DAYS[answers.group == group + 1].min()
    assert answers.shares.sum() == pytest.approx(1.0)
    assert answers.shares.min() > 0.01


def test_never_and_nothing_to_wait_for_are_answers_of_their_own() -> None:
    days = DAYS.copy()
    days[:90] = np.inf
    spared = np.zeros(COUNT, dtype=bool)
    spared[60:90] = True
    answers = dated(days, spared, COUNT)
    assert len(set(answers.group[:60])) == 1
    assert set(answers.group[:60]) & set(answers.group[60:]) == set()
    assert len(set(answers.group[60:90])) == 1
    assert set(answers.group[60:90]) & set(answers.group[90:]) == set()


def test_one_member_that_never_gets_there_is_no_answer_of_its_own() -> None:
    days = DAYS.copy()
    days[0] = np.inf
    answers = dated(days, NONE, COUNT)
    assert answers.shares.min() > 0.01


def test_few_effective_members_make_few_groups() -> None:
    assert dated(DAYS, NONE, 45.0).count == 2
    assert dated(DAYS, NONE, 100.0).count <= 5


def test_one_date_for_all_leaves_nothing_open() -> None:
    answers = dated(np.full(COUNT, 12.0), NONE, COUNT)
    assert answers.count == 1
    assert answers.open_bits == 0.0
    assert yes_or_no(NONE).open_bits == 0.0
    assert yes_or_no(np.arange(COUNT) < COUNT / 2).open_bits == pytest.approx(1.0)
