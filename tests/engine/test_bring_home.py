"""Advice follows from what the bag's water becomes, not from habit."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from watervane.engine import bring_home
from watervane.limits import allowed_change, limits_in
from watervane.records import Finding, Reading, ReadingValue, SourceWater, Tank, Trip

TANK = Tank(
    name="hall",
    filled=date(2026, 3, 1),
    volume_l=60.0,
    heater_set_point_c=25.0,
    source_water=SourceWater(ph=7.8, kh_dkh=8.0, gh_dgh=10.0),
)
AT = datetime(2026, 4, 20, 18, tzinfo=UTC)


def _read(quantity: str, level: float, at: datetime = AT) -> Reading:
    basis = "n" if quantity in ("ammonia", "nitrite") else "none"
    return Reading(at, quantity, ReadingValue("exact", level, level, basis, f"{level:g}"))


READ = replace(TANK, readings=(_read("ph", 7.8), _read("ammonia", 0.0), _read("nitrite", 0.0)))
SHORT = Trip("Danio rerio", 4, 1.0, ph=7.6, kh_dkh=7.0, gh_dgh=10.0, temperature_c=24.5)


def _keys(trip: Trip, tank: Tank = TANK) -> list[str]:
    return [finding.key for finding in bring_home(tank, trip).advice]


def test_a_short_trip_between_like_waters_needs_neither_floating_nor_dripping() -> None:
    keys = _keys(SHORT, READ)
    assert keys[keys.index("bring-warmth") + 1 :][:2] == ["bring-no-float", "bring-net-over"]


def test_a_long_crowded_trip_into_hard_alkaline_water_goes_over_at_once() -> None:
    hard = replace(TANK, source_water=SourceWater(ph=8.3, kh_dkh=14.0, gh_dgh=18.0))
    crowded = replace(SHORT, count=25, hours=30.0, gas="oxygen", gh_dgh=16.0)
    keys = _keys(crowded, hard)
    assert "bring-at-once" in keys
    assert "bring-drip" not in keys


HARD = replace(TANK, source_water=SourceWater(ph=8.3, kh_dkh=14.0, gh_dgh=18.0))
SOFT_SHOP = replace(SHORT, ph=6.4, kh_dkh=2.0, gh_dgh=4.0)


def test_a_wide_step_is_dripped_over_unless_that_harms_within_the_hour() -> None:
    """Ammonia borne badly for weeks is borne for a while; a stroke across 14 dGH is not."""
    shrimps = replace(SOFT_SHOP, species="cherry shrimp", count=20, hours=24.0)
    home = bring_home(HARD, shrimps)
    assert home.chances["ammonia-when-dripped"] > 0.05
    assert home.chances["harm-when-dripped"] <= 0.05
    assert [each.key for each in home.advice if "drip" in each.key] == ["bring-drip-over"]
    unknown = replace(shrimps, gh_dgh=None)
    assert "bring-drip-over" in _keys(unknown, HARD), "a step nobody knows may be wide"
    packed = bring_home(HARD, replace(SOFT_SHOP, count=120, hours=48.0, gas="oxygen"))
    assert packed.chances["harm-when-dripped"] > 0.05
    assert "bring-swap-water" in [each.key for each in packed.advice]


def test_a_cold_bag_floats_first_and_the_larger_the_longer() -> None:
    times = []
    for litres in (0.5, 8.0):
        advice = bring_home(TANK, replace(SHORT, temperature_c=18.0, water_l=litres)).advice
        (float_,) = (finding for finding in advice if finding.key == "bring-float")
        times.append(float(str(float_.arguments["minutes"])))
    assert times[0] < times[1]


@pytest.mark.parametrize(
    ("animal", "way"), [("cherry shrimp", "bring-drip"), ("danio", "bring-net-over")]
)
def test_shrimps_are_dripped_over_a_step_of_hardness_that_fish_bear(animal: str, way: str) -> None:
    assert way in _keys(replace(SHORT, species=animal, gh_dgh=5.0))


def test_an_animal_nobody_knows_is_taken_for_a_fish_and_that_is_said() -> None:
    keys = _keys(replace(SHORT, species="snark"), READ)
    assert keys.index("bring-unknown-animal") < keys.index("bring-look")
    assert "bring-unknown-animal" not in _keys(SHORT)


def test_too_little_gas_is_said_before_anything_is_done() -> None:
    keys = _keys(replace(SHORT, count=30, hours=12.0, gas_l=0.3))
    assert keys.index("bring-short-of-oxygen") < keys.index("bring-bag-water-out")


def test_the_same_seed_is_the_same_bag_and_what_is_told_narrows_it() -> None:
    told, untold = bring_home(TANK, SHORT), bring_home(TANK, replace(SHORT, ph=None, kh_dkh=None))
    assert told == bring_home(TANK, SHORT)

    def width(home: object) -> float:
        ph = home.arriving["ph"]
        return float(ph.p95 - ph.p05)

    assert width(told) < width(untold)


def test_the_gaps_are_those_of_the_waters_with_what_the_animals_bear() -> None:
    acid = replace(SHORT, ph=6.3, gh_dgh=None)
    ph, warmth, hardness = bring_home(READ, acid).gaps
    assert ph.shop.p50 is not None
    assert ph.home.p50 is not None
    assert ph.home.p50 - ph.shop.p50 == pytest.approx(1.5, abs=0.1)
    limits = limits_in(TANK, ("Danio rerio",))
    assert ph.strains == allowed_change(limits, "ph_change")
    assert warmth.strains == allowed_change(limits, "temperature_change_k")
    assert (ph.untold, hardness.untold) == ((), ("shop",))
    assert hardness.shop.p50 is None
    assert hardness.home.p50 == 10.0
    shrimps = bring_home(TANK, replace(SHORT, species="cherry shrimp")).gaps[2]
    assert hardness.strains is not None
    assert shrimps.strains is not None
    assert shrimps.strains < hardness.strains


def test_fish_are_dripped_over_a_wide_gap_of_ph_but_not_over_what_gas_took_off_it() -> None:
    assert "bring-drip" in _keys(replace(SHORT, ph=6.2))
    stuffy = bring_home(TANK, replace(SHORT, count=30, hours=12.0, gas="oxygen"))
    assert stuffy.chances["wide-step-of-ph"] > 0.5 > stuffy.chances["wide-gap-of-ph"]
    assert "bring-drip" not in [finding.key for finding in stuffy.advice]


def test_the_warmth_of_the_way_is_what_the_animals_like_and_a_small_bag_follows_sooner() -> None:
    def told(trip: Trip) -> Finding:
        return next(f for f in bring_home(TANK, trip).advice if f.key == "bring-warmth")

    assert (told(SHORT).arguments["low"], told(SHORT).arguments["high"]) == (18, 28)
    small, large = (told(replace(SHORT, water_l=litres)) for litres in (0.3, 5.0))
    assert float(str(small.arguments["hours"])) < float(str(large.arguments["hours"]))


def test_nobody_is_fetched_into_water_that_was_read_as_harmful() -> None:
    """At pH 7.8 and 25 degC 2 mg N/L of ammonia is some 0.07 as NH3-N: chronic by every table."""
    bad = replace(TANK, readings=(_read("ph", 7.8), _read("ammonia", 2.0), _read("nitrite", 0.0)))
    told = bring_home(bad, SHORT, at=AT + timedelta(hours=1))
    assert told.advice[0].key == "bring-tank-harms"
    assert told.advice[0].arguments["subject"] == "ammonia"
    assert told.chances["tank-harms"] > 0.8
    fine = bring_home(READ, SHORT, at=AT + timedelta(hours=1))
    assert "bring-tank-harms" not in [finding.key for finding in fine.advice]
    assert fine.chances["tank-harms"] < 0.05


def test_an_old_reading_of_ammonia_is_none_and_that_is_said_and_asked_for() -> None:
    later = bring_home(READ, SHORT, at=AT + timedelta(days=9))
    assert later.home_from["ammonia"] == "assumed"
    assert later.home_from["ph"] == "read"
    assert "bring-tank-unread" in [finding.key for finding in later.advice]
    soon = bring_home(READ, SHORT, at=AT + timedelta(days=1))
    assert "bring-tank-unread" not in [finding.key for finding in soon.advice]


def test_water_they_do_not_like_is_told_before_they_are_bought() -> None:
    cold = replace(
        READ, heater_set_point_c=None, readings=(*READ.readings, _read("temperature", 16))
    )
    keys = _keys(replace(SHORT, species="cardinal tetra"), cold)
    assert {"bring-tank-unlike", "bring-tank-harms"} & set(keys[:2])


def test_ph_nobody_read_is_that_of_aired_water_and_not_the_taps() -> None:
    """3 dKH (1.07 mmol/L) over 0.0145 mmol CO2/L: pH 6.35 + log10(74) = 8.2; less by life."""
    tap = replace(TANK, source_water=SourceWater(ph=6.6, kh_dkh=3.0, gh_dgh=6.0))
    ph = bring_home(tap, SHORT).gaps[0]
    assert ph.untold == ("tank",)
    assert ph.home.p50 is not None
    assert 7.4 < ph.home.p50 < 8.1
