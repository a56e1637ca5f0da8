"""A bare tank: load, ways to carry it, and how long parasites are outlasted."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from watervane.advice.dosing import dose_sheet
from watervane.advice.quarantine import CannotQuarantine, parasite_rounds, quarantine_plan
from watervane.records.doses import DosedAnimal, DoseWish, LabelRate
from watervane.records.quarantine import QuarantinePlan, QuarantineWish
from watervane.reference import value
from watervane.reference.parasites import parasites

FISH = (DosedAnimal("Danio rerio", 6, 3.0),)
WISH = QuarantineWish(20.0, FISH)


def test_the_fasting_load_is_that_of_a_hospital_bath() -> None:
    """Two ways to the same number: here, and on the dose sheet of a bath."""
    rate = LabelRate(1.0, "g", 1.0, "1 g/L")
    sheet = dose_sheet(DoseWish("salt", rate, 20.0, animals=FISH, bath=True))
    assert sheet.hospital is not None
    found = quarantine_plan(WISH).fasting_mg_n_per_l_d
    assert found.low == pytest.approx(sheet.hospital.rise_mg_n_per_l_d.low)
    assert found.high == pytest.approx(sheet.hospital.rise_mg_n_per_l_d.high)


def test_a_daily_change_holds_the_level_in_a_day_by_day_sum() -> None:
    crowded = replace(WISH, volume_l=8.0)
    for end in ("low", "high"):
        way = quarantine_plan(crowded).ways[0]
        rise, share = getattr(way.left_mg_n_per_l_d, end), getattr(way.share_per_d, end)
        level = 0.0
        for _ in range(400):
            level += rise
            peak, level = level, level * (1.0 - share)
        assert peak == pytest.approx(crowded.level_mg_n_per_l, rel=1e-6)


def test_more_water_less_food_and_seed_all_help() -> None:
    plain = quarantine_plan(WISH)
    wide = quarantine_plan(replace(WISH, volume_l=40.0))
    assert wide.fed_mg_n_per_l_d.high == pytest.approx(0.5 * plain.fed_mg_n_per_l_d.high)
    hungry = quarantine_plan(replace(WISH, food_share=0.0))
    assert hungry.fed_mg_n_per_l_d == hungry.fasting_mg_n_per_l_d
    seeded = quarantine_plan(replace(WISH, volume_l=5.0, seeded_l=0.1, treated=True))
    changes, with_seed, treated = seeded.ways
    assert [way.way for way in seeded.ways] == ["changes", "seeded", "treated"]
    assert with_seed.share_per_d.high < changes.share_per_d.high
    assert with_seed.share_per_d.high < treated.share_per_d.high <= changes.share_per_d.high


def test_a_treatment_leaves_the_share_of_the_table() -> None:
    plan = quarantine_plan(replace(WISH, volume_l=5.0, seeded_l=0.1, treated=True))
    fed = plan.fed_mg_n_per_l_d.high
    carried, left = (fed - way.left_mg_n_per_l_d.high for way in plan.ways[1:])
    assert left / carried == pytest.approx(value("kept_treatment_other").low)


def test_as_much_medium_as_is_told_carries_it_all() -> None:
    plan = quarantine_plan(WISH)
    enough = quarantine_plan(replace(WISH, seeded_l=1.001 * plan.media_l.high))
    assert enough.ways[1].share_per_d.high == 0.0
    short = quarantine_plan(replace(WISH, seeded_l=0.9 * plan.media_l.high))
    assert short.ways[1].share_per_d.high > 0.0


@settings(max_examples=60, deadline=None)
@given(st.floats(4, 34), st.floats(0, 10))
def test_colder_water_takes_no_shorter(temperature_c: float, colder: float) -> None:
    warm = {each.key: each for each in parasite_rounds(temperature_c)}
    cold = {each.key: each for each in parasite_rounds(temperature_c - colder)}
    for key, each in warm.items():
        assert cold[key].round_d.high >= each.round_d.high - 1e-9
        assert each.watch_d >= 2.0 * each.round_d.high - 1e-6
        assert each.watch_d % 7 == 0


def test_rows_are_met_and_between_them_days_are_straight_in_the_logarithm() -> None:
    spot = parasites()["white-spot"]
    for warmth, low, high in spot.points:
        assert spot.round_d(warmth) == (pytest.approx(low), pytest.approx(high))
    assert spot.round_d(17.5)[1] == pytest.approx((16.0 * 10.0) ** 0.5)
    assert spot.round_d(2.0)[1] == spot.points[0][2]
    assert spot.round_d(33.0)[1] == spot.points[-1][2]


def test_a_warm_quarantine_is_four_weeks_and_a_cold_one_outlasts_white_spot() -> None:
    assert quarantine_plan(replace(WISH, temperature_c=26.0)).days == 28
    cold = quarantine_plan(replace(WISH, temperature_c=10.0))
    assert cold.days >= 70
    usual = [each for each in cold.rounds if each.usual]
    assert cold.days >= max(each.watch_d for each in usual)


def test_baths_grow_with_the_stay() -> None:
    bath, dip = quarantine_plan(WISH).bath_l
    assert bath == pytest.approx(6.0 * dip)
    plan = quarantine_plan(replace(WISH, volume_l=bath))
    assert plan.fasting_mg_n_per_l_d.high * 0.5 / 24.0 == pytest.approx(0.05)


def test_an_animal_no_table_knows_is_taken_as_another_and_said_so() -> None:
    told = quarantine_plan(replace(WISH, animals=(DosedAnimal("Nonexistens fictus", 2),)))
    assert "quarantine-unknown" in [each.key for each in told.findings]
    assert "quarantine-unknown" not in [each.key for each in quarantine_plan(WISH).findings]


def test_the_warmth_is_one_the_animals_live_in_or_it_says_so() -> None:
    """An axolotl at 25 degrees is cooked slowly; nobody had asked it."""

    def plan(*names: str, warmth_told: bool = True) -> QuarantinePlan:
        animals = tuple(DosedAnimal(name) for name in names)
        wish = replace(WISH, volume_l=60.0, animals=animals, warmth_told=warmth_told)
        return quarantine_plan(wish)

    def told(found: QuarantinePlan) -> set[str]:
        return {each.key for each in found.findings if "warmth" in each.key}

    cool = plan("axolotl", warmth_told=False)
    assert 14.0 <= cool.wish.temperature_c <= 18.0
    assert cool.days > plan("axolotl").days, "colder water, longer rounds"
    assert told(cool) == {"quarantine-warmth-taken"}
    assert told(plan("axolotl")) == {"quarantine-warmth-wrong"}
    assert plan("Danio rerio", warmth_told=False).wish.temperature_c == 25.0
    assert told(plan("Danio rerio")) == set()
    apart = plan("axolotl", "discus", warmth_told=False)
    assert told(apart) == {"quarantine-warmth-taken", "quarantine-warmth-wrong"}


def test_high_ph_little_water_and_treatment_are_cautioned() -> None:
    keys = {each.key for each in quarantine_plan(replace(WISH, ph=9.0)).findings}
    assert {"quarantine-vet", "quarantine-free"} <= keys
    assert "quarantine-free" not in {
        each.key for each in quarantine_plan(replace(WISH, ph=6.5)).findings
    }
    tight = {each.key for each in quarantine_plan(replace(WISH, volume_l=1.0)).findings}
    assert {"quarantine-small", "quarantine-too-much"} <= tight


@pytest.mark.parametrize(
    ("change", "key"),
    [
        ({"volume_l": 0.0}, "quarantine-out-of-range"),
        ({"temperature_c": 60.0}, "quarantine-out-of-range"),
        ({"seeded_l": -1.0}, "quarantine-out-of-range"),
        ({"ph": 12.0}, "quarantine-out-of-range"),
        ({"animals": ()}, "quarantine-nobody"),
        ({"medium": "moon dust"}, "quarantine-medium"),
    ],
)
def test_what_makes_no_sense_is_refused(change: dict[str, object], key: str) -> None:
    with pytest.raises(CannotQuarantine) as raised:
        quarantine_plan(replace(WISH, **change))  # type: ignore[arg-type]
    assert key in [each.key for each in raised.value.problems]
