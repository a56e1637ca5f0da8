"""The readings of a tank as the sampler sees them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from test_carrying import NEW, OLD, line_of

from watervane.inference.fitting import fit_members
from watervane.inference.priors import UNKNOWNS
from watervane.inference.tank_target import TankTarget
from watervane.inference.tempered import Effort
from watervane.inference.weighting import agreement
from watervane.process.run import initial_state, simulate

READINGS = (*OLD, *NEW)


@pytest.fixture(scope="module")
def target() -> TankTarget:
    return TankTarget(line_of(), READINGS, 1, 2)


def _row(target: TankTarget, name: str) -> int:
    return target.names.index(name)


def test_every_unknown_has_one_row(target: TankTarget) -> None:
    assert len(set(target.names)) == len(target.names)
    rows = [*target.lasting, *(r for block in target.fleeting.values() for r in block)]
    assert sorted(rows) == list(range(len(target.names)))
    assert target.names[: len(UNKNOWNS)] == UNKNOWNS


def test_noise_has_rows_only_on_days_on_which_it_is_felt(target: TankTarget) -> None:
    assert [n for n in target.names if n.startswith("change ")] == ["change 8"]
    food = [n for n in target.names if n.startswith("food ")]
    assert food == [f"food {day}" for day in range(1, 10)]
    assert not any(n.startswith("luck ") for n in target.names)
    assert "ammonia drift 1" in target.names


def test_the_likelihood_is_that_of_the_observation_models_on_a_run(target: TankTarget) -> None:
    z = np.random.default_rng(4).standard_normal((len(target.names), 30))
    found = target.evaluate(z)
    line = line_of()
    members = target.members(z)
    course = simulate(
        line, members, initial_state(line, members), (0, 10), stops_d=target.look.moments
    )
    stops = [target.look.moments.index(line.calendar.days(r.at)) for r in READINGS]
    latents = dict(zip(target.look.latents, z[target.latent_rows], strict=True))
    told = agreement(line.tank, READINGS, course, stops, latents)
    assert found.log_likelihood == pytest.approx(told.total, rel=1e-12)


@pytest.mark.parametrize(
    ("name", "felt"), [("food 9", False), ("food 2", True), ("change 8", True), ("food 8", True)]
)
def test_noise_acts_from_its_day_on(target: TankTarget, name: str, felt: bool) -> None:
    z = np.zeros((len(target.names), 2))
    z[_row(target, name), 1] = 1.5
    looks = np.asarray(target.evaluate(z).kept["looks"])
    last = target.look.stops == len(target.look.moments) - 1
    moved = np.abs(looks[last, 1] - looks[last, 0]).max() > 1e-9
    # The last reading is in the evening of day 9; that day's meal comes at the same hour.
    assert moved == felt


def test_a_surrogate_comes_near_the_likelihood_it_was_fitted_to(target: TankTarget) -> None:
    rng = np.random.default_rng(5)
    z = 0.5 * rng.standard_normal((len(target.names), 900))
    found = target.evaluate(z)
    guess = target.surrogate(
        z[:, :600],
        {"looks": found.kept["looks"][:, :600]},
        np.ones(600),
    )
    off = guess(z[:, 600:]).log_likelihood - found.log_likelihood[600:]
    assert off.std() < 0.35 * found.log_likelihood[600:].std()


def test_readings_that_say_more_leave_less_open() -> None:
    effort = Effort(most_between=1, most_at_end=4)
    few = fit_members(line_of(), OLD, 200, 1, 2, effort=effort)
    assert few.z is not None
    assert few.health in ("good", "thin", "poor")
    assert len(few.fit) == len(OLD)
    assert np.all((few.fit > 0.0) & (few.fit <= 1.0))
    planted = replace(OLD[0], value=replace(OLD[0].value, low=9.0, high=9.0))
    odd = fit_members(line_of((planted, *OLD[1:])), (planted, *OLD[1:]), 200, 1, 2, effort=effort)
    assert odd.fit[0] < 0.05 < few.fit[0]
