"""Ways to start: what must hold of any of them, whatever the tank."""

from __future__ import annotations

import itertools
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from functools import cache

import numpy as np
import pytest

from watervane.engine.daily import daily_readings
from watervane.engine.futures import stand
from watervane.engine.start_marks import able_and_ready, settled_after
from watervane.engine.start_scenes import Ground, bottle_share, ground_of, scene_of
from watervane.engine.tended import Tended, tended
from watervane.engine.ways import ways
from watervane.planning.start_kinds import SALT, SOLUTION, Start
from watervane.planning.start_rules import DoseLevels
from watervane.planning.ways_to_start import seed_amounts, seed_area_m2
from watervane.process.state import COLUMN
from watervane.records import (
    AnimalsIn,
    Dose,
    Feed,
    Habit,
    Reading,
    ReadingValue,
    SeedAmount,
    SettledLevels,
    SourceWater,
    Span,
    Tank,
    Ways,
)

NOW = datetime(2026, 3, 1, tzinfo=UTC)
BARE = Tank(
    name="on the sill",
    filled=date(2026, 3, 1),
    volume_l=60.0,
    heater_set_point_c=25.0,
    normal_food_g_per_d=Span.exact(0.06),
    source_water=SourceWater(ph=7.6, kh_dkh=6.0, chlorine_mg_per_l=0.0, chloramine_mg_per_l=0.0),
)
DOSED = Start("dosed-salt", "none", "little", SALT)
MORNING = datetime(2026, 3, 2, 9, tzinfo=UTC)
STOCKED = replace(
    BARE,
    normal_food_g_per_d=None,
    events=(AnimalsIn(at=MORNING, species="Danio rerio", count=14, length_cm=3.0),),
    habits=(
        Habit(template=Feed(at=MORNING, mass_g=Span.exact(0.1)), every_days=1,
              start=date(2026, 3, 2)),
    ),
)  # fmt: skip


@cache
def _ground() -> Ground:
    return ground_of(stand(BARE, members=48, seed=2, threads=1, now=NOW), 40, 14)


def _run(start: Start, days: int, seed: SeedAmount | None = None) -> tuple[Ground, Tended]:
    ground = _ground()
    members, state = ground.standing.members, ground.standing.state
    scene = scene_of(start, ground, seed, members)
    span = (ground.first, ground.first + days)
    every = range(ground.first, ground.first + days - 6, 2)
    return ground, tended(scene.line, members, state, span, scene.rules, every)


@cache
def _bare_ways() -> Ways:
    return ways(BARE, horizon_days=40, members=48, seed=2, now=NOW)


@pytest.mark.slow
def test_more_seed_is_never_slower() -> None:
    start = replace(DOSED, key="seeded", seeded=True)
    ready, settled = [], []
    for litres in (0.01, 0.05, 0.2, 0.8):
        ground, ran = _run(start, 40, SeedAmount("media", "sponge", litres))
        members, levels = ground.standing.members, SettledLevels()
        load = ground.meals.load_mg_n_per_l_d(60.0)
        able, days = able_and_ready(ran, members, levels, load)
        ready.append(days)
        line = scene_of(start, ground, None, members).line
        settled += settled_after(line, members, [ran], [able], ground.meals, levels)
    # Ready is of the colonies alone: no member may come later by it. Settled also waits until
    # the doses are gone, and who dosed more has more to wait for, so there all count together.
    for less, more in itertools.pairwise(ready):
        assert np.mean(more <= less) > 0.95
        assert np.sort(more)[24] <= np.sort(less)[24]
    for less, more in itertools.pairwise(settled):
        assert np.sort(more)[24] <= np.sort(less)[24]
    assert np.sort(ready[-1])[24] < np.sort(ready[0])[24]


def test_without_animals_no_animal_spends_an_hour_above_a_limit() -> None:
    bare = [way for way in _bare_ways().ways if way.animals == 0]
    assert {way.key for way in bare} == {"dosed-salt", "dosed-solution", "seeded", "bottled"}
    for way in bare:
        assert way.harmed == {"acute": 0.0, "chronic": 0.0}
        assert way.mean_animal_hours == {"acute": 0.0, "chronic": 0.0}


def test_only_a_planted_way_is_doubted_and_only_where_its_ph_is_hardly_real() -> None:
    for way in _bare_ways().ways:
        doubts = [reason for reason in way.reasons if reason.key == "ways-plants-lift-ph"]
        assert not doubts or way.key == "planted-animals"
        assert all(doubt.arguments["chance"] >= 0.05 for doubt in doubts)


def test_a_few_fish_are_few_in_a_small_tank() -> None:
    animals = {way.key: way.animals for way in _bare_ways().ways if way.animals}
    assert set(animals) == {"animals-first", "seeded-animals", "planted-animals"}
    assert all(2 <= count <= 6 for count in animals.values())


def test_the_first_way_risks_no_animal_and_is_said_to() -> None:
    found = _bare_ways()
    assert found.preferred == found.ways[0].key
    assert found.ways[0].animals == 0
    assert next(reason.key for reason in found.reasons) == "ways-no-animals-in-it"


@pytest.mark.parametrize(("name", "equivalents"), [(SALT, 2.0), (SOLUTION, 1.0)])
def test_what_a_dose_costs_the_buffering_once_it_is_nitrate(name: str, equivalents: float) -> None:
    """The whole nitrogen of the doses shows in alkalinity, but for what colonies and algae hold."""
    start = replace(DOSED, dosed=name, seeded=True)
    _, ran = _run(start, 20, SeedAmount("media", "sponge", 0.8))
    rise = sum(np.where(t.who, t.amount, 0.0) for _, t in ran.tasks if t.kind == "dose")
    soda = sum(np.where(t.who, t.amount, 0.0) for _, t in ran.tasks if t.kind == "soda")
    first, last = _ground().standing.state, ran.course.final
    gone = (last.amounts - first.amounts)[:, 0]
    oxidised = gone[COLUMN["nitrate"]] + gone[COLUMN["nitrite"]]
    spent = 0.35665 * soda - gone[COLUMN["alkalinity"]]
    salted = np.asarray(oxidised > 1.0)
    assert salted.sum() > 20
    per_n = spent[salted] / oxidised[salted] * 14.0067
    # A salt's ammonium stays without charge of its own until it is oxidised: two equivalents;
    # of a solution one of them came along with it.
    assert np.median(per_n) == pytest.approx(equivalents, abs=0.25)
    assert np.all(rise[salted] > 0.0)


def test_a_cool_week_that_stays_low_for_want_of_time_is_not_settled() -> None:
    cool = replace(BARE, heater_set_point_c=None, room_temperature_c=17.0)
    ground = ground_of(stand(cool, members=60, seed=2, threads=1, now=NOW), 30, 14)
    members, state = ground.standing.members, ground.standing.state
    scene = scene_of(DOSED, ground, None, members)
    span = (ground.first, ground.first + 30)
    days = range(ground.first, ground.first + 24, 2)
    ran = tended(scene.line, members, state, span, scene.rules, days)
    load = ground.meals.load_mg_n_per_l_d(60.0)
    able, ready = able_and_ready(ran, members, SettledLevels(), load)
    (settled,) = settled_after(scene.line, members, [ran], [able], ground.meals, SettledLevels())
    # two milligrams of ammonia do not go in a day or two without bacteria
    assert (settled[ready > 4] >= 4).all()


def test_no_dose_is_given_on_top_of_much_nitrite() -> None:
    levels = DoseLevels()
    _, ran = _run(DOSED, 40)
    nitrite = daily_readings(ran.course, ran.days).nitrite
    doses = [(day, task) for day, task in ran.tasks if task.kind == "dose" and day > 0]
    assert doses
    for day, task in doses:
        # read at midnight with an error of a fifth, half a day and more after the evening's
        high = nitrite[day - 1] > 2.0 * levels.stop_above_mg_n_per_l
        assert not (task.who & high).any()


def test_a_bottle_is_worth_anything_between_nothing_and_half_a_colony() -> None:
    shares = bottle_share(np.array([-1.959964, 0.0, 1.959964]))
    np.testing.assert_allclose(shares, [1e-5, 0.01, 0.5], rtol=1e-6)


def test_all_materials_of_a_list_bring_the_same_surface() -> None:
    for amount in seed_amounts(0.3):
        assert seed_area_m2(amount) == pytest.approx(0.3, rel=1e-12)


def test_with_animals_in_only_ways_that_help_them_are_compared() -> None:
    at = datetime(2026, 3, 8, 20, tzinfo=UTC)
    found = ways(STOCKED, as_of=at, horizon_days=28, members=40, seed=2, now=at)
    assert found.animals_in == 14
    keys = {way.key for way in found.ways}
    assert keys == {
        *("as-planned", "tended", "tended-seeded", "tended-bottled", "tended-planted", "lodged"),
    }
    by_key = {way.key: way for way in found.ways}
    for tier in ("acute", "chronic"):
        hours = {key: by_key[key].mean_animal_hours[tier] for key in ("tended", "as-planned")}
        assert hours["tended"] <= hours["as-planned"]
        assert by_key["lodged"].mean_animal_hours[tier] == 0.0
    assert by_key["as-planned"].mean_animal_hours["chronic"] > 0.0
    assert by_key["as-planned"].work_minutes.p50 == 0.0
    assert [reason.key for reason in found.reasons] == ["ways-help-the-animals"]


def test_the_middle_future_is_told_by_dates() -> None:
    found = _bare_ways()
    salt = next(way for way in found.ways if way.key == "dosed-salt")
    begins = NOW + timedelta(days=1)
    assert salt.middle[0].kind == "dose"
    assert salt.middle[0].at == begins
    assert salt.dose_plan is not None
    assert salt.middle[0].amount == pytest.approx(salt.dose_plan.first.first_dose_g, rel=0.02)
    assert [deed.at for deed in salt.middle] == sorted(deed.at for deed in salt.middle)


@pytest.mark.slow
def test_the_same_asked_twice_is_the_same_whatever_the_threads() -> None:
    one, two = (
        ways(BARE, horizon_days=20, members=24, seed=4, threads=threads, now=NOW)
        for threads in (1, 2)
    )
    assert one.ways == two.ways
    assert one.reasons == two.reasons


@pytest.mark.slow
def test_readings_of_a_running_start_are_heeded() -> None:
    """Two tanks dosed alike: in one the ammonia is gone after ten days, in the other all there."""
    at = datetime(2026, 3, 12, 18, tzinfo=UTC)
    dosed = Dose(at=MORNING, substance="ammonium chloride", added_mg_n_per_l=2.0)

    def read(ammonia: float, nitrite: float) -> Ways:
        readings = tuple(
            Reading(quantity=quantity, at=at, value=ReadingValue("exact", low, low, "n"))
            for quantity, low in (("ammonia", ammonia), ("nitrite", nitrite))
        )
        tank = replace(BARE, events=(dosed,), readings=readings)
        return ways(tank, as_of=at, horizon_days=42, members=60, seed=2, now=at)

    gone, there = read(0.05, 0.05), read(2.0, 0.05)
    for key in ("dosed-salt", "dosed-solution"):
        quick, slow = (
            next(way.ready_days.p50 for way in each.ways if way.key == key)
            for each in (gone, there)
        )
        assert quick is not None
        assert slow is None or quick < slow


@pytest.mark.slow
def test_the_tanks_own_word_on_what_is_settled_counts() -> None:
    """A looser word is never met later, and by some ways sooner."""
    loose = SettledLevels(ammonia_mg_n_per_l=0.8, nitrite_mg_n_per_l=0.6)
    few = {"now": NOW, "horizon_days": 35, "members": 16, "threads": 1}
    own = ways(replace(BARE, settled_levels=loose), **few)
    usual = ways(BARE, **few)
    within = {way.key: way.settled_within for way in usual.ways}
    assert all(way.settled_within >= within[way.key] for way in own.ways)
    assert any(way.settled_within > within[way.key] for way in own.ways)
