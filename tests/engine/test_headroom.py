"""Headroom: laws of it, closed forms, and what practice says of a mature tank."""

from __future__ import annotations

import sys
from dataclasses import replace
from datetime import UTC, datetime
from functools import cache
from itertools import pairwise

import pytest
from test_rehearse import AS_OF, MORNING, _tank

from watervane.engine.headroom import headroom, unchanged_water
from watervane.records import AllowedRisk, Dose, Habit, Headroom, Seed, SourceWater, Tank
from watervane.wording import finding_text

EARLY = datetime(2026, 3, 6, 20, tzinfo=UTC)


def _found(tank: Tank, as_of: datetime = AS_OF, **more: object) -> Headroom:
    told = {"weeks_ahead": (0,), "members": 200, "threads": 1} | more
    return headroom(tank, as_of=as_of, now=as_of, **told)


@cache
def _usual() -> Headroom:
    return _found(_tank(), weeks_ahead=(0, 2))


@cache
def _seeded(litres: float) -> Headroom:
    """A tank of five days, fed lightly, with more or less mature media brought in."""
    tank = _tank()
    others = tuple(e for e in tank.events if not isinstance(e, Seed))
    seed = Seed(at=MORNING, source="media", volume_l=litres)
    return _found(replace(tank, events=(*others, seed)), EARLY)


@pytest.mark.slow
def test_each_tier_is_told_apart_with_what_stands_in_its_way() -> None:
    for dated in _usual().dates:
        assert set(dated.tiers) == {"acute", "chronic", "comfort"}
        for room in dated.tiers.values():
            assert room.limit
            assert room.animals == ("Danio rerio",)
            assert room.planned_risk <= 1.0
            assert room.broken == (room.food_g_per_d == 0.0 and room.planned_risk > room.allowed)


@pytest.mark.slow
def test_a_room_feeds_whole_animals_of_the_kind_asked_about() -> None:
    found = _usual()
    need = found.newcomers.food_g_per_d.centre
    for room in found.dates[0].tiers.values():
        if room.food_g_per_d is not None and room.count is not None:
            assert room.count * need <= room.food_g_per_d + 1e-9 < (room.count + 1) * need + 1e-6


@pytest.mark.slow
def test_headroom_never_falls_as_the_allowed_risk_grows() -> None:
    rooms = []
    for share in (0.005, 0.05, 0.3):
        allowed = AllowedRisk(acute=share, chronic=share, comfort=share)
        tiers = _found(_tank(), allowed=allowed).dates[0].tiers
        rooms.append({t: _most(tiers[t].food_g_per_d) for t in tiers})
    for less, more in pairwise(rooms):
        # Amounts in between are run at other places, so a room is known to a few per cent.
        assert all(less[t] <= more[t] * 1.1 + 0.002 for t in less)


def _most(room: float | None) -> float:
    return float("inf") if room is None else room


@pytest.mark.slow
@pytest.mark.parametrize("tier", ["acute", "chronic"])
def test_more_seed_never_leaves_less_headroom(tier: str) -> None:
    rooms = [_seeded(litres).dates[0].tiers[tier] for litres in (0.05, 0.3, 1.0)]
    amounts = [_most(room.food_g_per_d) for room in rooms]
    assert all(less <= more * 1.1 + 0.002 for less, more in pairwise(amounts))
    risks = [room.planned_risk for room in rooms]
    assert risks == sorted(risks, reverse=True)


@pytest.mark.slow
def test_a_part_of_the_members_and_rooms_known_before_find_the_room_of_all(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Searching less may only save time: what is found lies in the told range of all members."""
    module = sys.modules["watervane.engine.headroom"]
    monkeypatch.setattr(module, "SEARCHED", 100)
    some = _found(_tank(), weeks_ahead=(0, 2), threads=2)
    for dated, whole in zip(some.dates, _usual().dates, strict=True):
        for tier, room in dated.tiers.items():
            all_of_them = whole.tiers[tier]
            # Two standard errors of a hundred members.
            assert room.planned_risk == pytest.approx(all_of_them.planned_risk, abs=0.08)
            least, most = all_of_them.least_g_per_d or 0.0, _most(all_of_them.most_g_per_d)
            assert 0.9 * least - 0.002 <= _most(room.food_g_per_d) <= 1.1 * most + 0.002, tier


def test_a_tank_that_breaks_as_planned_has_no_headroom_and_says_why() -> None:
    room = _seeded(0.05).dates[0].tiers["chronic"]
    assert room.broken
    assert room.food_g_per_d == 0.0
    assert room.subject in {"ammonia", "nitrite"}


def test_without_animals_doses_end_before_those_asked_about_come() -> None:
    tank = replace(
        _tank(),
        events=tuple(e for e in _tank().events if isinstance(e, Seed)),
        habits=(
            Habit(
                template=Dose(at=MORNING, substance="ammonium chloride", target_mg_n_per_l=2.0),
                every_days=1,
                start=MORNING.date(),
            ),
        ),
    )
    allowed = AllowedRisk(acute=0.05)
    found = _found(tank, species="Danio rerio", weeks_ahead=(1,), allowed=allowed)
    room = found.dates[0].tiers["acute"]
    assert room.planned_risk < 0.05, "two days after the last dose hardly any is left"
    assert found.newcomers.named
    assert _most(room.food_g_per_d) > 0.0
    _warned_of_water_that_is_never_changed(tank, found)


def _warned_of_water_that_is_never_changed(tank: Tank, found: Headroom) -> None:
    """Room of four weeks may be none of half a year where nitrate only rises."""
    (dated,) = found.dates
    roomy = replace(dated, tiers={t: replace(r, food_g_per_d=0.1) for t, r in dated.tiers.items()})
    full = replace(dated, tiers={t: replace(r, food_g_per_d=0.0) for t, r in dated.tiers.items()})
    (told,) = unchanged_water(tank, AS_OF, [full, roomy])
    assert told.key == "headroom-unchanged"
    assert "four weeks from each date on" in finding_text(told)
    assert unchanged_water(tank, AS_OF, [full]) == ()
    (feed, change) = _tank().habits
    changed = replace(tank, habits=(*tank.habits, change))
    assert unchanged_water(changed, AS_OF, [roomy]) == ()
    ended = replace(changed, habits=(feed, replace(change, until=AS_OF.date())))
    assert unchanged_water(ended, AS_OF, [roomy]) != ()


def test_a_ph_above_the_range_is_told_as_the_limit_above_it() -> None:
    hard = SourceWater(ph=8.6, kh_dkh=18.0, gh_dgh=20.0)
    found = _found(replace(_tank(), source_water=hard), species="neon tetra")
    told = {one.tier: one.told_limit for one in found.dates[0].elsewhere if one.subject == "ph"}
    assert told
    for limit in told.values():
        assert limit is not None
        assert limit.side == "above"
        assert limit.level < 8.6
