"""What kills the colonies besides age: poison in the water, a filter that stands still."""

from __future__ import annotations

from datetime import UTC, date, datetime

import numpy as np
import pytest

from watervane.process.day_grid import USUAL
from watervane.process.rates.conditions import Conditions
from watervane.process.rates.nitrifiers import (
    GUILDS,
    HABITATS,
    ColonyPace,
    ColonySite,
    colony_rates,
)
from watervane.process.state import COMPONENTS
from watervane.process.timeline import STANDSTILL_GRACE_D, Timeline, timeline
from watervane.records import Outage, Tank
from watervane.reference import value

ONE = np.ones(1)
SITE = ColonySite(dict.fromkeys(HABITATS, ONE), dict.fromkeys(HABITATS, 0.0 * ONE), 0.0 * ONE)
PACE = ColonyPace(0.8 * ONE, 0.05 * ONE, 0.0 * ONE)
THETA = {
    "ammonia_oxidiser_half_saturation": ONE,
    "nitrite_oxidiser_half_saturation": ONE,
    "filter_standstill_loss_per_d": 0.24 * ONE,
    "chlorine_kill_l_per_mg_d": 7.2 * ONE,
}


def losses(guild: str, *, running: float = 1.0, stale: float = 0.0, **water: float) -> list[float]:
    """Loss of one milligram a litre in each habitat. [1/d]"""
    held = {name: np.zeros(1) for name in COMPONENTS}
    held |= {f"{guild}_oxidisers_{habitat}": ONE for habitat in HABITATS}
    held |= {name: level * ONE for name, level in water.items()}
    at = Conditions(held, held, ONE, *(ONE for _ in Conditions._fields[3:]))
    forcing = {"filter_running": running * ONE, "filter_stale": stale * ONE}
    rates, _ = colony_rates(guild, at, THETA, SITE, PACE, ONE, forcing)
    return [float(rates[f"loss_of_{guild}_oxidisers_{habitat}"][0]) for habitat in HABITATS]


@pytest.mark.parametrize("guild", GUILDS)
def test_chloramine_kills_at_the_tables_share_of_free_chlorine(guild: str) -> None:
    age = losses(guild)
    free, bound = losses(guild, chlorine=1.5), losses(guild, chloramine=1.5)
    for habitat in range(len(HABITATS)):
        by_chlorine = free[habitat] - age[habitat]
        assert by_chlorine == pytest.approx(1.5 * 7.2)
        told = value("chloramine_kill_ratio").value
        assert bound[habitat] - age[habitat] == pytest.approx(told * by_chlorine)


@pytest.mark.parametrize("guild", GUILDS)
def test_only_a_filter_past_its_grace_loses_colony_for_want_of_flow(guild: str) -> None:
    usual, stopped = losses(guild), losses(guild, running=0.0)
    stale = losses(guild, running=0.0, stale=1.0)
    assert stopped == usual
    filter_at = HABITATS.index("filter")
    assert stale[filter_at] - usual[filter_at] == pytest.approx(0.24)
    assert [x for i, x in enumerate(stale) if i != filter_at] == [
        x for i, x in enumerate(usual) if i != filter_at
    ]


def at(day: int, hour: int = 0) -> datetime:
    return datetime(2026, 3, day, hour, tzinfo=UTC)


def stale_hours(*outages: Outage) -> float:
    """Hours the filter counts as stale over the days of a tank."""
    line: Timeline = timeline(
        Tank(name="A", filled=date(2026, 3, 1), volume_l=60.0, events=outages), 5
    )
    total = 0.0
    for day in range(5):
        rows, _ = line.day_rows(day, USUAL["sampling"])
        total += float((rows["filter_stale"] * rows["step_d"]).sum()) * 24.0
    return total


GRACE_H = 24.0 * STANDSTILL_GRACE_D


def test_the_grace_comes_from_the_table() -> None:
    assert pytest.approx(value("no_flow_grace_h").value) == GRACE_H


@pytest.mark.parametrize("hours", [1.0, GRACE_H, GRACE_H + 2.5, 40.0])
@pytest.mark.parametrize("what", ["all", "filter"])
def test_the_filter_is_stale_for_what_an_outage_lasts_beyond_the_grace(
    hours: float, what: str
) -> None:
    outage = Outage(at=at(2, 3), hours=hours, what=what)
    assert stale_hours(outage) == pytest.approx(max(0.0, hours - GRACE_H), abs=1e-6)


def test_outages_that_touch_are_one_and_others_each_begin_anew() -> None:
    first = Outage(at=at(2, 3), hours=4.0)
    assert stale_hours(first, Outage(at=at(2, 7), hours=4.0)) == pytest.approx(8.0 - GRACE_H)
    assert stale_hours(first, Outage(at=at(2, 5), hours=6.0, what="filter")) == pytest.approx(
        8.0 - GRACE_H
    )
    assert stale_hours(first, Outage(at=at(2, 9), hours=4.0)) == 0.0


@pytest.mark.parametrize("what", ["heater", "air", "light"])
def test_other_machines_leave_the_filter_alone(what: str) -> None:
    assert stale_hours(Outage(at=at(2), hours=48.0, what=what)) == 0.0
