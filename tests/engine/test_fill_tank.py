"""The way to a full tank on members of an invented tank: risks kept, reasons told."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from functools import cache
from itertools import pairwise

import pytest
from test_rehearse import AS_OF, _tank

from watervane.engine.filling import fill_tank, joining_days
from watervane.records import AllowedRisk, Filling, Tank, Wish


def _airy() -> Tank:
    """With half the water changed each week, and air: room for more."""
    tank = _tank()
    meals, changes = tank.habits
    more = replace(changes, template=replace(changes.template, fraction=0.5))
    return replace(tank, habits=(meals, more), air_flow_l_per_h=100.0)


def _filled(*wishes: Wish, allowed: AllowedRisk | None = None, quarantine: int = 28) -> Filling:
    return fill_tank(
        _airy(),
        wishes,
        quarantine_days=quarantine,
        horizon_days=60,
        allowed=allowed,
        as_of=AS_OF,
        now=AS_OF,
        members=120,
        threads=1,
    )


@cache
def _few() -> Filling:
    return _filled(Wish("Danio rerio", 2, 3.0))


def test_a_few_join_after_their_quarantine_and_no_sooner() -> None:
    found = _few()
    (addition,) = found.additions
    assert addition.add_on == AS_OF.date() + timedelta(days=29)
    assert addition.buy_on == AS_OF.date() + timedelta(days=1)
    assert found.finish == addition.add_on
    assert found.left == ()


def test_every_addition_keeps_the_accepted_risk_of_every_tier() -> None:
    for addition in _few().additions:
        for tier, risk in addition.risks.items():
            assert risk <= _few().allowed.of(tier) + 1e-9


@pytest.mark.slow
def test_a_wish_far_beyond_the_tank_is_left_with_its_reason() -> None:
    found = _filled(Wish("Carassius auratus", 12, 15.0))
    assert found.finish is None
    (left,) = found.left
    assert left.count > 0
    assert left.risk > found.allowed.of(left.tier)
    assert left.subject in {"ammonia", "nitrite", "nitrate", "oxygen", "co2", "alkalinity", "ph"}


def test_days_to_join_go_farther_apart() -> None:
    days = joining_days(10, 120)
    steps = [later - earlier for earlier, later in pairwise(days)]
    assert days[0] == 10
    assert steps == sorted(steps)
    assert steps[0] == 7
    assert days[-1] <= 120
    assert isinstance(_few().finish, date)


@pytest.mark.slow
def test_no_batch_more_than_doubles_the_load() -> None:
    open_handed = AllowedRisk(acute=0.99, chronic=0.99, comfort=0.99)
    found = _filled(Wish("Danio rerio", 40, 4.0), allowed=open_handed, quarantine=0)
    carried = 0.2  # planned, in g a day
    for day in sorted({a.add_on for a in found.additions}):
        joining = sum(a.food_g_per_d for a in found.additions if a.add_on == day)
        assert joining <= carried + 1e-6
        carried += joining
    assert len({a.add_on for a in found.additions}) > 1
