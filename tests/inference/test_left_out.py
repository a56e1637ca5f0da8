"""Readings left out of a group: the same as a group that never had them."""

from __future__ import annotations

import numpy as np
import pytest
from observation_cases import drop, only_model, read, seen
from scipy.stats import norm

from watervane.kits.sizes import errors_of
from watervane.records import WHOLE_WATER, Kit, Reading, ReadingValue

MEMBERS = 40
RNG = np.random.default_rng(8)
PEN = Kit("pen", "probe")
TOLD_APART = (1e-8, 1e-4)  # a probe forgets its lasting error but for a thousandth


def unknown_basis() -> tuple[Kit, list[Reading], str]:
    kit = drop(basis="unknown")
    told = [read(v, d, basis="unknown") for v, d in ((0.0, 1), (0.7, 2), (1.5, 3), (0.3, 4))]
    return kit, told, "ammonia_mg_n_per_l"


def words() -> tuple[Kit, list[Reading], str]:
    said = ("fine", "fine", "not fine", "fine")
    told = [
        Reading(read(0.0, d).at, WHOLE_WATER, ReadingValue(s, None, None, "none", s), kit="drop")
        for d, s in enumerate(said, start=1)
    ]
    return drop(), told, "ammonia_mg_n_per_l"


def probe() -> tuple[Kit, list[Reading], str]:
    days = (1.0, 1.25, 2.0, 40.0)
    values = (7.2, 7.4, 7.25, 7.1)
    told = [read(v, d, "ph", basis="none", kit="pen") for v, d in zip(values, days, strict=True)]
    return PEN, told, "ph"


@pytest.mark.parametrize("case", [unknown_basis, words, probe])
@pytest.mark.parametrize("parts", [(0, 1, 2, 3), (0, 0, 1, 1), (0, 1, 1, 2)])
def test_left_out_is_as_if_never_read(case: object, parts: tuple[int, ...]) -> None:
    kit, told, output = case()
    near = 7.0 if output == "ph" else 0.6
    levels = near + 0.3 * RNG.uniform(size=(len(told), MEMBERS))
    if case is probe:  # a slow sensor lags behind the readings it took, left out or not
        levels = np.broadcast_to(levels[:1], levels.shape)
    model = only_model(kit, told)
    unknowns = {name: RNG.standard_normal(MEMBERS) for name in model.names}
    if case is probe:  # nor does it drift since a first reading that is not there
        unknowns[next(n for n in model.names if n.startswith("drift"))][:] = 0.0
    at = seen(told, {output: levels})
    whole = model.log_likelihood(at, unknowns).sum(axis=0)
    found = model.left_out(at, unknowns, np.array(parts))
    for part in set(parts):
        kept = [i for i, p in enumerate(parts) if p != part]
        fewer = only_model(kit, [told[i] for i in kept])
        rest = fewer.log_likelihood(
            seen([told[i] for i in kept], {output: levels[kept]}), unknowns
        ).sum(axis=0)
        assert found.gained[part] == pytest.approx(rest - whole, abs=TOLD_APART[case is probe])


def test_the_sides_of_a_reading_are_those_of_the_normal_error_without_strays() -> None:
    told = [read(1.5), read(0.3, 2)]
    model = only_model(drop(), told)
    at = seen(told, {"ammonia_mg_n_per_l": np.full((2, 1), 0.7)})
    found = model.left_out(at, {name: np.zeros(1) for name in model.names}, np.array([0, 1]))
    errors = errors_of("drop", "ammonia")
    spread = float(errors.spread(np.array([0.7]))[0])
    assert found.below[0, 0] == pytest.approx(norm.cdf(2.25, 0.7, spread))
    assert found.above[0, 0] == pytest.approx(norm.sf(1.1, 0.7, spread))


def test_what_a_kit_was_seen_to_mean_tells_on_the_reading_left_out() -> None:
    """A lid without a basis: others that read far too high for N say that it means the ion."""
    ratio = 14.0067 / 62.0049
    steps = (0.0, 5.0, 10.0, 25.0, 50.0)
    kit = drop("nitrate", "unknown", steps)
    told = [read(v * ratio, d, "nitrate", basis="unknown") for v, d in ((50, 1), (50, 2), (50, 3))]
    model = only_model(kit, told)
    none = {name: np.zeros(2) for name in model.names}
    at = seen(told, {"nitrate_mg_n_per_l": np.tile([50 * ratio, 50.0], (3, 1))})
    found = model.left_out(at, none, np.array([0, 1, 2]))
    two_sided = 2.0 * np.minimum(found.below, found.above)
    assert np.all(two_sided > 0.5), "either basis is found from the two readings left"


def test_a_probe_that_jumped_is_far_off_what_was_foretold() -> None:
    told = [read(v, d, "ph", basis="none", kit="pen") for v, d in ((7.0, 1), (7.0, 2), (7.5, 3))]
    model = only_model(PEN, told)
    at = seen(told, {"ph": np.full((3, 1), 7.0)})
    found = model.left_out(at, {name: np.zeros(1) for name in model.names}, np.arange(3))
    assert found.above[2, 0] < 0.01 < found.above[1, 0]
