"""Within the hour on a tank's page: acts of first aid, which harm under no cause left open."""

from __future__ import annotations

import itertools

import pytest
from test_first_aid import harms

from watervane.advice.emergency import CAUSES, LEFT, subject_of, within_the_hour
from watervane.advice.first_aid import FIRST, LAST, acts_against, open_causes
from watervane.records.first_aid import AidAnswers
from watervane.reference.first_aid import aid_tables

TABLES = aid_tables()
ACT = "aid-act-"
GROUPS = [
    group for size in (1, 2, 3) for group in itertools.combinations(CAUSES, size)
]  # fmt: skip


def acts(*subjects: str, ph: float | None = None) -> list[str]:
    found = within_the_hour(subjects, ph)
    return [each.key.removeprefix(ACT) for each in found if each.key.startswith(ACT)]


def test_no_act_harms_under_a_cause_that_the_tests_leave_open() -> None:
    for group, ph in itertools.product(GROUPS, (None, 6.4, 7.2, 8.1)):
        if {"temperature-above", "temperature-below"} <= set(group):
            continue  # no water is both
        if {"ph-above", "ph-below"} <= set(group):
            continue
        level = {None: {}, 6.4: {"ph": "low"}, 7.2: {"ph": "middle"}, 8.1: {"ph": "high"}}[ph]
        left_open = open_causes(AidAnswers(tests=level), TABLES)
        if "temperature-above" in group:
            left_open -= {"cold"}
        if "temperature-below" in group:
            left_open -= {"hot"}
        order = acts(*group, ph=ph)
        assert (order[0], order[-1]) == (FIRST, LAST)
        assert list(harms([TABLES.acts[key] for key in order], left_open)) == [], (group, ph)


@pytest.mark.parametrize(
    ("subject", "first"),
    [("ammonia", "bind"), ("nitrite", "air"), ("oxygen", "air"), ("chlorine", "dechlorinate"),
     ("co2", "gas-off"), ("temperature-above", "thermometer")],
)  # fmt: skip
def test_what_helps_against_what_is_known_comes_first(subject: str, first: str) -> None:
    assert acts(subject, ph=7.8)[1] == first


def test_what_is_left_alone_harms_under_a_cause_of_the_subject() -> None:
    for subject, left in LEFT.items():
        for key in left:
            assert TABLES.acts[key].kind == "leave"
            effects = {TABLES.effects[key, cause].effect for cause in CAUSES[subject]}
            assert "harms" in effects, (subject, key)


def test_every_subject_of_a_limit_has_its_causes() -> None:
    from watervane.limits import every_limit

    told = {subject_of(each.subject, each.side) for each in every_limit() if each.tier == "acute"}
    assert told <= set(CAUSES)


def test_causes_that_the_answers_rule_out_are_acted_on_all_the_same() -> None:
    answers = AidAnswers("", ("none",))  # nothing was done, and yet chlorine was read
    assert "dechlorinate" in acts_against(("chlorine",), answers, TABLES)
