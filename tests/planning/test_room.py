"""The search for room: exact where a formula is known, and monotone where it must be."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from watervane.planning.room import most_borne, room_at, room_range, search

HALF, LIMIT, PLANNED = 0.3, 1.0, 2.0


def _steady(capacity: np.ndarray, load: float) -> np.ndarray:
    """Steady level of what a colony of a capacity turns over: Monod turned round."""
    room = np.maximum(capacity - load, 1e-6)
    return HALF * load / room / LIMIT


@pytest.mark.parametrize("capacity", [3.0, 5.0, 9.0])
def test_members_all_alike_leave_the_closed_form_room(capacity: float) -> None:
    alike = np.full(50, capacity)
    tried = search(lambda more: {"acute 0": _steady(alike, PLANNED + more)}, {"acute 0": 0.01}, 1.0)
    exact = capacity * LIMIT / (HALF + LIMIT) - PLANNED
    assert room_at(tried.borne("acute 0"), 0.01) == pytest.approx(exact, rel=0.05)
    assert len(tried.found) <= 8


def test_members_that_differ_leave_what_all_but_the_accepted_share_bear() -> None:
    capacity = np.linspace(3.0, 9.0, 200)
    tried = search(
        lambda more: {"acute 0": _steady(capacity, PLANNED + more)}, {"acute 0": 0.1}, 1.0
    )
    exact = np.sort(capacity)[20] * LIMIT / (HALF + LIMIT) - PLANNED
    assert room_at(tried.borne("acute 0"), 0.1) == pytest.approx(exact, rel=0.05)


@pytest.mark.parametrize("off", [0.5, 0.95, 1.05, 2.0])
def test_a_room_known_before_saves_tries_and_is_found_anew_where_it_has_moved(off: float) -> None:
    capacity = np.linspace(3.0, 9.0, 200)

    def run(more: float) -> dict[str, np.ndarray]:
        return {"acute 0": _steady(capacity, PLANNED + more)}

    exact = np.sort(capacity)[20] * LIMIT / (HALF + LIMIT) - PLANNED
    tried = search(run, {"acute 0": 0.1}, 1.0, [0.0, off * exact, float("inf")])
    assert room_at(tried.borne("acute 0"), 0.1) == pytest.approx(exact, rel=0.05)
    if abs(off - 1.0) < 0.1:
        assert len(tried.found) < len(search(run, {"acute 0": 0.1}, 1.0).found)


def test_nothing_in_the_way_is_no_number() -> None:
    tried = search(lambda more: {"a 0": np.full(10, 0.1)}, {"a 0": 0.01}, 1.0)
    assert room_at(tried.borne("a 0"), 0.01) == float("inf")


def test_a_limit_passed_as_planned_leaves_no_room() -> None:
    borne = most_borne([0.0, 1.0], np.array([[1.2, 0.5], [1.5, 0.8]]))
    assert borne.tolist() == [-1.0, float("inf")]
    assert room_at(borne, 0.4) == 0.0


def test_a_breach_that_more_food_would_heal_still_counts() -> None:
    borne = most_borne([0.0, 1.0, 2.0], np.array([[0.5], [1.5], [0.5]]))
    assert 0.0 < borne[0] < 1.0


@given(
    st.lists(st.floats(-1.0, 5.0), min_size=5, max_size=60),
    st.floats(0.0, 0.9),
    st.floats(0.0, 0.09),
)
def test_room_never_falls_as_the_allowed_risk_grows(
    borne: list[float], allowed: float, more: float
) -> None:
    members = np.array(borne)
    assert room_at(members, allowed) <= room_at(members, allowed + more)


def test_the_range_covers_what_it_claims() -> None:
    inside = 0
    for seed in range(400):
        borne = np.random.default_rng(seed).random(300)
        least, most = room_range(borne, 0.05, 300.0)
        inside += least <= 0.05 <= most
    assert 0.87 < inside / 400 < 0.97


def test_fewer_independent_members_widen_the_range() -> None:
    borne = np.linspace(0.0, 1.0, 400)
    ranges = [room_range(borne, 0.05, worth) for worth in (400.0, 60.0)]
    assert ranges[1][0] <= ranges[0][0]
    assert ranges[1][1] >= ranges[0][1]
