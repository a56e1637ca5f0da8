"""How a way to start went, member by member: when, at what price to animals, with what work."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from watervane.engine.daily import daily_readings, reading_stops
from watervane.engine.tended import Tended
from watervane.forecast.capacity import capacity_mg_n_per_l_d, ready_days
from watervane.forecast.harm import course_water
from watervane.forecast.milestones import FED_DAYS_TO_JUDGE
from watervane.forecast.trial import trial_days
from watervane.limits import Limit, judge
from watervane.planning.ways_to_start import MINUTES, MINUTES_PER_L_CHANGED
from watervane.process.run import Course, Members
from watervane.process.state import COLUMN, TankState
from watervane.process.timeline import NITROGEN_PER_PROTEIN, Timeline
from watervane.records import SettledLevels, Span
from watervane.reference import value

Numbers = NDArray[np.float64]
JUDGED = ("ammonia", "nitrite")
HARMFUL = ("acute", "chronic")
NITRATE_TO_START_WITH = value("limit_nitrate_comfort").value
MOST_OF_A_CHANGE = 0.9


@dataclass(frozen=True)
class Meals:
    """The daily food a tank is meant to carry.

    Parameters
    ----------
    grams
        [g/d]
    protein
        Share.
    """

    grams: Span
    protein: float

    def load_mg_n_per_l_d(self, volume_l: float) -> float:
        """Its nitrogen."""
        return 1000.0 * self.grams.centre * self.protein * NITROGEN_PER_PROTEIN / volume_l


@dataclass(frozen=True)
class Work:
    """What there was to do, by member.

    Parameters
    ----------
    minutes, tasks, changed_l
        Shape (members,).
    """

    minutes: Numbers
    tasks: Numbers
    changed_l: Numbers


def capacities(
    ran: Tended, members: Members, levels: SettledLevels, guild: str
) -> tuple[Numbers, Numbers]:
    """What a guild turns over each day at its level, and its colony; shape (days, members)."""
    at = _stops(ran)
    course = ran.course
    able = capacity_mg_n_per_l_d(course, at, members.parameters, guild, levels.of(guild))
    return able, course.output(f"{guild}_oxidisers_mg_per_l")[at]


def able_and_ready(
    ran: Tended, members: Members, levels: SettledLevels, load_mg_n_per_l_d: float
) -> tuple[NDArray[np.bool_], Numbers]:
    """Whether the colonies turn the load over, by day; and days until they do with margin."""
    ammonia, _ = capacities(ran, members, levels, "ammonia")
    nitrite, _ = capacities(ran, members, levels, "nitrite")
    nitrite = nitrite + ammonia * members.parameters["complete_oxidation_share"]
    able = np.minimum(ammonia, nitrite) >= load_mg_n_per_l_d
    return able, ready_days(ammonia, nitrite, load_mg_n_per_l_d)


def settled_after(
    line: Timeline,
    members: Members,
    runs: Sequence[Tended],
    ables: Sequence[NDArray[np.bool_]],
    meals: Meals,
    levels: SettledLevels,
) -> list[Numbers]:
    """Days until a week with the whole normal food stays low, tried from each checkpoint.

    A low week proves something only after days on which a level was exceeded, the colonies could
    turn the food over, or a fortnight of meals was over.

    Parameters
    ----------
    line
        What is planned in any case, one for all runs.
    members
        Of each run.
    runs, ables
        How they went, and whether the colonies turn the load over by day, see `able_and_ready`.
    meals, levels
        What is fed, and what counts as settled.

    Returns
    -------
    list of array, shape (members,)
        From the start; infinite where no day passes.
    """
    first = runs[0].course.first_day
    asked = np.concatenate(
        [_worth_trying(ran, able, levels) for ran, able in zip(runs, ables, strict=True)], axis=1
    )
    everyone = np.tile(np.arange(len(members)), len(runs))
    found = trial_days(line, members.chosen(everyone), _beside(runs), asked, meals.grams, levels, 1)
    return [np.asarray(each - first) for each in np.split(found, len(runs))]


def _worth_trying(ran: Tended, able: NDArray[np.bool_], levels: SettledLevels) -> NDArray[np.bool_]:
    """Whether a low week from a day on would prove something, by day since filling."""
    first = ran.course.first_day
    read = daily_readings(ran.course, ran.days)
    fed = np.cumsum(read.meals > 0) >= FED_DAYS_TO_JUDGE
    proof = ~read.low(levels) | able | fed[:, None]
    asked = np.zeros((first + len(proof), proof.shape[1]), dtype=bool)
    asked[first + 1 :] = np.cumsum(proof[:-1], axis=0) > 0
    return asked


def _beside(runs: Sequence[Tended]) -> Course:
    """The checkpoints of several runs as those of one."""
    one = runs[0].course
    kept = {
        day: TankState(
            *(
                np.concatenate(parts, axis=-1)
                for parts in zip(*(ran.course.checkpoints[day] for ran in runs), strict=True)
            )
        )
        for day in one.checkpoints
    }
    return Course(
        one.stops_d, one.outputs[:, :0], one.daily_means[:0], one.first_day, one.final, kept
    )


def animal_hours(
    line: Timeline, ran: Tended, limits: tuple[Limit, ...], until_d: float
) -> Mapping[str, tuple[Numbers, Numbers]]:
    """Hours of all animals together above limits of ammonia or nitrite, by tier.

    Parameters
    ----------
    line, ran
        The tank and how it went.
    limits
        Of the animals that are there.
    until_d
        Hours after this moment are not counted. [d]

    Returns
    -------
    dict
        Hours, and whether there are any; shape (members,) each.
    """
    course = ran.course
    count = course.outputs.shape[-1]
    animals = np.array(
        [line.animals_at(at_d) if at_d < until_d else 0 for at_d in course.stops_d], dtype=float
    )
    there = animals > 0
    hours = dict.fromkeys(HARMFUL, np.zeros(count))
    if there.any() and limits:
        from_stop = int(there.argmax())
        stops = slice(from_stop, None)
        water = course_water(course, float(line.geometry["pressure_atm"]), stops)
        times = course.stops_d[stops]
        lasts = 24.0 * np.diff(times, append=ran.days.end_d[-1]) * animals[stops]
        passed: dict[str, NDArray[np.bool_]] = {}
        for (tier, subject), judged in judge(limits, water, times).items():
            if tier in HARMFUL and subject in JUDGED:
                passed[tier] = passed.get(tier, np.zeros(judged.passed.shape, bool)) | judged.passed
        hours |= {tier: (lasts[:, None] * over).sum(axis=0) for tier, over in passed.items()}
    return {tier: (found, (found > 0.0).astype(float)) for tier, found in hours.items()}


def work_until(ran: Tended, settled: Numbers, volume_l: float) -> Work:
    """What there is to do until a tank is settled; all of it where it never is."""
    minutes, tasks, litres = (np.zeros(len(settled)) for _ in range(3))
    for day, task in ran.tasks:
        if task.kind not in MINUTES:
            continue
        doing = task.who & (day < settled)
        share = task.amount if task.kind == "change" else np.zeros(len(settled))
        changed = np.where(doing, share * volume_l, 0.0)
        minutes += MINUTES[task.kind] * doing + MINUTES_PER_L_CHANGED * changed
        tasks += doing
        litres += changed
    return Work(minutes, tasks, litres)


def with_last_change(work: Work, ran: Tended, settled: Numbers, members: Members, v: float) -> Work:
    """The same with the change that takes the nitrate of the doses out before animals come.

    By dilution: the share that leads from the nitrate there is to a level sensitive animals
    bear for long. Where the source water is no better, nothing is gained by it.
    """
    nitrate = np.zeros(len(settled))
    for day, state in ran.course.checkpoints.items():
        here = settled == day - ran.course.first_day
        nitrate[here] = (state.amounts[COLUMN["nitrate"], 0] / state.volume_ratio[0])[here]
    above = nitrate - members.source[COLUMN["nitrate"]]
    excess = np.maximum(nitrate - NITRATE_TO_START_WITH, 0.0)
    share = np.where(above > excess, excess / np.maximum(above, 1e-9), 0.0)
    share = np.minimum(np.where(np.isfinite(settled), share, 0.0), MOST_OF_A_CHANGE)
    any_change = share > 0.0
    litres = share * v
    minutes = MINUTES["change"] * any_change + MINUTES_PER_L_CHANGED * litres
    return Work(work.minutes + minutes, work.tasks + any_change, work.changed_l + litres)


def _stops(ran: Tended) -> NDArray[np.int64]:
    """Stop of each day's reading."""
    return reading_stops(ran.course, ran.days)
