"""Members taken over from a tank's forecast stand as that forecast's own do."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from tests.engine.test_carried_tank import MEMBERS, NEW, OLD, START, kept, tank_of, update

from watervane.engine import futures as module
from watervane.engine import today
from watervane.engine.carried_tank import CarriedTank
from watervane.engine.stand_carried import CarriedStanding, stand_carried
from watervane.records import Reading, Tank, Today, WaterChange

NOW = NEW[-1].at + timedelta(hours=5)
_SEED = 104730  # of a second forecast


@pytest.fixture(scope="module")
def first() -> CarriedTank:
    return kept(update(OLD, None).replacement())


def stood(tank: Tank, before: CarriedTank, **told: int) -> CarriedStanding:
    return stand_carried(tank, before.kept, as_of=NOW, now=NOW, members=MEMBERS, **told)


def anew(*_told: object) -> None:
    pytest.fail("members were fitted anew")


def changed(day: int, readings: tuple[Reading, ...] = OLD) -> Tank:
    tank = tank_of(readings)
    poured = WaterChange(at=START + timedelta(days=day, hours=2), fraction=0.5)
    return replace(tank, events=(*tank.events, poured))


def test_what_was_read_since_is_taken_in_as_the_next_forecast_takes_it(
    first: CarriedTank, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "members_of_log", anew)
    ours = stood(tank_of(NEW), first, seed=_SEED)
    forecast = kept(update(NEW, first).replacement())
    assert ours.kept is not None
    np.testing.assert_array_equal(ours.kept.z, forecast.kept.z)
    assert ours.standing.read == len(NEW)


def test_where_nothing_was_read_since_every_member_stays_as_it_is(
    first: CarriedTank, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "members_of_log", anew)
    for seed in (1, 2):
        again = stood(tank_of(OLD), first, seed=seed)
        assert again.kept is not None
        np.testing.assert_array_equal(np.sort(again.kept.z), np.sort(first.kept.z))
        assert again.standing.today == NEW[-1].at.day - START.day
        assert again.standing.state.amounts.shape[-1] == MEMBERS


def test_a_change_since_the_last_reading_counts_and_one_before_it_begins_anew(
    first: CarriedTank, monkeypatch: pytest.MonkeyPatch
) -> None:
    def unoxidised(tank: Tank) -> float:
        made = stood(tank, first).standing.state
        return float(np.mean(np.asarray(made.amounts)[:2].sum(axis=0)))

    assert unoxidised(changed(13)) < 0.75 * unoxidised(tank_of(OLD))
    fitted = []
    really = module.members_of_log
    monkeypatch.setattr(
        module, "members_of_log", lambda *told: fitted.append(told) or really(*told)
    )
    stood(changed(9), first)
    assert fitted


class Judged(Exception):
    """The verdict is there; the steps would take long."""


def test_today_goes_on_from_the_forecasts_members(
    first: CarriedTank, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "members_of_log", anew)

    def judged(day: Today) -> None:
        raise Judged(day)

    with pytest.raises(Judged) as found:
        today(tank_of(OLD), as_of=NOW, now=NOW, before=first.kept, early=judged)
    told: Today = found.value.args[0]
    assert told.diagnostics.readings_used == len(OLD)
    assert told.diagnostics.members == MEMBERS
    assert told.diagnostics.effective_members == pytest.approx(first.kept.effective)
