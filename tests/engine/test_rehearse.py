"""Rehearsals change the future only, and in the direction the mishap must."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from functools import cache

import pytest

from watervane.engine import MISHAP_KINDS, CannotRehearse, rehearse
from watervane.limits import allowed_change, limits_in
from watervane.records import (
    AnimalsIn,
    Feed,
    Filter,
    Habit,
    Media,
    Mishap,
    Rehearsal,
    Seed,
    SourceWater,
    Span,
    Tank,
    WaterChange,
)

MORNING = datetime(2026, 3, 2, 8, tzinfo=UTC)
AS_OF = datetime(2026, 4, 20, 20, tzinfo=UTC)


@cache
def _tank() -> Tank:
    """An invented tank, seven weeks old, well seeded and fully stocked."""
    return Tank(
        name="by the door",
        filled=date(2026, 3, 1),
        volume_l=60.0,
        heater_power_w=75.0,
        heater_set_point_c=25.0,
        lid=True,
        filter=Filter((Media("sponge", 0.6),), 300.0),
        source_water=SourceWater(ph=7.6, kh_dkh=6.0, gh_dgh=8.0),
        events=(
            AnimalsIn(at=MORNING, species="Danio rerio", count=12, length_cm=4.0),
            Seed(at=MORNING, source="media", volume_l=0.3),
        ),
        habits=(
            Habit(
                template=Feed(at=MORNING, mass_g=Span.exact(0.2)),
                every_days=1,
                start=MORNING.date(),
            ),
            Habit(
                template=WaterChange(at=MORNING.replace(hour=12), fraction=0.25),
                every_days=7,
                start=date(2026, 3, 8),
            ),
        ),
    )


USUALLY = tuple(MISHAP_KINDS)[::3]  # the other kinds are slow ones
SIZED = (
    *((kind, None) for kind in (*USUALLY, "heater-stopped", "heater-stuck", "no-food")),
    *(("power-cut", 4.0), ("power-cut", 36.0), ("food-spilt", 1.0), ("food-spilt", 10.0)),
    *(("filter-stopped", 24.0), ("filter-left-dry", 24.0), ("medicine", 80.0)),
    *(("heater-stuck", 6.0), ("no-food", 14.0), ("larger-tank", 120.0)),
)


def _mishap(kind: str, size: float | None = None) -> Mishap:
    return Mishap(kind, MISHAP_KINDS[kind].usual if size is None else size)


@cache
def _run(*mishaps: Mishap) -> dict[Mishap, Rehearsal]:
    found = rehearse(
        _tank(), mishaps, as_of=AS_OF, now=AS_OF, horizon_days=14, members=120, threads=1
    )
    return dict(zip(mishaps, found.rehearsed, strict=True))


def _rehearsed(kind: str, size: float | None = None) -> Rehearsal:
    """Of one run with most of the others: what came before it is the same for all."""
    asked, together = _mishap(kind, size), tuple(dict.fromkeys(_mishap(*each) for each in SIZED))
    return _run(*(together if asked in together else [asked]))[asked]


def _middle(one: Rehearsal, series: str, *, highest: bool, planned: bool = False) -> float:
    (extreme,) = (e for e in one.extremes if (e.series, e.highest) == (series, highest))
    middle = (extreme.planned if planned else extreme.changed).p50
    assert middle is not None
    return middle


@pytest.mark.parametrize(
    "kind",
    [
        pytest.param(kind, marks=[pytest.mark.slow] if place % 6 else [])
        for place, kind in enumerate(MISHAP_KINDS)
    ],
)
def test_every_kind_runs_and_the_plan_is_the_same_for_all(kind: str) -> None:
    alone = _mishap("power-cut")
    plan = [e.planned for e in _run(alone)[alone].extremes]
    assert [e.planned for e in _rehearsed(kind).extremes] == plan


@pytest.mark.parametrize("kind", ["no-food", "heater-stopped", "no-changes", "filter-under-tap"])
def test_a_mishap_does_something(kind: str) -> None:
    one = _rehearsed(kind)
    assert [e.planned for e in one.extremes] != [e.changed for e in one.extremes]


def test_a_longer_power_cut_is_colder_and_never_has_more_oxygen() -> None:
    short, long = _rehearsed("power-cut", 4.0), _rehearsed("power-cut", 36.0)
    for series in ("temperature_c", "oxygen_mg_per_l"):
        lows = [_middle(one, series, highest=False) for one in (short, long)]
        assert lows[1] < lows[0] + 1e-9
    assert _middle(long, "temperature_c", highest=False) < 23.0


def test_more_food_in_the_water_means_more_ammonia_and_less_oxygen() -> None:
    little, much = _rehearsed("food-spilt", 1.0), _rehearsed("food-spilt", 10.0)
    peaks = [_middle(one, "ammonia_mg_n_per_l", highest=True) for one in (little, much)]
    lows = [_middle(one, "oxygen_mg_per_l", highest=False) for one in (little, much)]
    assert peaks[0] < peaks[1]
    assert lows[1] < lows[0]


def test_a_filter_left_dry_loses_more_than_one_that_stands_still_in_water() -> None:
    """What lives on bed and panes stays; of the filter a day leaves 30 % at best, a guess."""
    still, dry = _rehearsed("filter-stopped", 24.0), _rehearsed("filter-left-dry", 24.0)
    for guild in ("ammonia", "nitrite"):
        left = [one.colonies[guild].p50 or 0.0 for one in (still, dry)]
        assert 0.2 < left[1] < 0.85 * left[0]


def test_a_medicine_leaves_the_share_it_is_told_to() -> None:
    left = _rehearsed("medicine", 80.0).colonies["ammonia"].p50
    assert left is not None
    assert 0.15 < left < 0.5  # a fifth, and a day's growth


def test_a_heater_that_sticks_warms_by_no_more_than_its_power() -> None:
    """75 W on 60 L warm by 1.07 K an hour at most: 75 x 3600 / (60 x 4186)."""
    one = _rehearsed("heater-stuck", 6.0)
    rise = _middle(one, "temperature_c", highest=True) - _middle(
        one, "temperature_c", highest=True, planned=True
    )
    assert 1.0 < rise < 6.0 * 75.0 * 3600.0 / (60.0 * 4186.0)


def test_fasting_lowers_what_the_food_brings() -> None:
    one = _rehearsed("no-food", 14.0)
    left = one.colonies["ammonia"].p50
    assert left is not None
    assert left < 0.95


@pytest.mark.parametrize(
    ("kind", "without", "reason"),
    [
        ("no-food", {"habits": (), "events": ()}, "no-meals-planned"),
        ("no-changes", {"habits": ()}, "no-changes-planned"),
        ("animal-dies", {"events": ()}, "no-animals"),
        ("heater-stuck", {"heater_power_w": None, "heater_set_point_c": None}, "no-heater"),
    ],
)
def test_a_tank_without_what_the_mishap_needs_says_so(
    kind: str, without: dict[str, object], reason: str
) -> None:
    tank = replace(_tank(), **without)
    with pytest.raises(CannotRehearse) as told:
        rehearse(tank, [Mishap(kind, MISHAP_KINDS[kind].usual)], as_of=AS_OF, members=20)
    assert told.value.reason == reason


def test_a_larger_tank_keeps_what_travels_and_thins_what_the_animals_give_off() -> None:
    """Most of the colonies travel; the panes' film stays, so the whole is less than before."""
    one = _rehearsed("larger-tank", 120.0)
    for guild in ("ammonia", "nitrite"):
        left = one.colonies[guild].p50
        assert left is not None
        assert 0.5 < left < 1.0
    assert one.begins.hour == 0


@pytest.mark.parametrize("litres", [30.0, 60.0, 62.0])
def test_a_tank_that_is_no_larger_is_refused(litres: float) -> None:
    with pytest.raises(CannotRehearse) as told:
        rehearse(_tank(), [Mishap("larger-tank", litres)], as_of=AS_OF, members=20)
    assert told.value.reason == "not-larger"


def test_days_beyond_a_limit_are_those_of_the_horizon_and_more_where_the_chance_is() -> None:
    one = _rehearsed("neighbour-feeds")
    assert set(one.days_beyond) == set(one.passed)
    for name, (planned, changed) in one.passed.items():
        days = one.days_beyond[name]
        assert all(0.0 <= day <= 15.0 for day in days)
        assert (days[0] > 0.0) == (planned > 0.0)
        assert (days[1] > 0.0) == (changed > 0.0)


def test_the_rate_of_warming_is_that_of_the_animals_limits() -> None:
    gentle = allowed_change(limits_in(_tank(), ("Danio rerio",)), "temperature_change_k")
    assert _rehearsed("heater-stuck").warmth_change_c_per_h == gentle
    assert gentle is not None
    assert allowed_change((), "temperature_change_k") is None
