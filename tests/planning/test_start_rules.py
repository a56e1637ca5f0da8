"""The rules of a start: when to dose, stop, take it up again, give soda and change water."""

from __future__ import annotations

import numpy as np

from watervane.planning.start_kinds import SALT
from watervane.planning.start_rules import Changing, DoseLevels, Dosing, Look, Task, dose_levels


def _look(day: int, ammonia: list[float], nitrite: list[float], kh: list[float]) -> Look:
    return Look(day, np.array(ammonia), np.array(nitrite), np.array(kh))


def _of(tasks: object, kind: str) -> Task:
    (found,) = [task for task in tasks if task.kind == kind]
    return found


def test_a_dose_fills_up_to_the_level_from_what_was_read() -> None:
    dose = _of(Dosing(SALT).tasks(_look(0, [0.0, 0.4, 1.0], [0.0] * 3, [5.0] * 3)), "dose")
    np.testing.assert_array_equal(dose.who, [True, True, False])
    np.testing.assert_allclose(dose.amount, [2.0, 1.6, 0.0])


def test_dosing_stops_at_much_nitrite_and_is_taken_up_only_at_little() -> None:
    rule = Dosing(SALT)
    told = [(0, 0.0, True), (2, 3.5, False), (4, 2.0, False), (6, 0.8, True), (8, 2.0, True)]
    for day, nitrite, doses in told:
        tasks = rule.tasks(_look(day, [0.0], [nitrite], [5.0]))
        assert bool(_of(tasks, "dose").who[0]) is doses, day


def test_a_dose_lasts_two_days_of_the_load_but_is_never_more_than_doubled() -> None:
    for load, level in ((0.1, 2.0), (1.0, 2.0), (1.5, 3.0), (9.0, 4.0)):
        assert dose_levels(load).up_to_mg_n_per_l == level
    assert dose_levels(0.5) == DoseLevels()


def test_nothing_is_done_between_tests() -> None:
    assert Dosing(SALT).tasks(_look(1, [0.0], [0.0], [0.5])) == []
    assert not any(task.who.any() for task in Changing(25.0).tasks(_look(1, [9.0], [9.0], [5.0])))


def test_soda_is_given_where_the_buffering_is_nearly_spent() -> None:
    soda = _of(Dosing(SALT).tasks(_look(2, [2.0] * 2, [0.0] * 2, [1.5, 2.5])), "soda")
    np.testing.assert_array_equal(soda.who, [True, False])
    assert soda.amount[0] == 2.5


def test_more_water_is_changed_where_more_is_read() -> None:
    tasks = Changing(25.0).tasks(_look(2, [0.0, 0.3, 0.1], [0.0, 0.0, 0.4], [5.0] * 3))
    changes = [task for task in tasks if task.kind == "change"]
    np.testing.assert_allclose(sum(task.amount for task in changes), [0.0, 0.33, 0.5])


def test_who_changed_much_tests_again_the_next_day() -> None:
    rule = Changing(25.0)
    first = rule.tasks(_look(0, [0.3, 2.0, 0.0], [0.0] * 3, [5.0] * 3))
    np.testing.assert_array_equal(_of(first, "test").who, [True, True, True])
    second = rule.tasks(_look(1, [0.3, 1.0, 0.9], [0.0] * 3, [5.0] * 3))
    np.testing.assert_array_equal(_of(second, "test").who, [False, True, False])
    changes = [task for task in second if task.kind == "change"]
    np.testing.assert_allclose(sum(task.amount for task in changes), [0.0, 0.5, 0.0])


def test_changes_begin_when_there_is_somebody_to_change_for() -> None:
    rule = Changing(25.0, from_day=14)
    assert rule.tasks(_look(12, [2.0], [2.0], [5.0])) == []
    assert rule.tasks(_look(14, [2.0], [2.0], [5.0]))
