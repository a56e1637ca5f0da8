"""What of the water reaches the reagent: dilution, binding conditioners, source water."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest
from observation_cases import STEPS, drop, only_model, read, seen, tank, water, zeros
from scipy.stats import norm

from watervane.inference.kits import reading_interval
from watervane.inference.observation import Seen, observation_models
from watervane.inference.observation.conditioner import bound_weight
from watervane.inference.observation.source_tests import OF_SOURCE, source_level
from watervane.kits.dilution import dilution_error
from watervane.kits.sizes import SCALES, SIZES, number
from watervane.process.source_water import SOURCE_PARAMETERS, source_composition
from watervane.process.state import COLUMN, COMPONENTS
from watervane.records import Dose, Habit, Kit, KitScale, SourceWater
from watervane.reference import value

AMMONIA = "ammonia_mg_n_per_l"
BINDER = "after binder drop"


def test_a_sample_that_is_not_diluted_has_no_error_of_dilution() -> None:
    assert dilution_error(np.array([1.0]))[0] == 0.0
    halved, quartered = dilution_error(np.array([2.0, 4.0]))
    assert halved == number("dilution_log_sd_per_halving")
    assert quartered == pytest.approx(np.sqrt(2.0) * halved)


def test_a_diluted_reading_is_that_of_thinner_water_with_a_wider_error() -> None:
    sizes, truth, fold = SIZES["drop"], 10.0, 4.0
    told = [read(3.0, diluted=fold)]
    model = only_model(drop(), told)
    found = model.log_likelihood(seen(told, {AMMONIA: truth}), zeros(model))[0, 0]
    level = truth / fold
    relative = np.hypot(sizes.relative_error, dilution_error(np.array([fold]))[0])
    error = np.hypot(SCALES["ammonia"].floor, relative * level)
    inside = norm.cdf(4.5, level, error) - norm.cdf(2.25, level, error)
    expected = (1.0 - sizes.outlier_chance) * inside + sizes.outlier_chance / len(STEPS)
    assert np.exp(found) == pytest.approx(expected)


def test_a_fold_of_one_changes_nothing_and_steps_stay_as_printed() -> None:
    plain, thin = ([read(1.5, diluted=fold)] for fold in (1.0, 1.0 + 1e-12))
    level = {AMMONIA: np.linspace(0.0, 8.0, 20)}
    rows = []
    for told in (plain, thin):
        model = only_model(drop(), told)
        rows.append(model.log_likelihood(seen(told, level), zeros(model, 20)))
    assert rows[1] == pytest.approx(rows[0], abs=1e-5)
    assert reading_interval(read(6.0, diluted=4.0), drop()) == (18.0, np.inf)


def test_dilution_tells_apart_what_the_open_top_step_cannot() -> None:
    level = {AMMONIA: np.array([9.0, 30.0])}
    apart = []
    for told in ([read(6.0)], [read(1.5, diluted=6.0)]):
        model = only_model(drop(), told)
        rows = model.log_likelihood(seen(told, level), zeros(model, 2))
        apart.append(float(rows[0, 0] - rows[0, 1]))
    assert abs(apart[0]) < 0.5
    assert apart[1] > 3.0


def dosed(substance: str = "ammonia binder") -> Dose:
    return Dose(at=datetime(2026, 3, 5, 12, tzinfo=UTC), substance=substance)


def test_a_binding_conditioner_is_felt_for_its_window_and_fades() -> None:
    days = (4.0, 4.5, 5.5, 6.4, 6.6, 9.0)
    log = tank(drop(), events=(dosed(),))
    felt = bound_weight([read(1.0, d) for d in days], log)
    assert felt == pytest.approx([0.0, 1.0, 0.5, 0.05, 0.0, 0.0], abs=1e-6)
    assert number("conditioner_window_d") == 2.0


def test_a_conditioner_of_unknown_make_is_felt_in_part_and_others_not_at_all() -> None:
    told = [read(1.0, 4.5)]
    weight = number("unknown_make_binder_weight")
    for substance, expected in (("conditioner", weight), ("sodium chloride", 0.0)):
        felt = bound_weight(told, tank(drop(), events=(dosed(substance),)))
        assert felt == pytest.approx([expected])
    assert bound_weight(told, tank(drop(), events=(dosed("ammonia binder 5 %"),))) == [1.0]


def test_habits_of_dosing_count_too() -> None:
    habit = Habit(template=dosed(), every_days=7.0, start=dosed().at.date())
    felt = bound_weight([read(1.0, 4.5), read(1.0, 12.0)], tank(drop(), habits=(habit,)))
    assert felt == pytest.approx([1.0, 0.75])


def kit_with(reagent: str) -> Kit:
    return Kit("drop", "drop", (KitScale("ammonia", STEPS, "n", reagent=reagent),))


def test_salicylate_still_reads_what_is_bound_and_nessler_may_be_far_off() -> None:
    told = [read(1.5, 4.5)]
    spread = {}
    for reagent in ("salicylate", "", "nessler"):
        model = only_model(kit_with(reagent), told, events=(dosed(),))
        assert BINDER in model.names
        unknowns = zeros(model, 3) | {BINDER: np.array([-2.0, 0.0, 2.0])}
        rows = model.log_likelihood(seen(told, {AMMONIA: np.full(3, 1.5)}), unknowns)
        spread[reagent] = float(np.ptp(rows))
    assert spread["salicylate"] < spread[""] < spread["nessler"]
    assert spread["salicylate"] < 0.5


def test_without_such_a_dose_there_is_no_such_unknown() -> None:
    model = only_model(kit_with("nessler"), [read(1.5, 4.5)])
    assert BINDER not in model.names
    nitrite = only_model(drop("nitrite"), [read(0.3, 4.5, "nitrite")], events=(dosed(),))
    assert BINDER not in nitrite.names


def source_of(told: SourceWater, members: int = 4) -> np.ndarray:
    rng = np.random.default_rng(1)
    deviations = {name: rng.standard_normal((1, members)) for name in SOURCE_PARAMETERS}
    return source_composition(told, deviations)[:, 0, :]


def test_levels_of_the_source_are_those_it_was_described_by() -> None:
    zero = {name: np.zeros((1, 1)) for name in SOURCE_PARAMETERS}
    told = SourceWater(
        ph=7.4,
        kh_dkh=6.0,
        gh_dgh=9.0,
        ammonia_mg_n_per_l=0.2,
        nitrite_mg_n_per_l=0.03,
        nitrate_mg_n_per_l=4.0,
        chlorine_mg_per_l=0.5,
        chloride_mg_per_l=60.0,
    )
    source = source_composition(told, zero)[:, 0, :]
    expected = {
        "ph": 7.4,
        "kh": 6.0,
        "gh": 9.0,
        "ammonia": 0.2,
        "nitrite": 0.03,
        "nitrate": 4.0,
        "chlorine": 0.5,
        "chloride": 60.0,
    }
    assert set(expected) == set(OF_SOURCE)
    for quantity, level in expected.items():
        assert source_level(source, quantity)[0] == pytest.approx(level, rel=2e-3), quantity


def test_a_test_of_the_source_tells_of_the_source_and_not_of_the_tank() -> None:
    told = [read(5.0, 1, "kh", basis="none", of_source_water=True)]
    source = source_of(SourceWater(), 200)
    tank_water = {"alkalinity_meq_per_l": np.linspace(0.0, 9.0, 200)}
    model = only_model(Kit("drop", "drop"), told)
    rows = model.log_likelihood(seen(told, tank_water, source=source), zeros(model, 200))
    kh = source_level(source, "kh")
    assert kh[np.argmax(rows[0])] == pytest.approx(5.0, abs=0.3)
    same = seen(told, {"alkalinity_meq_per_l": np.full(200, 3.0)}, source=source)
    assert model.log_likelihood(same, zeros(model, 200)) == pytest.approx(rows)


def test_both_waters_read_off_one_kit_share_its_bias_and_its_basis() -> None:
    told = [
        read(5.0, 1, "nitrate", basis="unknown", of_source_water=True),
        read(5.0, 2, "nitrate", basis="unknown"),
    ]
    kit = drop("nitrate", "unknown", (0.0, 2.0, 5.0, 10.0))
    (model,) = observation_models(tank(kit), told)
    assert model.readings == (0, 1)
    source = np.zeros((len(COMPONENTS), 2))
    source[COLUMN["nitrate"]] = [5.0, 5.0 * 4.42]
    at = seen(told, {"nitrate_mg_n_per_l": np.array([5.0, 5.0 * 4.42])}, source=source)
    rows = np.exp(model.log_likelihood(at, zeros(model, 2)))
    # once the source has told the basis, the tank's reading follows it
    assert rows[1, 1] > 2.0 * rows[0, 1]


def test_a_source_that_was_tested_but_not_handed_over_is_an_error() -> None:
    told = [read(5.0, 1, "kh", basis="none", of_source_water=True)]
    model = only_model(Kit("drop", "drop"), told)
    at = Seen(water([1.0], {"ph": 7.0}), np.array([0]))
    with pytest.raises(ValueError, match="source"):
        model.log_likelihood(at, zeros(model))


def test_every_size_has_a_range_and_a_word_on_its_origin() -> None:
    for row_id in ("nitrite_lift", "nessler_after_binder", "conditioner_window_d"):
        row = value(row_id)
        assert row.low is not None
        assert row.note or row.quality == "practice"
