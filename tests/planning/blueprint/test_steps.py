"""What is done when, what is bought and what a month takes: sums that must close."""

from __future__ import annotations

import itertools
from dataclasses import replace
from datetime import UTC, date, datetime

import pytest
from evidence.start_days import TEMPERATURES_C, rows
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from watervane.planning.blueprint.filters import load_of
from watervane.planning.blueprint.heating import loss_of, warming_up_h
from watervane.planning.blueprint.shapes import CannotPlan, vessel_of
from watervane.planning.blueprint.starts import start_days, ways_known
from watervane.planning.blueprint.timeline import BATCH_EVERY_DAYS, batches_of
from watervane.planning.blueprint.upkeep import nitrate_held_mg_n_per_l, weekly_change_l
from watervane.planning.blueprint.whole import blueprint_of
from watervane.planning.start_doses import dose_amount
from watervane.planning.start_kinds import SALT
from watervane.planning.start_rules import dose_levels
from watervane.records import (
    BlueprintWish,
    DayRange,
    Decor,
    GlassBox,
    NumberQuantiles,
    SourceWater,
    StartWay,
    Ways,
    Wish,
)
from watervane.reference import load_table, value

BOX = GlassBox(length_cm=60.0, width_cm=30.0, height_cm=36.0, glass_mm=6.0, measured="outside")
FISH = (Wish("Danio rerio", 10, 4.0), Wish("Corydoras", 6))
WISH = BlueprintWish("Reading room", BOX, animals=FISH, machines_w=5.0, price_per_kwh=0.30)


def days_about(middle: float) -> NumberQuantiles:
    return NumberQuantiles(0.5 * middle, 0.8 * middle, middle, 1.2 * middle, 2.0 * middle)


def own_run() -> Ways:
    """Two ways as this tank's own run might tell them."""
    none = days_about(0.0)
    ways = tuple(
        StartWay(
            key=key,
            animals=0,
            species=None,
            settled_days=days_about(days),
            settled_within=0.9,
            ready_days=days_about(0.8 * days),
            ready_within=0.9,
            animal_hours={},
            mean_animal_hours={},
            harmed={},
            work_minutes=none,
            tasks=none,
            changed_l=none,
            cost="little",
        )
        for key, days in (("seeded", 12.0), ("dosed-salt", 30.0))
    )
    at = datetime(2026, 3, 1, tzinfo=UTC)
    return Ways(
        tank="Reading room",
        owner="",
        as_of=at,
        begins=at,
        horizon_days=120,
        seed=1,
        volume_l=50.0,
        animals_in=0,
        food_g_per_d=0.1,
        food_assumed=False,
        ways=ways,
        preferred="seeded",
        reasons=(),
        seeds=(),
        diagnostics=None,  # a plan asks nothing of it
    )


def keys(plan) -> list[str]:
    return [each.key for each in plan.timeline.steps]


def test_steps_come_in_the_order_they_are_done() -> None:
    plan = blueprint_of(replace(WISH, second_hand=True, filled=date(2026, 3, 1)))
    told = keys(plan)
    order = ["leak-test", "set-up", "rinse", "fill", "condition", "heat", "start"]
    assert told[: len(order)] == order
    days = [each.days.usual for each in plan.timeline.steps[: len(order)]]
    assert days == sorted(days)
    assert plan.timeline.filled == date(2026, 3, 1)
    assert told.index("first-animals") < told.index("later-animals")
    assert all(each.days.early <= each.days.usual <= each.days.late for each in plan.timeline.steps)


def test_fuzz_grows_on_wood_only() -> None:
    bare = {each.key for each in blueprint_of(WISH).timeline.meanwhile}
    wood = blueprint_of(replace(WISH, decor=(Decor("wood", 1.0),)))
    assert {each.key for each in wood.timeline.meanwhile} - bare == {"fuzz"}


def test_a_start_without_animals_ends_with_the_first_and_one_with_them_does_not() -> None:
    fishless, stocked = blueprint_of(WISH), blueprint_of(replace(WISH, way="animals-first"))
    assert "last-dose" in keys(fishless)
    assert "last-dose" not in keys(stocked)
    settled = next(each for each in fishless.timeline.steps if each.key == "settled")
    assert fishless.timeline.batches[0].days == settled.days
    assert stocked.timeline.batches[0].days.usual == 1.0
    assert "ammonia" in [each.key for each in fishless.shopping]
    assert "ammonia" not in [each.key for each in stocked.shopping]


def test_days_are_the_tables_and_lie_between_its_temperatures() -> None:
    told = {row.id: row for row in load_table("starts")}
    row = told["start_settled_dosed_salt_24"]
    days = start_days("dosed-salt", 24.0)
    assert (days.settled.early, days.settled.usual, days.settled.late) == pytest.approx(
        (row.low, row.value, row.high)
    )
    assert days.own is False
    cold, warm = (start_days("dosed-salt", t).settled.usual for t in (20.0, 24.0))
    assert warm < start_days("dosed-salt", 22.0).settled.usual < cold
    assert start_days("dosed-salt", 12.0).settled == start_days("dosed-salt", 20.0).settled


def test_days_not_waited_for_are_told_as_open() -> None:
    late = [row for row in load_table("starts") if row.unit == "d" and row.high == 120.0]
    assert late
    for row in late:
        days = start_days(row.extra["way"], float(row.extra["temperature_c"]))
        told = days.settled if row.quantity == "days to settled" else days.ready
        assert told.open_end


def test_a_run_of_this_very_tank_goes_before_the_table() -> None:
    own = own_run()
    plan = blueprint_of(WISH, own=own)
    start = plan.timeline.start
    assert start.own
    assert start.way == own.preferred
    first = next(each for each in own.ways if each.key == own.preferred)
    assert start.settled.usual == first.settled_days.p50
    step = next(each for each in plan.timeline.steps if each.key == "settled")
    assert step.origin == "own run"


def test_a_way_nobody_knows_is_refused_with_those_there_are() -> None:
    with pytest.raises(CannotPlan) as caught:
        blueprint_of(replace(WISH, way="prayer"))
    problem = caught.value.problems[0]
    assert problem.key == "blueprint-way-unknown"
    assert problem.arguments["known"] == list(ways_known())


@pytest.mark.slow
@pytest.mark.parametrize("temperature_c", TEMPERATURES_C)
def test_the_table_is_what_the_model_still_says(temperature_c: float) -> None:
    """The same tank and members give the same days, to a fifth."""
    told = {row.id: row.value for row in load_table("starts")}
    fresh = {row["id"]: float(row["value"]) for row in rows(temperature_c)}
    off = {
        name: (value, told[name])
        for name, value in fresh.items()
        if value != pytest.approx(told[name], rel=0.2)
    }
    assert off == {}


STOCK = st.lists(
    st.builds(
        Wish,
        st.sampled_from(["Danio rerio", "Corydoras", "goldfish", "neon tetra", "no such beast"]),
        st.integers(1, 30),
        st.floats(1.0, 12.0),
    ),
    min_size=1,
    max_size=5,
)


@settings(max_examples=80, deadline=None)
@given(stock=STOCK, stocked=st.booleans())
def test_everybody_joins_once_and_no_batch_more_than_doubles_the_load(stock, stocked) -> None:
    wish = replace(WISH, animals=tuple(stock))
    load = load_of(wish, 50.0)
    settled = DayRange(10.0, 30.0, 70.0)
    found = batches_of(wish.animals, load, 25.0, settled, stocked=stocked)
    joined = sum(each.count for batch in found for each in batch.animals)
    assert joined == sum(each.count for each in stock)
    assert sum(b.food_g_per_d for b in found) == pytest.approx(load.food_g_per_d)
    assert found[-1].food_share == pytest.approx(1.0)
    inside = 0.0
    for number, batch in enumerate(found):
        room = inside if number else (1.0 / 3.0 if stocked else 0.5) * load.food_g_per_d
        one = sum(each.count for each in batch.animals) == 1  # no animal comes in halves
        assert one or batch.food_g_per_d <= room * (1.0 + 1e-9)
        inside += batch.food_g_per_d
    days = [batch.days.usual for batch in found]
    assert days == sorted(days)
    gaps = [b - a for a, b in itertools.pairwise(days[1:])]
    assert all(gap == pytest.approx(BATCH_EVERY_DAYS) for gap in gaps)


@settings(max_examples=60, deadline=None)
@given(left=st.floats(0.5, 60.0), source=st.floats(0.0, 8.0), net=st.floats(20.0, 400.0))
def test_a_years_weekly_changes_hold_nitrate_at_its_level(left, source, net) -> None:
    """Week after week of load and dilution, run until it rests."""
    weekly = weekly_change_l(left, source)
    assert weekly is not None
    level = source
    share = weekly / net
    if share >= 1.0:
        return
    for _ in range(200_000):
        before = level + 7.0 * left / net
        after = before + share * (source - before)
        if abs(after - level) < 1e-13:
            break
        level = after
    assert before == pytest.approx(nitrate_held_mg_n_per_l(), rel=1e-6)


def test_no_change_helps_against_a_source_above_the_level() -> None:
    assert weekly_change_l(5.0, 11.0) is None
    assert weekly_change_l(0.0, 11.0) == 0.0
    told = replace(WISH, source_water=SourceWater(nitrate_mg_n_per_l=12.0))
    found = [each.key for each in blueprint_of(told).findings]
    assert "blueprint-change-never" in found
    crowd = replace(WISH, animals=(Wish("goldfish", 6, 12.0),))
    assert "blueprint-change-much" in [each.key for each in blueprint_of(crowd).findings]


@pytest.mark.parametrize("food", [0.05, 0.7, 3.0])
def test_first_dose_and_its_readings_are_those_of_the_ways_to_start(food: float) -> None:
    """Two modules tell the levels, since the page must not load the model; they are the same."""
    plan = blueprint_of(replace(WISH, food_g_per_d=food))
    told = next(each for each in plan.timeline.steps if each.key == "start").arguments
    net_l = plan.volumes.net_l
    levels = dose_levels(160.0 * plan.wish.protein * food / net_l)
    assert told["up_to"] == pytest.approx(levels.up_to_mg_n_per_l)
    assert told["again_below"] == levels.again_below_mg_n_per_l
    assert told["stop_above"] == levels.stop_above_mg_n_per_l
    dose = dose_amount(SALT, levels.up_to_mg_n_per_l, net_l)
    assert told["dose_g"] == pytest.approx(dose.grams, rel=1e-4)
    stocked = blueprint_of(replace(WISH, way="animals-first"))
    first = next(each for each in stocked.timeline.steps if each.key == "start")
    assert "dose_g" not in first.arguments


def test_conditioner_by_stoichiometry() -> None:
    """Two moles of thiosulfate a mole of chlorine: 2 x 248.18 / 70.906 = 7.00 mg/mg."""
    water = SourceWater(chlorine_mg_per_l=0.5, chloramine_mg_per_l=1.5)
    plan = blueprint_of(replace(WISH, source_water=water))
    assert plan.upkeep.disinfectant_assumed is False
    first = 1e-3 * 2.0 * 2 * 248.18 / 70.906 * plan.volumes.net_l
    assert plan.upkeep.conditioner_first_g == pytest.approx(first, rel=1e-4)
    share = plan.upkeep.water_l_per_month / plan.volumes.net_l
    assert plan.upkeep.conditioner_g_per_month == pytest.approx(share * first, rel=1e-4)
    worst = blueprint_of(WISH).upkeep
    assert worst.disinfectant_assumed
    assert worst.conditioner_first_g == pytest.approx(2.0 * first, rel=1e-4)


def test_twelve_months_are_a_year_and_the_coldest_is_the_dearest() -> None:
    plan = blueprint_of(WISH)
    told, heat = plan.upkeep, plan.heat
    assert 12.0 * told.heater_kwh_per_month == pytest.approx(heat.energy_kwh_per_year)
    assert told.heater_kwh_coldest_month > told.heater_kwh_per_month
    assert told.machines_kwh_per_month == pytest.approx(5.0 * 24 * 365.25 / 12 / 1000)
    assert told.cost_per_month == pytest.approx(
        0.30 * (told.heater_kwh_per_month + told.machines_kwh_per_month)
    )
    even = blueprint_of(replace(WISH, coldest_c=20.0, warmest_c=20.0)).upkeep
    month = 30.0 / 365.0 * 12.0
    assert even.heater_kwh_coldest_month == pytest.approx(month * even.heater_kwh_per_month)
    assert blueprint_of(replace(WISH, price_per_kwh=None)).upkeep.cost_per_month is None


def test_warming_up_takes_as_long_as_the_heat_balance_says() -> None:
    vessel, litres, power = vessel_of(BOX), 52.0, 75.0

    def rise(_seconds: float, water: list[float]) -> list[float]:
        lost = float(loss_of(WISH, vessel, water[0], WISH.coldest_c, lid=True).total_w)
        return [(power + 5.0 - lost) / (4180.0 * litres)]

    def there(_seconds: float, water: list[float]) -> float:
        return water[0] - WISH.water_c

    there.terminal = True
    run = solve_ivp(rise, (0.0, 1e6), [WISH.coldest_c], events=there, rtol=1e-8)
    hours = warming_up_h(WISH, vessel, litres, power)
    assert hours == pytest.approx(run.t_events[0][0] / 3600.0, rel=2e-3)


def test_what_is_at_hand_is_not_bought() -> None:
    bare = {each.key for each in blueprint_of(WISH).shopping}
    assert {"tank", "bed", "media", "heaters", "conditioner", "food", "tests"} <= bare
    rich = replace(WISH, media_l=5.0, flow_l_per_h=300.0, heater_w=100.0)
    assert bare - {each.key for each in blueprint_of(rich).shopping} == {"media", "heaters"}
    media = next(each for each in blueprint_of(WISH).shopping if each.key == "media")
    assert 0.0 <= media.amount - blueprint_of(WISH).filter.media_l.high < 0.1


def test_food_of_a_month_and_nitrogen_of_all_of_it() -> None:
    plan = blueprint_of(WISH)
    food = plan.filter.food_g_per_d
    assert plan.upkeep.food_g_per_month == pytest.approx(food * 365.25 / 12)
    share = value("protein_nitrogen_fraction").value
    assert plan.upkeep.nitrate_mg_n_per_d == pytest.approx(1e3 * share * 0.42 * food)
