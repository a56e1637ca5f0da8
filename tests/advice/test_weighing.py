"""The least work that keeps each tier's risk, and honesty where none does."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from watervane.advice.acts import change, fast, seed, zeolite
from watervane.advice.weighing import SLACK, choose, frontier, serves_as
from watervane.records import Act, AllowedRisk, WeekPlan

AT = datetime(2026, 3, 10, 18, tzinfo=UTC)
TIERS = ("acute", "chronic", "comfort")
SHARES = (0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7)
chances = st.tuples(*(st.floats(0.0, 1.0) for _ in TIERS))


def _plan(minutes: float, acute: float, chronic: float, comfort: float, *acts: Act) -> WeekPlan:
    told = dict(zip(TIERS, (acute, chronic, comfort), strict=True))
    return WeekPlan(acts, minutes, 0.0, told, dict.fromkeys(TIERS, 0.0))


def _plans(drawn: list[tuple[float, float, float]]) -> list[WeekPlan]:
    nothing, *others = drawn
    acts = [change(AT, 0.1 + 0.01 * k, 50.0) for k in range(len(others))]
    return [_plan(0.0, *nothing),
            *(_plan(10.0 + k, *told, acts[k]) for k, told in enumerate(others))]  # fmt: skip


def test_nothing_is_done_where_nothing_needs_doing() -> None:
    ways = [_plan(0, 0.0, 0.01, 0.1), _plan(20, 0.0, 0.0, 0.0, change(AT, 0.3, 50.0))]
    assert choose(ways, AllowedRisk()).chosen is ways[0]


def test_the_least_work_that_keeps_every_tier_is_chosen() -> None:
    acts = [change(AT, share, 50.0) for share in (0.2, 0.4, 0.6)]
    ways = [_plan(0, 0.5, 0.5, 0.5), _plan(15, 0.02, 0.02, 0.1, acts[0]),
            _plan(20, 0.009, 0.04, 0.2, acts[1]), _plan(30, 0.0, 0.0, 0.0, acts[2])]  # fmt: skip
    choice = choose(ways, AllowedRisk())
    assert choice.chosen is ways[2]
    assert choice.good_enough == TIERS


def test_tiers_are_never_traded_against_each_other() -> None:
    """Any comfort is left for less acute harm, whatever it comes to in sum."""
    ways = [_plan(0, 0.10, 0.0, 0.0), _plan(50, 0.0, 0.04, 0.9, change(AT, 0.5, 50.0))]
    assert choose(ways, AllowedRisk()).chosen is ways[1]


def test_where_nothing_is_good_enough_the_least_bad_is_given_and_called_so() -> None:
    acts = [change(AT, share, 50.0) for share in (0.2, 0.6)]
    ways = [_plan(0, 0.9, 0.9, 0.5), _plan(15, 0.6, 0.8, 0.5, acts[0]),
            _plan(30, 0.2, 0.7, 0.5, acts[1])]  # fmt: skip
    choice = choose(ways, AllowedRisk())
    assert choice.chosen is ways[2]
    assert choice.good_enough == ()


def test_where_every_way_passes_the_limit_the_shortest_and_least_far_wins() -> None:
    """Doing nothing is no answer to an emergency only because no way ends it within minutes."""
    acts = [change(AT, share, 50.0) for share in (0.2, 0.5, 0.75)]
    ways = [
        replace(_plan(minutes, 1.0, 0.9, 0.5, *some), burden={"acute": burden, "chronic": 9.0})
        for minutes, burden, some in (
            (0, 900.0, ()), (15, 700.0, acts[:1]), (25, 130.0, acts[1:2]), (35, 100.0, acts[2:]))
    ]  # fmt: skip
    choice = choose(ways, AllowedRisk())
    assert choice.chosen is ways[2], "nearly all that can be gained, for less work"
    assert choice.good_enough == ()
    assert len(frontier(ways)) == 4


def test_what_is_sure_to_come_is_worth_work_by_how_far_it_is_lessened() -> None:
    """No way ends it within the week, but one leaves a tenth of it."""
    acts = [change(AT, 0.7, 60.0), change(AT, 0.5, 60.0, 7)]
    ways = [
        replace(_plan(minutes, 1.0, 0.9, 0.5, *some), burden={"acute": burden, "chronic": 9.0})
        for minutes, burden, some in ((0, 900.0, ()), (35, 500.0, acts[:1]), (180, 90.0, acts[1:]))
    ]
    assert choose(ways, AllowedRisk()).chosen is ways[2]
    little = [replace(way, chances={**way.chances, "acute": 0.02}) for way in ways]
    assert choose(little, AllowedRisk(chronic=1.0)).chosen is not little[2]


def test_what_has_to_be_bought_first_stands_beside_the_step_and_is_not_the_step() -> None:
    ways = [_plan(0, 0.5, 0.5, 0.1), _plan(15, 0.0, 0.1, 0.1, zeolite(AT, 100.0)),
            _plan(25, 0.2, 0.2, 0.1, change(AT, 0.5, 50.0))]  # fmt: skip
    choice = choose(ways, AllowedRisk())
    assert [act.kind for act in choice.chosen.acts] == ["change"]
    assert choice.runner_up is not None
    assert [act.kind for act in choice.runner_up.acts] == ["zeolite"]


def test_what_takes_another_tank_is_at_most_the_second_advice() -> None:
    ways = [_plan(0, 0.5, 0.5, 0.1), _plan(60, 0.0, 0.0, 0.1, seed(AT, 0.5)),
            _plan(30, 0.1, 0.3, 0.1, change(AT, 0.5, 50.0))]  # fmt: skip
    choice = choose(ways, AllowedRisk())
    assert choice.chosen is ways[2]
    assert choice.runner_up is ways[1]


def test_where_comfort_is_missed_anyway_a_bucket_is_carried_for_what_it_eases() -> None:
    """Buffering nearly gone: no way mends it in a week, and one halves it for little work."""

    def ways(eased: float) -> list[WeekPlan]:
        told = ((0, 200.0), (23, 200.0 * (1.0 - eased)), (200, 10.0))
        acts = [(), (change(AT, 0.5, 50.0),), (change(AT, 0.5, 50.0, 7),)]
        return [
            replace(_plan(minutes, 0.0, 0.0, 1.0, *some), burden={"comfort": burden})
            for (minutes, burden), some in zip(told, acts, strict=True)
        ]

    worth_it, in_vain = ways(0.5), ways(0.05)
    assert choose(worth_it, AllowedRisk()).chosen is worth_it[1]
    assert choose(in_vain, AllowedRisk()).chosen is in_vain[0]


def test_nobody_carries_much_water_for_comfort() -> None:
    ways = [_plan(0, 0.0, 0.0, 0.9), _plan(200, 0.0, 0.0, 0.1, change(AT, 0.5, 50.0, 7)),
            _plan(20, 0.0, 0.0, 0.15, fast(AT, 2.0))]  # fmt: skip
    assert choose(ways, AllowedRisk()).chosen is ways[2]
    assert choose(ways[:2], AllowedRisk()).chosen is ways[0]


@given(st.lists(st.tuples(st.floats(0.0, 1.0), st.floats(0.0, 1.0)), min_size=1, max_size=8))
def test_there_is_always_a_way_whatever_discomfort_they_leave(
    drawn: list[tuple[float, float]],
) -> None:
    """One that eases most may itself be over what is allowed; then another is taken."""
    ways = [
        replace(way, burden={"comfort": 100.0 * burden})
        for way, (_, burden) in zip(_plans([(0.0, 0.0, c) for c, _ in drawn]), drawn, strict=True)
    ]
    choice = choose(ways, AllowedRisk())
    assert choice.chosen in ways
    assert choice.chosen.chances["comfort"] <= choice.allowed["comfort"]


@given(st.lists(chances, min_size=1, max_size=12))
def test_the_chosen_way_is_on_the_frontier_as_far_as_chance_can_tell(
    drawn: list[tuple[float, float, float]],
) -> None:
    ways = _plans(drawn)
    chosen = choose(ways, AllowedRisk()).chosen
    assert any(
        way.minutes <= chosen.minutes
        and all(way.chances[t] <= chosen.chances[t] + SLACK[t] for t in TIERS)
        for way in frontier(ways)
    )


@given(st.lists(chances, min_size=1, max_size=12), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_acute_risk_never_rises_as_less_of_it_is_accepted(
    drawn: list[tuple[float, float, float]], one: float, other: float
) -> None:
    ways = _plans(drawn)
    strict, loose = (
        choose(ways, AllowedRisk(acute=risk)).chosen.chances["acute"]
        for risk in (min(one, other), max(one, other))
    )
    assert strict <= max(loose, min(w.chances["acute"] for w in ways) + SLACK["acute"]) + 1e-12


@given(st.lists(chances, min_size=1, max_size=12))
def test_each_line_of_the_frontier_takes_more_work_and_leaves_less_of_something(
    drawn: list[tuple[float, float, float]],
) -> None:
    found = frontier(_plans(drawn))
    for before, after in pairwise(found):
        assert after.minutes > before.minutes
        assert any(after.chances[t] < before.chances[t] - SLACK[t] + 1e-12 for t in TIERS)


def test_of_as_much_work_what_is_done_today_is_chosen() -> None:
    """A day later may leave a little less at the end of the week: nobody is to wait for that."""
    today, tomorrow = change(AT, 0.3, 50.0), replace(change(AT, 0.3, 50.0), wait_d=1.0)
    ways = [_plan(0, 0.0, 0.5, 0.0), _plan(24, 0.0, 0.03, 0.0, tomorrow),
            _plan(24, 0.0, 0.04, 0.0, today)]  # fmt: skip
    assert choose(ways, AllowedRisk()).chosen is ways[2]
    trifle = _plan(21, 0.0, 0.04, 0.0, replace(tomorrow, amount=0.25))
    assert choose([*ways, trifle], AllowedRisk()).chosen is ways[2]
    smaller = _plan(15, 0.0, 0.04, 0.0, replace(tomorrow, amount=0.2))
    assert choose([*ways, trifle, smaller], AllowedRisk()).chosen is smaller


@given(chances, chances)
def test_what_serves_as_well_keeps_every_tier_that_was_kept(
    own: tuple[float, float, float], other: tuple[float, float, float]
) -> None:
    risk = AllowedRisk()
    chosen, later = _plan(24.0, *own), _plan(24.0, *other)
    assert serves_as(chosen, chosen, risk)
    if serves_as(later, chosen, risk):
        for tier in TIERS:
            assert later.chances[tier] <= max(risk.of(tier), chosen.chances[tier] + SLACK[tier])


def test_work_grows_with_the_water_carried_and_a_hose_carries_more() -> None:
    minutes = [change(AT, share, 100.0).minutes for share in SHARES]
    assert minutes == sorted(minutes)
    assert change(AT, 0.5, 1000.0).minutes < 5.0 * change(AT, 0.5, 200.0).minutes
    assert change(AT, 0.25, 60.0).litres == pytest.approx(15.0)
