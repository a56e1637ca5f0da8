"""Drop kits and strips: every step its share, and the same model forwards and backwards."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from observation_cases import (
    STEPS,
    as_read,
    chances_of,
    chi_square,
    drop,
    keyed,
    only_model,
    read,
    seen,
    zeros,
)
from scipy.stats import chi2, norm

from watervane.inference.kits import reading_interval
from watervane.kits.sizes import SCALES, SIZES, number
from watervane.kits.steps import StepFace, UsualFace
from watervane.records import Kit, KitScale, ReadingValue

KITS = {
    "zero printed": drop(),
    "zero not printed": drop(steps=STEPS[1:]),
    "strip": Kit("drop", "strip", (KitScale("ammonia", STEPS, "n"),)),
}


@pytest.mark.parametrize("kit", KITS.values(), ids=KITS)
@given(truth=st.floats(0.0, 30.0), bias=st.floats(-3.0, 3.0))
def test_all_a_kit_can_show_adds_up_to_certainty(kit: Kit, truth: float, bias: float) -> None:
    unknowns = {"bias drop ammonia": np.array([bias])}
    chances = chances_of(kit, read(0.0), STEPS, {"ammonia_mg_n_per_l": truth}, unknowns)
    assert chances.sum() == pytest.approx(1.0, abs=1e-12)
    assert (chances > 0.0).all()


@given(truth=st.floats(0.0, 30.0), bias=st.floats(-3.0, 3.0))
def test_so_do_all_remarks_between_steps(truth: float, bias: float) -> None:
    kit = drop()
    pairs = list(pairwise(STEPS[1:]))
    told = [read(0.3, kind="below")] + [read(a, kind="range", high=b) for a, b in pairs]
    told.append(read(6.0, kind="above"))
    chance = 0.0
    for one in told:
        model = only_model(kit, [one])
        unknowns = {"bias drop ammonia": np.array([bias])}
        level = seen([one], {"ammonia_mg_n_per_l": truth})
        chance += float(np.exp(model.log_likelihood(level, unknowns))[0, 0])
    assert chance == pytest.approx(1.0, abs=1e-12)


@given(truth=st.floats(0.0, 60.0))
def test_a_kit_of_unknown_steps_shares_out_its_usual_ones(truth: float) -> None:
    kit = Kit("drop", "drop")
    face = UsualFace("ammonia")
    shown = face.values()
    unknowns = {"bias drop ammonia": np.zeros(1)}
    chances = chances_of(kit, read(0.0), shown[:40], {"ammonia_mg_n_per_l": truth}, unknowns)
    # the steps go on upwards without end; what lies past these is next to nothing
    assert chances.sum() == pytest.approx(1.0, abs=2e-3)


def test_the_top_step_is_open_and_zero_means_under_the_first() -> None:
    assert reading_interval(read(6.0), drop()) == (4.5, np.inf)
    assert reading_interval(read(0.0), drop()) == (-np.inf, pytest.approx(0.15))
    assert reading_interval(read(0.7), drop()) == (pytest.approx(0.5), pytest.approx(1.1))


@pytest.mark.parametrize(
    ("kind", "low", "high", "expected"),
    [
        ("range", 0.3, 0.7, (0.3, 0.7)),
        ("range", 0.0, 0.3, (-np.inf, 0.3)),
        ("range", 3.0, 6.0, (3.0, 6.0)),
        ("range", 0.3, 3.0, (0.3, 3.0)),
        ("exact", 1.0, 1.0, (0.7, 1.5)),
        ("exact", 8.0, 8.0, (6.0, np.inf)),
        ("about", 0.7, 0.7, (0.3, 1.5)),
        ("above", 3.0, None, (3.0, np.inf)),
        ("below", None, 0.3, (-np.inf, 0.3)),
    ],
)
def test_intervals_on_printed_steps(kind, low, high, expected) -> None:
    cell = StepFace("ammonia", STEPS).cell(ReadingValue(kind, low, high, "n"))
    assert (cell.low, cell.high) == pytest.approx(expected)
    assert 0.0 < cell.stray < 1.0


def test_the_chance_of_a_step_is_summed_over_the_error() -> None:
    sizes, truth = SIZES["drop"], 1.2
    error = np.hypot(SCALES["ammonia"].floor, sizes.relative_error * truth)
    inside = norm.cdf(2.25, truth, error) - norm.cdf(1.1, truth, error)
    expected = (1.0 - sizes.outlier_chance) * inside + sizes.outlier_chance / len(STEPS)
    model = only_model(drop(), [read(1.5)])
    found = model.log_likelihood(seen([read(1.5)], {"ammonia_mg_n_per_l": truth}), zeros(model))
    assert np.exp(found[0, 0]) == pytest.approx(expected, rel=1e-12)


def test_zero_is_left_open_between_two_habits() -> None:
    """Under the nearest-step habit 0 ends half way, else at the first step itself."""
    sizes, truth = SIZES["drop"], 0.2
    error = np.hypot(SCALES["ammonia"].floor, sizes.relative_error * truth)
    under = number("zero_below_first_step_chance")
    inside = (1 - under) * norm.cdf(0.15, truth, error) + under * norm.cdf(0.3, truth, error)
    expected = (1.0 - sizes.outlier_chance) * inside + sizes.outlier_chance / len(STEPS)
    model = only_model(drop(), [read(0.0)])
    found = model.log_likelihood(seen([read(0.0)], {"ammonia_mg_n_per_l": truth}), zeros(model))
    assert np.exp(found[0, 0]) == pytest.approx(expected, rel=1e-12)


def test_one_keeper_has_one_habit_so_many_zeros_tell_less_than_as_many_keepers() -> None:
    levels = {"ammonia_mg_n_per_l": np.array([0.22, 0.0])}
    many = [read(0.0, day) for day in range(12)]
    model = only_model(drop(), many)
    rows = model.log_likelihood(seen(many, levels), zeros(model, 2))
    apart = np.diff(rows, axis=1)[:, 0]
    assert apart[0] > 0.0
    assert apart[-1] < 0.3 * apart[0]


@pytest.mark.parametrize("kit", KITS.values(), ids=KITS)
def test_a_zero_that_is_not_printed_stands_more_often_for_all_under_the_first(kit: Kit) -> None:
    model = only_model(kit, [read(0.0)])
    level = seen([read(0.0)], {"ammonia_mg_n_per_l": 0.25})
    chance = np.exp(model.log_likelihood(level, zeros(model)))[0, 0]
    assert (chance > 0.5) == (kit.scales[0].steps[0] > 0.0)


def test_the_likeliest_step_is_the_nearest() -> None:
    unknowns = {"bias drop ammonia": np.zeros(1)}
    likely = chances_of(drop(), read(0.0), STEPS, {"ammonia_mg_n_per_l": 1.6}, unknowns)
    assert int(np.argmax(likely)) == STEPS.index(1.5)


def test_a_bias_is_shared_by_all_readings_of_a_kit_and_shifts_them() -> None:
    told = [read(1.5, 1), read(1.5, 2)]
    model = only_model(drop(), told)
    assert model.names == ("bias drop ammonia",)
    level = seen(told, {"ammonia_mg_n_per_l": np.full(3, 1.0)})
    rows = model.log_likelihood(level, {"bias drop ammonia": np.array([-2.0, 0.0, 2.0])})
    assert (np.diff(rows, axis=1) > 0.0).all()


@pytest.mark.parametrize("kit", [*KITS.values(), Kit("drop", "drop")])
@pytest.mark.parametrize("truth", [0.05, 0.25, 1.0, 2.4, 9.0])
def test_run_forwards_a_kit_shows_what_the_likelihood_says(kit: Kit, truth: float) -> None:
    members = 20_000
    model = only_model(kit, [read(0.0)])
    level = {"ammonia_mg_n_per_l": np.full(members, truth)}
    rng = np.random.default_rng(8)
    unknowns = {n: rng.standard_normal(members) for n in model.names}
    shown = model.simulate(seen([read(0.0)], level), unknowns, keyed(members))[0]
    values = np.unique(shown)
    expected = chances_of(kit, read(0.0), values, level, unknowns).sum(axis=1)
    counts = np.array([(shown == v).sum() for v in values])
    statistic, freedom = chi_square(counts, expected)
    assert statistic < chi2.ppf(0.999, max(freedom, 1))
    assert expected.sum() == pytest.approx(members, rel=2e-3)


def test_what_is_shown_reads_back_as_the_cell_it_came_from() -> None:
    face = StepFace("ammonia", STEPS)
    levels = np.linspace(-1.0, 9.0, 401)
    for level, step in zip(levels, face.show(levels), strict=True):
        cell = face.cell(as_read(read(0.0), step).value)
        assert cell.low <= level <= cell.high
