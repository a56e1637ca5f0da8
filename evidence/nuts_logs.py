"""The logs on which the sampler is held against NUTS, and when a draw's milestones are."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime

import numpy as np
from validation.kept_logs import kept_logs

from evidence.keeping import PACKAGE, ROOT
from watervane.engine.daily import Days, daily_readings, days_of
from watervane.engine.feeding import with_assumed_food
from watervane.engine.known import as_known, usable_readings
from watervane.engine.outlook import needs_trial
from watervane.exchange import read_tank_file
from watervane.forecast.milestones import peak_days, settled_days
from watervane.forecast.trial import candidate_days, trial_days
from watervane.inference.tank_target import TankTarget
from watervane.inference.target import Floats
from watervane.process.calendar import Calendar
from watervane.process.run import Course, Members, initial_state, simulate
from watervane.process.timeline import Timeline, timeline
from watervane.records import Reading, SettledLevels, Span, Tank

NOW = datetime(2030, 1, 1, tzinfo=UTC)  # every log lies behind; plans in them are none
HORIZON_DAYS = 90  # from filling
LOOK_AHEAD_DAYS = 7  # *settled* looks a week ahead
LOT = 1000  # members run at a time
FOOD_G_PER_L = 0.002  # of a normal day, where a log was not fed and does not tell; invented
DATES = ("ammonia peak", "nitrite peak", "settled")
HEIGHTS = ("height of the ammonia peak", "height of the nitrite peak")
DEMO = PACKAGE / "cli" / "demo_data" / "reading-room.tank.toml"
SHELF = ROOT / "examples" / "fishless-shelf.tank.toml"


@dataclass(frozen=True)
class Log:
    """A log, cut off at a moment.

    Parameters
    ----------
    told
        What it is.
    tank
        Reads it.
    until_d
        Later readings are left out. [d]
    """

    told: str
    tank: Callable[[], Tank]
    until_d: float


def _kept(name: str) -> Callable[[], Tank]:
    return lambda: next(log.tank for log in kept_logs() if log.name == name)


LOGS: Mapping[str, Log] = {
    "k04": Log("kept log k04, to day 7", _kept("k04"), 7.9),
    "shelf": Log("invented tank without animals, day 11", lambda: read_tank_file(SHELF), 11.0),
    "room": Log("invented tank with fish in, day 12", lambda: read_tank_file(DEMO), 12.5),
    "k01": Log("kept log k01, to day 13", _kept("k01"), 13.0),
}


@dataclass(frozen=True)
class Frozen:
    """The readings and the tank that both samplers are given.

    Parameters
    ----------
    line, readings
        See `fit_members`.
    target
        Of them.
    """

    line: Timeline
    readings: tuple[Reading, ...]
    target: TankTarget


def frozen(log: Log) -> Frozen:
    """Read a log up to its moment."""
    tank = log.tank()
    calendar = Calendar(tank.filled, tank.time_zone)
    as_of = calendar.moment(log.until_d)
    known, _ = with_assumed_food(as_known(tank, as_of, NOW), as_of, calendar)
    readings = usable_readings(known, calendar)
    line = timeline(known, HORIZON_DAYS + LOOK_AHEAD_DAYS)
    if known.normal_food_g_per_d is None:
        grams = FOOD_G_PER_L * line.geometry["volume_l"]
        line = replace(line, tank=replace(known, normal_food_g_per_d=Span(grams, grams)))
    return Frozen(line, tuple(readings), TankTarget(line, readings, 1, 1))


def milestones(data: Frozen, log: Log, z: Floats, first_number: int) -> dict[str, Floats]:
    """Days and heights of the milestones of draws, shape (draws,) each.

    Parameters
    ----------
    data, log
        The log.
    z
        Shape (unknowns, draws).
    first_number
        Of the draws: the future differs from number to number.

    Returns
    -------
    dict
        Days are numbers of local days; a milestone not reached by the horizon counts as the
        horizon.
    """
    lots = [
        _lot(data, log, z[:, begin : begin + LOT], first_number + begin)
        for begin in range(0, z.shape[1], LOT)
    ]
    return {name: np.concatenate([lot[name] for lot in lots]) for name in lots[0]}


def _lot(data: Frozen, log: Log, z: Floats, first_number: int) -> dict[str, Floats]:
    line, last = data.line, HORIZON_DAYS + LOOK_AHEAD_DAYS
    members = replace(data.target.members(z), numbers=first_number + np.arange(z.shape[1]))
    days = days_of(line, last)
    tried = candidate_days(0, HORIZON_DAYS) if needs_trial(line, log.until_d) else []
    course = simulate(
        line,
        members,
        initial_state(line, members),
        (0, last),
        stops_d=sorted({float(d) for d in days.read_d}),
        checkpoint_days=tried,
        threads=1,
    )
    found = {}
    for species, name in enumerate(DATES[:2]):
        day, found[HEIGHTS[species]] = peak_days(course.daily_means[:HORIZON_DAYS, species])
        found[name] = np.minimum(day, HORIZON_DAYS)
    settled = _settled(line, members, course, days, trial=bool(tried))
    return {**found, "settled": np.minimum(settled, HORIZON_DAYS)}


def _settled(
    line: Timeline, members: Members, course: Course, days: Days, *, trial: bool
) -> Floats:
    read, levels = daily_readings(course, days), SettledLevels()
    food = line.tank.normal_food_g_per_d
    if not trial or food is None:
        day: Floats = settled_days(read, levels).day
        return day
    over = ~read.low(levels)
    before = np.zeros_like(over)
    before[1:] = np.cumsum(over[:-1], axis=0) > 0
    return trial_days(line, members, course, before, food, levels, 1)
