"""How well a reading fits, whatever its kit's steps or digits."""

from __future__ import annotations

import numpy as np
import pytest
from observation_cases import drop, keyed, only_model, read, seen, tank, zeros
from scipy.stats import norm

from watervane.inference.observation import written
from watervane.inference.observation.ion_basis import conditional_chances
from watervane.inference.weighting import fit
from watervane.kits.sizes import SIZES, errors_of, number
from watervane.records import Kit, KitScale

FINE = Kit("drop", "photometer", (KitScale("ammonia", (), "n", resolution=0.001),))
COARSE = Kit("drop", "photometer", (KitScale("ammonia", (), "n", resolution=0.1),))


def tail(kit: Kit, value: float, truth: float) -> float:
    model = only_model(kit, [read(value)])
    at = seen([read(value)], {"ammonia_mg_n_per_l": truth})
    return float(model.tail(at, zeros(model))[0, 0])


def test_fine_digits_do_not_make_a_good_reading_unlikely() -> None:
    for kit in (FINE, COARSE, drop()):
        assert tail(kit, 1.5, 1.5) > 0.9
        assert tail(kit, 1.5, 12.0) < 0.05


def test_only_a_stray_reading_is_left_where_nothing_fits() -> None:
    assert tail(drop(), 6.0, 0.0) == pytest.approx(SIZES["drop"].outlier_chance)
    assert tail(FINE, 6.0, 0.0) == pytest.approx(SIZES["photometer"].outlier_chance)


def test_a_digit_is_as_far_out_as_the_normal_error_says() -> None:
    errors, truth, value = errors_of("photometer", "ammonia"), 1.0, 1.2
    expected = 2.0 * norm.sf(value, truth, float(errors.spread(np.array([truth]))[0]))
    stray = errors.outlier_chance
    assert tail(FINE, value, truth) == pytest.approx((1 - stray) * expected + stray, rel=0.03)


def test_a_probe_is_as_far_out_as_its_lasting_error_says() -> None:
    pen = Kit("pen", "probe")
    told = [
        read(7.2, 1, "ph", basis="none", kit="pen"),
        read(7.2, 2, "ph", basis="none", kit="pen"),
    ]
    model = only_model(pen, told)
    at = seen(told, {"ph": np.full(1, 7.0)})
    first, second = model.tail(at, zeros(model))[:, 0]
    errors = errors_of("probe", "ph")
    expected = 2.0 * norm.sf(0.2 / errors.floor)
    assert first == pytest.approx(
        (1 - errors.outlier_chance) * expected + errors.outlier_chance, rel=1e-6
    )
    assert second > 5.0 * first  # once off, a probe stays off for a while


def test_readings_drawn_from_the_truth_are_rarely_far_out() -> None:
    members = 4000
    for kit in (drop(), FINE):
        model = only_model(kit, [read(0.0)])
        level = {"ammonia_mg_n_per_l": np.full(members, 1.3)}
        shown = model.simulate(seen([read(0.0)], level), zeros(model, members), keyed(members))[0]
        found = []
        for value in np.unique(shown):
            one = [written(tank(kit), read(0.0), value)]
            found += [tail(kit, one[0].value.low, 1.3)] * int((shown == value).sum())
        assert np.mean(np.array(found) < 0.05) < 0.08


def test_a_basis_learned_from_earlier_readings_counts() -> None:
    chances = np.array([0.5, 0.5])
    rows = np.log(np.array([[[0.9], [0.9]], [[0.1], [0.1]]]))
    fits = np.array([[[1.0], [1.0]], [[0.0], [0.0]]])
    found = conditional_chances(np.log(chances), rows, fits)
    assert found[:, 0] == pytest.approx([0.5, 0.9])


def test_fit_covers_every_reading_of_a_log() -> None:
    told = [read(0.7, 1), read(6.0, 2), read(0.25, 3, "nitrite")]
    levels = {"ammonia_mg_n_per_l": np.full(3, 0.7), "nitrite_mg_n_per_l": 0.2}
    at = seen(told, levels)
    found = fit(tank(drop()), told, at.course, at.stops, {})
    assert found.shape == (3, 3)
    assert (found[1] < 0.05).all()
    assert (found[[0, 2]] > 0.3).all()
    assert number("drop_outlier_chance") == pytest.approx(found[1, 0])
