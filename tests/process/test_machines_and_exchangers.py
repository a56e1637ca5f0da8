"""Air and injection in force, a zeolite's chemistry, plants' carbon, what a bottle holds."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import numpy as np
import pytest

from watervane.inference.priors import prior_members
from watervane.inference.tank_target import TankTarget
from watervane.process.day_grid import USUAL
from watervane.process.rates.plants import carbon_share
from watervane.process.run import Course, Members, initial_state, simulate
from watervane.process.state import COLUMN
from watervane.process.timeline import timeline
from watervane.records import (
    AnimalsIn,
    Dose,
    EquipmentChange,
    Event,
    Feed,
    Habit,
    Reading,
    ReadingValue,
    Seed,
    SourceWater,
    Span,
    Tank,
)
from watervane.reference import value

FILLED = date(2026, 3, 1)
NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
MEMBERS, LITRES = 60, 60.0
TAP = SourceWater(ph=7.5, kh_dkh=5.0, gh_dgh=8.0, chlorine_mg_per_l=0.0, nitrate_mg_n_per_l=0.0)


def _tank(*events: Event, **told: Any) -> Tank:
    usual = Tank(name="t", filled=FILLED, volume_l=LITRES, source_water=TAP, events=events,
                 heater_power_w=75.0, heater_set_point_c=25.0, light_hours=10.0)  # fmt: skip
    return replace(usual, **told)


def _run(tank: Tank, days: int, per_day: int = 8) -> tuple[Course, Members]:
    line = timeline(tank, days)
    members = prior_members(tank, np.arange(MEMBERS), 3)
    stops = [day + k / per_day for day in range(days) for k in range(per_day)]
    return simulate(line, members, initial_state(line, members), (0, days), stops_d=stops,
                    threads=1, food_noise=False), members  # fmt: skip


def _dose(what: str, grams: float, hours: float = 0.0) -> Dose:
    return Dose(at=NOON + timedelta(hours=hours), substance=what, mass_g=Span.exact(grams))


AMMONIA = Dose(at=NOON, substance="ammonium chloride", added_mg_n_per_l=2.0)


def _ammonia(*events: Event) -> np.ndarray:
    return _run(_tank(AMMONIA, *events), 6)[0].output("ammonia_mg_n_per_l")


def _held(course: Course) -> np.ndarray:
    return np.asarray(course.final.amounts[COLUMN["zeolite_nitrogen"], 0])


def test_a_gram_of_zeolite_holds_about_a_milligram_of_nitrogen_in_medium_hard_water() -> None:
    plain, with_it = _ammonia(), _ammonia(_dose("zeolite", 60.0, 1.0))
    taken = np.median(plain[-1] - with_it[-1])
    assert taken == pytest.approx(0.9, abs=0.45)
    assert np.median(with_it[-1]) < np.median(plain[-1])


def test_its_uptake_is_the_equilibrium_of_the_competing_ions() -> None:
    course, _ = _run(_tank(AMMONIA, _dose("zeolite", 60.0, 1.0)), 8)
    of = lambda name: np.asarray(course.final.amounts[COLUMN[name], 0])  # noqa: E731
    rivals = 14.0067 * (
        of("sodium") / value("zeolite_ammonium_over_sodium").value
        + 2.0 * (of("calcium") + of("magnesium")) / value("zeolite_ammonium_over_hardness").value
    )
    most = value("zeolite_capacity_mg_n_per_g").value * of("zeolite")
    ammonium = of("ammonia") - course.output("free_ammonia_mg_n_per_l")[-1]
    off = _held(course) / (most * ammonium / (ammonium + rivals)) - 1.0
    assert abs(np.median(off)) < 0.01
    assert np.quantile(np.abs(off), 0.9) < 0.05  # some waters still change as fast as it does


def test_twice_as_much_takes_more_and_none_is_taken_beyond_what_it_can_hold() -> None:
    ends = [
        np.median(_ammonia(*[_dose("zeolite", g, 1.0)] * bool(g))[-1]) for g in (0.0, 60.0, 240.0)
    ]
    assert ends[0] > ends[1] > ends[2] >= 0.0
    strong = replace(AMMONIA, added_mg_n_per_l=200.0)
    course, _ = _run(_tank(strong, _dose("zeolite", 60.0, 1.0)), 6)
    zeolite = np.asarray(course.final.amounts[COLUMN["zeolite"], 0])
    share = _held(course) / (value("zeolite_capacity_mg_n_per_g").value * zeolite)
    assert share.max() <= 1.0 + 1e-6
    assert np.median(share) > 0.85


def test_salt_drives_the_ammonium_out_again_and_salt_water_leaves_it_useless() -> None:
    zeolite = _dose("zeolite", 60.0, 1.0)
    fresh = _run(_tank(AMMONIA, zeolite), 6)[0]
    salted = _run(_tank(AMMONIA, zeolite, _dose("sodium chloride", 180.0, 72.0)), 6)[0]
    sea = _run(_tank(AMMONIA, zeolite, _dose("sodium chloride", 1800.0)), 6)[0]
    assert np.median(_held(salted)) < 0.15 * np.median(_held(fresh))
    assert np.median(_held(sea)) < 0.02 * np.median(_held(fresh))
    ends = [np.median(c.output("ammonia_mg_n_per_l")[-1]) for c in (fresh, salted)]
    assert ends[1] > ends[0] + 0.3


def test_without_zeolite_nothing_is_held() -> None:
    assert np.all(_held(_run(_tank(AMMONIA), 3)[0]) == 0.0)


def test_air_that_is_turned_on_later_counts_from_then_on() -> None:
    fed = Habit(template=Feed(at=NOON, mass_g=Span.exact(0.5)), every_days=1, start=NOON.date())
    fish = AnimalsIn(at=NOON, species="Danio rerio", count=40, mass_g=0.6)
    plain = _tank(fish, habits=(fed,))
    later = EquipmentChange(at=NOON + timedelta(days=4), changes={"air_flow_l_per_h": 100.0})
    whole = replace(plain, air_flow_l_per_h=100.0)
    still, turned, always = (
        _run(tank, 8)[0].output("oxygen_mg_per_l")
        for tank in (plain, replace(plain, events=(*plain.events, later)), whole)
    )
    before = slice(0, 5 * 8)
    np.testing.assert_allclose(turned[before], still[before])
    gained = np.median(turned[-1] - still[-1])
    assert gained > 0.3
    np.testing.assert_allclose(turned[-1], always[-1], atol=0.05)


def test_air_that_is_turned_off_counts_no_more() -> None:
    aired = _tank(air_flow_l_per_h=100.0)
    off = EquipmentChange(at=NOON, changes={"air_flow_l_per_h": 0.0})
    shares = []
    for tank in (aired, replace(aired, events=(off,))):
        line = timeline(tank, 3)
        rows, _ = line.day_rows(2, USUAL["sampling"])
        shares.append(rows["gas_transfer_share"].mean())
    assert shares[0] == pytest.approx(1.0)
    assert shares[1] < 0.9


def test_injection_holds_what_is_told_by_day_and_nothing_by_night() -> None:
    tank = _tank(plants="many", co2_injected=True, co2_target_mg_per_l=25.0)
    plain = _run(replace(tank, co2_injected=False, co2_target_mg_per_l=None), 5)[0]
    course = _run(tank, 5)[0]
    co2, usual = course.output("co2_mg_per_l"), plain.output("co2_mg_per_l")
    hours = (course.stops_d % 1.0) * 24.0
    late = course.stops_d > 2.0
    evening = late & (np.abs(hours - 18.0) < 0.1)  # lit from ten to twenty
    np.testing.assert_allclose(co2[evening], 25.0, rtol=0.12)
    dawn = late & (np.abs(hours - 9.0) < 0.1)
    assert np.median(co2[dawn]) < 12.0
    assert np.median(co2[dawn]) >= np.median(usual[dawn]) - 0.5
    ph = course.output("ph"), plain.output("ph")
    assert np.all(np.median(ph[0][evening], axis=1) < np.median(ph[1][evening], axis=1) - 0.3)


@pytest.mark.parametrize("kind", ["plant", "algal"])
def test_growth_rises_with_carbon_dioxide_and_ends_where_ph_is_too_high(kind: str) -> None:
    usual = float(carbon_share(kind, 0.03, 1.8, 7.6))
    assert usual == pytest.approx(1.0)
    rising = [float(carbon_share(kind, co2, 1.8, 7.6)) for co2 in (0.005, 0.02, 0.07, 0.5)]
    assert rising == sorted(rising)
    assert rising[-1] < 2.5
    assert float(carbon_share(kind, 1e-6, 1.0, 10.6)) < 0.1


def test_plants_lift_ph_no_further_than_they_get_at_carbon() -> None:
    soft = replace(TAP, kh_dkh=1.0, ph=7.0, nitrate_mg_n_per_l=20.0)
    tank = _tank(plants="many", source_water=soft, light_hours=14.0)
    ph = _run(tank, 25)[0].output("ph")
    assert np.isfinite(ph).all()
    assert ph.max() < float(value("carbon_uptake_highest_ph").value) + 0.3


def _brought(seed: Seed) -> np.ndarray:
    tank = _tank(replace(seed, at=NOON))
    line = timeline(tank, 2)
    members = prior_members(tank, np.arange(400), 3)
    final = simulate(line, members, initial_state(line, members), (0, 2), threads=1).final
    bare = timeline(_tank(), 2)
    without = simulate(bare, members, initial_state(bare, members), (0, 2), threads=1).final
    column = COLUMN["ammonia_oxidisers_filter"]
    return np.asarray(final.amounts[column, 0] - without.amounts[column, 0])


def test_what_lives_in_a_logged_bottle_is_uncertain_over_orders_of_magnitude() -> None:
    bottle = _brought(Seed(at=NOON, source="bottle"))
    media = _brought(Seed(at=NOON, source="media", volume_l=0.4))
    assert np.all(bottle > 0.0)
    low, middle, high = np.quantile(bottle, (0.05, 0.5, 0.95))
    assert high > 30.0 * middle / 2.0
    assert middle > 20.0 * low
    row = value("seed_bottle_share")
    assert middle == pytest.approx(row.value * np.median(media), rel=0.6)


def test_what_a_bottle_holds_is_an_unknown_of_that_day_and_of_no_other_tank() -> None:
    read = Reading(NOON + timedelta(days=5), "ammonia", ReadingValue("exact", 1.0, 1.0, "n"))

    def luck(*events: Event) -> list[str]:
        tank = _tank(*events)
        names = TankTarget(timeline(tank, 8), [read], 1, 1).names
        return [name for name in names if name.startswith("luck")]

    assert luck() == []
    assert luck(Seed(at=NOON, source="bottle")) == ["luck 1"]


def test_a_heater_told_later_heats_from_then_on() -> None:
    warmer = EquipmentChange(at=NOON + timedelta(days=2), changes={"heater_set_point_c": 25.0})
    cold = {"heater_power_w": None, "heater_set_point_c": None, "room_temperature_c": 19.0}
    course, _ = _run(_tank(warmer, **cold), 6)
    warmth = np.median(course.output("temperature_c"), axis=1)
    assert abs(warmth[16] - 19.0) < 1.5
    assert abs(warmth[-1] - 25.0) < 0.7
    weak = EquipmentChange(at=NOON + timedelta(days=2),
                           changes={"heater_set_point_c": 25.0, "heater_power_w": 3.0})  # fmt: skip
    course, _ = _run(_tank(weak, **cold), 6)
    assert 19.0 < np.median(course.output("temperature_c")[-1]) < 23.0


def test_a_smaller_heater_put_in_later_gives_less() -> None:
    smaller = EquipmentChange(at=NOON + timedelta(days=2), changes={"heater_power_w": 4.0})
    course, _ = _run(_tank(smaller, room_temperature_c=17.0), 7)
    warmth = np.median(course.output("temperature_c"), axis=1)
    assert abs(warmth[16] - 25.0) < 0.7
    assert warmth[-1] < 23.0
