"""All models run forwards at once, and readings written from what was drawn."""

from __future__ import annotations

import numpy as np
import pytest
from observation_cases import STEPS, drop, keyed, read, seen, tank
from scipy.special import logsumexp
from scipy.stats import kstest

from watervane.inference.observation import (
    Seen,
    draw,
    latent_names,
    observation_models,
    possible,
    written,
)
from watervane.process.state import COLUMN, COMPONENTS
from watervane.records import Kit, KitScale, Reading, Tank

LOG = tank(
    drop(),
    kits={
        "drop": drop(),
        "pen": Kit("pen", "probe"),
        "eye": Kit("eye", "photometer", (KitScale("nitrite", (), "n", 0.01, 0.5),)),
    },
)
TOLD = [
    read(0.0, 1),
    read(7.0, 1.5, "ph", basis="none", kit="pen"),
    read(0.0, 2),
    read(0.0, 2, "nitrite", kit="eye"),
    read(0.0, 3, "gh", basis="none", kit=None),
]
LEVELS = {"ammonia_mg_n_per_l": 1.2, "ph": 7.3, "nitrite_mg_n_per_l": np.full(300, 0.49)}


def drawn(order: slice = slice(None), seed: int = 5) -> np.ndarray:
    models = observation_models(LOG, TOLD)[order]
    names = latent_names(models)
    unknowns = {n: np.zeros(300) for n in names}
    return draw(models, seen(TOLD, LEVELS), unknowns, keyed(300, seed))


def test_every_reading_is_drawn_and_keys_not_order_decide() -> None:
    shown = drawn()
    assert np.isfinite(shown[[0, 1, 2, 4]]).all()
    assert np.array_equal(shown, drawn(slice(None, None, -1)))
    assert not np.array_equal(shown, drawn(seed=6))


def test_readings_of_one_kit_are_drawn_apart() -> None:
    shown = drawn()
    assert set(np.unique(shown[[0, 2]])) <= set(STEPS)
    assert (shown[0] != shown[2]).any()


def test_off_the_range_is_written_as_more_than_its_end() -> None:
    shown = drawn()[3]
    assert np.isinf(shown).any()
    above = written(LOG, TOLD[3], float("inf"))
    assert (above.value.kind, above.value.low) == ("above", 0.5)
    at = written(LOG, TOLD[3], 0.25)
    assert (at.value.kind, at.value.low, at.value.high) == ("exact", 0.25, 0.25)


def test_all_that_a_kit_could_show_is_listed_and_adds_up() -> None:
    """Given the reading before it: what the next test would teach is summed over these."""
    chance = np.zeros(300)
    for option in possible(LOG, TOLD[2]):
        log = [*TOLD[:2], option, *TOLD[3:]]
        (model,) = [m for m in observation_models(LOG, log) if 2 in m.readings]
        at = seen(log, LEVELS)
        rows = model.log_likelihood(at, {n: np.zeros(300) for n in model.names})
        chance += np.exp(rows[list(model.readings).index(2)])
    assert chance == pytest.approx(np.ones(300))
    assert possible(LOG, TOLD[1]) == possible(LOG, TOLD[3]) == ()


def test_models_share_out_the_readings_each_to_one() -> None:
    places = [i for m in observation_models(LOG, TOLD) for i in m.readings]
    assert sorted(places) == list(range(len(TOLD)))


def calibrated_log() -> tuple[Tank, list[Reading]]:
    """A kit without basis, lifted by nitrite, once diluted, beside a probe and a source test."""
    kits = {
        "drop": drop("nitrate", "unknown", (0.0, 1.0, 2.5, 6.0, 12.0)),
        "pen": Kit("pen", "probe"),
    }
    told = [read(0.0, day, "nitrate", basis="unknown") for day in (1, 2, 3)]
    told += [read(0.0, 4, "nitrate", basis="unknown", diluted=4.0)]
    told += [read(0.0, 4.2, "nitrate", basis="unknown", of_source_water=True)]
    told += [read(5.0, day, "nitrate", basis="unknown", kit="pen") for day in (2.0, 2.1, 4.0)]
    return tank(kits["drop"], kits=kits), told


def imagined(members: int, seed: int) -> tuple[dict[str, np.ndarray], np.ndarray]:
    """Levels of the tank and its source from a prior."""
    rng = np.random.default_rng(seed)
    tank_water = {
        "nitrate_mg_n_per_l": np.exp(1.2 + 0.9 * rng.standard_normal(members)),
        "nitrite_mg_n_per_l": np.exp(-1.0 + 1.2 * rng.standard_normal(members)),
    }
    source = np.zeros((len(COMPONENTS), members))
    source[COLUMN["nitrate"]] = np.exp(0.5 + 0.7 * rng.standard_normal(members))
    return tank_water, source


def test_truths_rank_evenly_among_members_weighed_by_what_was_drawn_from_them() -> None:
    """Simulation-based calibration of all parts at once, by importance weights."""
    log, told = calibrated_log()
    models = observation_models(log, told)
    names = latent_names(models)
    truths, members = 300, 3000

    def known(count: int, seed: int) -> tuple[dict[str, np.ndarray], Seen, dict[str, np.ndarray]]:
        levels, source = imagined(count, seed)
        rng = np.random.default_rng(seed + 100)
        unknowns = {name: rng.standard_normal(count) for name in names}
        return levels, seen(told, levels, source=source), unknowns

    true_levels, true_at, true_unknowns = known(truths, 1)
    shown = draw(models, true_at, true_unknowns, keyed(truths))
    levels, at, unknowns = known(members, 2)
    ranks: dict[str, list[float]] = {name: [] for name in (*levels, *names)}
    for i in range(truths):
        log_read = [written(log, r, shown[j, i]) for j, r in enumerate(told)]
        weighed = observation_models(log, log_read)
        total = sum(m.log_likelihood(at, unknowns).sum(axis=0) for m in weighed)
        weights = np.exp(total - logsumexp(total))
        for name, prior in (*levels.items(), *unknowns.items()):
            truth = {**true_levels, **true_unknowns}[name][i]
            ranks[name].append(float(weights @ (prior < truth)))
    for name, found in ranks.items():
        assert kstest(found, "uniform").pvalue > 1e-3, name
    told_most = np.array(ranks["nitrate_mg_n_per_l"])
    assert 0.74 < np.mean(np.abs(told_most - 0.5) < 0.4) < 0.86
