"""Choosing from a wish list: measured beside the relaxed program, told as a ratio."""

from __future__ import annotations

from benchmarks.choosing import AIM_S, ChoosingCost, aims, choosing_cost, section


def test_twenty_five_wishes_are_measured_and_told() -> None:
    found = choosing_cost(1)
    assert found.wishes == 25
    assert 0.0 < found.relaxed_s < found.choice_s
    assert f"{found.choice_s:.2f} s" in section(found)


def test_the_aim_is_that_of_the_whole_choice() -> None:
    assert aims(ChoosingCost(25, 1.5, 0.01)) == [("a choice from 25 wishes", "s", 1.5, AIM_S)]
    assert "150 times" in section(ChoosingCost(25, 1.5, 0.01))
