"""A log of two hundred days: begun at an anchor it tells what the whole of it tells."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from test_carried_tank import START, STEPS, reading, tank_of

from watervane.engine.composed import Made
from watervane.engine.foretell import made
from watervane.engine.futures import stand
from watervane.engine.update import Update
from watervane.inference.history import Spacing
from watervane.inference.priors import prior_members
from watervane.process.run import initial_state, simulate
from watervane.process.timeline import timeline
from watervane.records import Habit, Reading, Tank, WaterChange

LAST, MEMBERS = 200, 500
IN_ONE_PIECE = Spacing(age_d=10_000)


def long_tank() -> Tank:
    """Read often while it starts, then every ten days; a fifth changed every week."""
    changes = Habit(
        template=WaterChange(at=START, fraction=0.2),
        every_days=7,
        start=(START + timedelta(days=10)).date(),
    )
    blank = tank_of(())
    blank = replace(blank, habits=(*blank.habits, changes))
    line = timeline(blank, LAST + 1)
    truth = prior_members(blank, np.array([33]), 4)
    days = [*range(4, 45, 4), *range(50, LAST + 1, 10)]
    moments = [line.calendar.days(START + timedelta(days=day)) for day in days]
    course = simulate(line, truth, initial_state(line, truth), (0, LAST + 1), stops_d=moments)
    told: list[Reading] = []
    for i, day in enumerate(days):
        for quantity in ("ammonia", "nitrite"):
            level = float(course.output(f"{quantity}_mg_n_per_l")[i, 0])
            told.append(reading(day, min(STEPS, key=lambda s: abs(s - level)), quantity))
    return replace(blank, readings=tuple(told))


def looked_at(one: Made) -> dict[str, np.ndarray]:
    """What members say of the last day, of the peaks and of when they were settled."""
    assert one.settled_d is not None
    course = one.course
    last = int(np.abs(course.stops_d - LAST).argmin())
    names = ("nitrate_mg_n_per_l", "ammonia_oxidisers_mg_per_l", "nitrite_oxidisers_mg_per_l",
             "ph", "alkalinity_meq_per_l")  # fmt: skip
    peaks = course.daily_means[:LAST].max(axis=0)
    return {
        **{name: course.output(name)[last] for name in names},
        "ammonia peak": peaks[0],
        "nitrite peak": peaks[1],
        "settled": np.minimum(one.settled_d, float(LAST)),
    }


@pytest.mark.slow
def test_anchored_and_full_runs_of_two_hundred_days_agree() -> None:
    tank = long_tank()
    whole = Update(
        tank, horizon_days=10, members=MEMBERS, seed=1, accuracy="sampling", spacing=IN_ONE_PIECE
    )
    full = whole.replacement().made
    news = Update(tank, horizon_days=10, members=MEMBERS, seed=2, accuracy="sampling")
    carrying = news.replacement()
    one = carrying.made
    assert carrying.tank is not None
    assert carrying.tank.kept.anchor is not None
    assert carrying.tank.kept.anchor.day == 84
    effective = [full.fitted.effective, one.fitted.effective]
    effective[1] = min(effective[1], carrying.tank.kept.anchor.effective)
    error = np.sqrt(sum(1.0 / each for each in effective))
    print("effective", effective, "error", error)
    theirs = looked_at(full)
    for name, values in looked_at(one).items():
        other = theirs[name]
        apart = abs(float(values.mean() - other.mean())) / float(other.std())
        wider = float(values.std() / other.std())
        print(name, round(apart, 3), round(wider, 3))
        # Four Monte Carlo errors of the mean, and of the spread, whose own error is smaller.
        assert apart < 4.0 * error, name
        assert abs(np.log(wider)) < 4.0 * error, name


def late_tank() -> Tank:
    """Two years old, and read for the last ten weeks only."""
    young = long_tank()
    earlier = timedelta(days=2 * 365)
    filled = young.filled - earlier
    habits = tuple(replace(h, start=None if h.start is None else h.start - earlier)
                   for h in young.habits)  # fmt: skip
    events = tuple(replace(e, at=e.at - earlier) for e in young.events)
    last = START + timedelta(days=LAST - 70)
    told = tuple(r for r in young.readings if r.at > last)
    return replace(young, filled=filled, habits=habits, events=events, readings=told)


@pytest.mark.slow
def test_a_tank_read_late_in_life_is_not_run_from_filling_at_every_sweep() -> None:
    tank = late_tank()
    one = stand(tank, members=MEMBERS, seed=3, threads=2)
    assert one.begun.anchor is not None
    assert one.begun.anchor.readings == 0
    assert one.begun.first_day == one.begun.anchor.day > 600
    assert one.readings == tuple(sorted(tank.readings, key=lambda r: r.at))
    how = one.how_made(0.0)
    assert how.readings_used == len(tank.readings)
    assert "history-anchored" in [finding.key for finding in how.findings]
    told = made(tank, horizon_days=3, members=MEMBERS, seed=3, accuracy="sampling")
    assert told.start is not None
    assert told.start.day == one.begun.first_day
    assert len(told.course.daily_means) > one.today
