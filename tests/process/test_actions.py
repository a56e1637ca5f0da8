"""What each event does to the water, the animals and the colonies, at once."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

import numpy as np
import pytest

from watervane.process.actions import act
from watervane.process.arrays import jax
from watervane.process.colony_care import (
    clean_action,
    media_moved_action,
    seed_action,
    treatment_action,
)
from watervane.process.day_program import Action, empty_rows, write_action
from watervane.process.doses import dose_action
from watervane.process.source_water import SOURCE_PARAMETERS, source_composition
from watervane.process.state import COLUMN, TankState
from watervane.process.timeline import timeline
from watervane.records import (
    Clean,
    Dose,
    MediaMoved,
    Seed,
    SourceWater,
    Span,
    Tank,
    TopOff,
    Treatment,
    WaterChange,
)

AT = datetime(2026, 3, 3, 12, tzinfo=UTC)
WATER = SourceWater(ph=7.6, kh_dkh=5.0, gh_dgh=8.0, nitrate_mg_n_per_l=1.0, chloramine_mg_per_l=2.0)
SOURCE = source_composition(WATER, {n: np.zeros((1, 2)) for n in SOURCE_PARAMETERS})
THETA = {
    "animal_mass_multiplier": np.array([[1.0, 1.5]]),
    "pinch_deviation": np.array([[0.0, 1.0]]),
    "dose_deviation": np.array([[0.0, 1.0]]),
    "food_multiplier": np.ones((1, 2)),
    "eaten_share": np.array([[0.9, 0.8]]),
    "plant_multiplier": np.array([[0.5, 2.0]]),
    "seed_ammonia_density_mg_per_m2": np.full((1, 2), 4.0),
    "seed_nitrite_density_mg_per_m2": np.full((1, 2), 1.3),
}
COMPILED = jax.jit(act)  # once for all: piece by piece each step of it is compiled by itself


def _state(volume: float = 1.0, **amounts: float) -> TankState:
    held = np.zeros((len(COLUMN), 1, 2))
    for name, value in amounts.items():
        held[COLUMN[name]] = value
    ones = np.ones((1, 2))
    return TankState(held, volume * ones, 25.0 * ones, 7.5 * ones, ones, ones)


def _act(action: Action, state: TankState, luck: float = 0.5) -> dict[str, Any]:
    rows = empty_rows(1)
    write_action(rows, 0, action)
    row = {name: values[0] for name, values in rows.items()}
    noise = {name: np.ones((1, 2)) for name in ("food", "change")}
    noise |= {"luck": np.full((1, 2), luck), "death": np.zeros((1, 2))}
    after = COMPILED(state, row, THETA, SOURCE, noise)
    found = {name: np.asarray(after.amounts)[i, 0] for name, i in COLUMN.items()}
    return found | {
        "volume": np.asarray(after.volume_ratio)[0],
        "warmth": np.asarray(after.temperature_c)[0],
    }


def _logged(event: Any) -> Action:
    tank = Tank(
        name="t", filled=date(2026, 3, 1), volume_l=60.0, source_water=WATER, events=(event,)
    )
    at_d = 2.5
    return next(a for a in timeline(tank, 5).actions if a.at_d == at_d)


def test_nothing_happens_in_an_empty_row() -> None:
    state = _state(ammonia=1.0, alkalinity=2.0, food_nitrogen=0.3)
    after = _act(Action(0.0), state)
    for name, i in COLUMN.items():
        assert np.allclose(after[name], state.amounts[i, 0]), name


def test_a_water_change_mixes_what_stays_with_what_comes() -> None:
    after = _act(
        _logged(WaterChange(at=AT, fraction=0.25, temperature_c=17.0)),
        _state(nitrate=5.0, alkalinity=1.0, food_nitrogen=0.4, animal_nitrogen=9.0),
    )
    assert after["nitrate"] == pytest.approx([0.75 * 5.0 + 0.25 * 1.0] * 2)
    assert after["alkalinity"] == pytest.approx([0.75 * 1.0 + 0.25 * 5.0 * 0.35665] * 2)
    assert after["warmth"] == pytest.approx([0.75 * 25.0 + 0.25 * 17.0] * 2)
    assert after["food_nitrogen"] == pytest.approx([0.4, 0.4])
    assert after["animal_nitrogen"] == pytest.approx([9.0, 9.0])
    assert after["volume"] == pytest.approx([1.0, 1.0])


def test_conditioner_turns_chloramine_into_ammonia_and_nothing_is_left() -> None:
    after = _act(_logged(WaterChange(at=AT, fraction=0.3)), _state())
    assert after["chloramine"] == pytest.approx([0.0, 0.0], abs=1e-12)
    assert after["ammonia"] == pytest.approx([0.3 * 2.0 * 14.0067 / 70.906] * 2)
    assert after["dechlorinator"] == pytest.approx([0.0, 0.0], abs=1e-12)


def test_without_conditioner_the_poison_stays() -> None:
    after = _act(_logged(WaterChange(at=AT, fraction=0.3, conditioner=False)), _state())
    assert after["chloramine"] == pytest.approx([0.6, 0.6])
    assert after["ammonia"] == pytest.approx([0.0, 0.0])


def test_a_conditioner_takes_free_chlorine_first() -> None:
    after = _act(Action(0.0), _state(chlorine=1.0, chloramine=1.0, dechlorinator=1.4))
    assert after["chlorine"] == pytest.approx([0.0, 0.0])
    assert after["chloramine"] == pytest.approx([0.6, 0.6])


def test_a_half_empty_tank_is_filled_to_the_mark() -> None:
    state = _state(volume=0.8, nitrate=5.0)
    full = _act(_logged(TopOff(at=AT)), state)
    assert full["volume"] == pytest.approx([1.0, 1.0])
    assert full["nitrate"] == pytest.approx([5.0 + 0.2 * 1.0] * 2)
    pure = _act(_logged(TopOff(at=AT, pure=True)), state)
    assert pure["nitrate"] == pytest.approx([5.0, 5.0])
    litres = _act(_logged(TopOff(at=AT, volume_l=6.0)), state)
    assert litres["volume"] == pytest.approx([0.9, 0.9])


def _dose(name: str, **how: Any) -> Action:
    return dose_action(0.0, Dose(at=AT, substance=name, **how), 60.0)


def test_a_dose_to_a_level_adds_only_what_is_missing() -> None:
    action = _dose("ammonium chloride", target_mg_n_per_l=2.0)
    after = _act(action, _state(ammonia=0.5))
    assert after["ammonia"] == pytest.approx([2.0, 2.0])
    assert after["chloride"] == pytest.approx([1.5 / 14.0067] * 2)
    assert after["alkalinity"] == pytest.approx([0.0, 0.0])
    above = _act(action, _state(ammonia=3.0))
    assert above["ammonia"] == pytest.approx([3.0, 3.0])
    assert above["chloride"] == pytest.approx([0.0, 0.0])


def test_a_level_is_meant_for_the_water_that_is_there() -> None:
    after = _act(_dose("ammonium chloride", target_mg_n_per_l=2.0), _state(volume=0.9))
    assert after["ammonia"] == pytest.approx([1.8, 1.8])


def test_ammonia_solution_brings_its_alkalinity_along() -> None:
    after = _act(_dose("ammonia solution", added_mg_n_per_l=1.4), _state())
    assert after["ammonia"] == pytest.approx([1.4, 1.4])
    assert after["alkalinity"] == pytest.approx([0.1, 0.1], rel=1e-3)


def test_baking_soda_lifts_buffering_by_the_exact_rule() -> None:
    """2.996 g NaHCO3 in 100 L is 1 dKH (exact arithmetic)."""
    event = Dose(at=AT, substance="sodium bicarbonate", mass_g=Span.exact(2.996))
    after = _act(dose_action(0.0, event, 100.0), _state())
    assert after["alkalinity"][0] == pytest.approx(0.35665, rel=1e-3)
    assert after["alkalinity"][1] == pytest.approx(0.35665, rel=0.01), "97 to 100 % pure"
    assert after["inorganic_carbon"] == pytest.approx(after["alkalinity"])
    assert after["sodium"] == pytest.approx(after["alkalinity"])


def test_food_is_eaten_as_far_as_there_are_mouths() -> None:
    meal = {"food_mg_n_per_l": 0.06, "food_mg_o2_per_mg_n": 20.0}
    eaten = _act(Action(0.0, meal | {"mouths": 1.0}), _state())
    assert eaten["gut_nitrogen"] == pytest.approx([0.054, 0.048])
    assert eaten["food_nitrogen"] == pytest.approx([0.006, 0.012])
    assert eaten["gut_matter"] == pytest.approx(20.0 * eaten["gut_nitrogen"])
    left = _act(Action(0.0, meal), _state())
    assert left["gut_nitrogen"] == pytest.approx([0.0, 0.0])
    assert left["organic_matter"] == pytest.approx([1.2, 1.2])


def test_a_stout_pinch_is_a_member_s_own() -> None:
    meal = {"food_mg_n_per_l": 0.06, "food_log_spread": 0.35}
    found = _act(Action(0.0, meal), _state())["food_nitrogen"]
    assert found[1] / found[0] == pytest.approx(np.exp(0.35))


def test_animals_come_as_heavy_as_a_member_believes() -> None:
    action = Action(0.0, vectors={"add": {"animal_nitrogen": 2.0, "animal_matter": 30.0}})
    after = _act(action, _state(animal_nitrogen=1.0))
    assert after["animal_nitrogen"] == pytest.approx([3.0, 4.0])
    assert after["animal_matter"] == pytest.approx([30.0, 45.0])


@pytest.mark.parametrize("stays", [0.0, 1.0])
def test_the_dead_lie_in_the_tank_or_are_gone(stays: float) -> None:
    action = Action(0.0, {"died_share": 0.25, "died_stays": stays})
    after = _act(action, _state(animal_nitrogen=8.0, animal_matter=100.0))
    assert after["animal_nitrogen"] == pytest.approx([6.0, 6.0])
    assert after["carrion_nitrogen"] == pytest.approx([2.0 * stays] * 2)
    assert after["organic_matter"] == pytest.approx([25.0 * stays] * 2)


SEEDED = "ammonia_oxidisers_filter"


def _seeded(condition: str, luck: float, hours: float = 0.0) -> float:
    event = Seed(at=AT, source="media", volume_l=0.3, condition=condition, hours_out_of_water=hours)
    return float(_act(seed_action(0.0, event, 60.0), _state(), luck)[SEEDED][0])


@pytest.mark.slow
@pytest.mark.parametrize("luck", [0.01, 0.5, 0.99])
def test_each_rinse_lowers_a_seed_and_none_raises_it(luck: float) -> None:
    fresh, tank, tap, dried = (
        _seeded(c, luck) for c in ("fresh", "rinsed in tank water", "rinsed under tap", "dried")
    )
    assert fresh > tank > tap > dried > 0.0
    assert _seeded("fresh", luck, 4.0) < _seeded("fresh", luck, 1.0) < fresh


def test_a_seed_is_area_times_density() -> None:
    most = _seeded("fresh", 1.0 - 1e-12)
    assert most == pytest.approx(0.3e-3 * 1300.0 * 4.0 / 60.0)


@pytest.mark.parametrize("source", ["media", "bed", "decor", "water", "bottle"])
def test_every_kind_of_seed_brings_both_guilds(source: str) -> None:
    after = _act(seed_action(0.0, Seed(at=AT, source=source), 60.0), _state())
    for guild in ("ammonia", "nitrite"):
        brought = sum(after[f"{guild}_oxidisers_{h}"][0] for h in ("bed", "filter", "surface"))
        assert brought > 0.0, guild


COLONIES = {f"ammonia_oxidisers_{h}": 1.0 for h in ("bed", "filter", "surface")}


@pytest.mark.parametrize(
    ("part", "habitat"), [("filter", "filter"), ("bed", "bed"), ("glass", "surface")]
)
def test_cleaning_costs_its_own_habitat_only(part: str, habitat: str) -> None:
    kept = {}
    for how in ("tank water", "tap water", "replaced"):
        after = _act(clean_action(0.0, Clean(at=AT, part=part, how=how)), _state(**COLONIES))
        kept[how] = float(after[f"ammonia_oxidisers_{habitat}"][0])
        others = [after[f"ammonia_oxidisers_{h}"][0] for h in ("bed", "filter", "surface")]
        assert sum(others) == pytest.approx(2.0 + kept[how])
    assert 1.0 > kept["tank water"] >= kept["tap water"] > kept["replaced"]


def test_moved_media_take_their_share_along() -> None:
    after = _act(media_moved_action(0.0, MediaMoved(at=AT, fraction=0.4)), _state(**COLONIES))
    assert after["ammonia_oxidisers_filter"] == pytest.approx([0.6, 0.6])
    assert after["ammonia_oxidisers_bed"] == pytest.approx([1.0, 1.0])


def test_a_treatment_kills_what_it_is_told_to() -> None:
    event = Treatment(at=AT, substance="dye", colony_kill=Span(0.2, 0.6))
    for luck, kept in ((0.0, 0.4), (1.0, 0.8)):
        after = _act(treatment_action(0.0, event), _state(**COLONIES), luck)
        assert after["ammonia_oxidisers_bed"] == pytest.approx([kept, kept])


def test_taking_waste_out_leaves_the_colonies_and_little_of_what_rots() -> None:
    told = {**COLONIES, "food_nitrogen": 1.0, "carrion_nitrogen": 1.0, "organic_matter": 10.0}
    after = _act(clean_action(0.0, Clean(at=AT, part="waste")), _state(**told))
    for name, before in told.items():
        left = float(after[name][0])
        if name in COLONIES:
            assert left == pytest.approx(before)
        else:
            assert 0.0 < left < 0.6 * before
