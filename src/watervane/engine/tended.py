"""Members run day by day under a keeper who tests, and acts on what the tests show."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from watervane.engine.daily import Days, days_of
from watervane.engine.futures import looks
from watervane.engine.kept_course import chosen_course, one_after_another
from watervane.planning.start_rules import Look, Rule, Task
from watervane.process.daily_noise import DailyNoise
from watervane.process.noise import keyed_normal
from watervane.process.run import Course, Members, chosen_state, simulate
from watervane.process.source_water import MEQ_PER_DKH
from watervane.process.state import COLUMN, TankState
from watervane.process.tending import after_deeds
from watervane.process.timeline import Timeline
from watervane.reference import value

Numbers = NDArray[np.float64]
LOOKS_PER_DAY = 6
TEST_LOG_SD = value("drop_relative_error").value


@dataclass(frozen=True)
class Tended:
    """What the keeper did, and what the water did.

    Parameters
    ----------
    course
        With a checkpoint of each day asked for, before anything was done on it.
    days
        The local days of the run.
    tasks
        By days since the start.
    """

    course: Course
    days: Days
    tasks: tuple[tuple[int, Task], ...]


def tended(
    line: Timeline,
    members: Members,
    state: TankState,
    span: tuple[int, int],
    rules: Sequence[Rule],
    checkpoint_days: Collection[int] = (),
) -> Tended:
    """Run members through some days; at the turn to each the keeper tests and acts.

    Parameters
    ----------
    line
        What is planned in any case.
    members, state
        At the start of the first day.
    span
        First day, and the day after the last.
    rules
        Followed in this order, all on the same readings.
    checkpoint_days
        Days at whose start the state is kept, before anything is done.
    """
    (one,) = tended_side_by_side(line, members, state, span, [rules], checkpoint_days)
    return one


def tended_side_by_side(
    line: Timeline,
    members: Members,
    state: TankState,
    span: tuple[int, int],
    keepers: Sequence[Sequence[Rule]],
    checkpoint_days: Collection[int] = (),
) -> list[Tended]:
    """The same under several keepers whose plans are one: they share the rows of each day.

    Parameters
    ----------
    line, members, state, span, checkpoint_days
        See `tended`.
    keepers
        The rules of each.
    """
    days = days_of(line, span[1])
    lanes = [np.arange(len(members)) + k * len(members) for k in range(len(keepers))]
    everyone = np.tile(np.arange(len(members)), len(keepers))
    wide, state = members.chosen(everyone), chosen_state(state, everyone)
    noise = DailyNoise(wide.seed, wide.numbers, wide.told, span[1])
    tasks: list[list[tuple[int, Task]]] = [[] for _ in keepers]
    parts, kept = [], {}
    for day in range(*span):
        if day in checkpoint_days:
            kept[day] = state
        look, deeds = _look(wide, state, day, day - span[0]), []
        for rules, own, log in zip(keepers, lanes, tasks, strict=True):
            seen = look.of_members(own)
            today = [task for rule in rules for task in rule.tasks(seen)]
            log += [(look.day, task) for task in today if task.who.any()]
            deeds += [task.deed.among(own, len(everyone)) for task in today if task.deed]
        state = after_deeds(wide, state, day, noise, deeds)
        stops = sorted({*looks(line.calendar, (day, day + 1), LOOKS_PER_DAY), days.read_d[day]})
        part = simulate(line, wide, state, (day, day + 1), stops_d=stops, threads=1)
        parts.append(part)
        state = part.final
    course = one_after_another(parts)
    course.checkpoints.update(kept)
    since = _since(days, span[0])
    return [
        Tended(chosen_course(course, own), since, tuple(log))
        for own, log in zip(lanes, tasks, strict=True)
    ]


def _since(days: Days, first: int) -> Days:
    """The days from one on."""
    return Days(*(getattr(days, name)[first:] for name in Days.__dataclass_fields__))


def _look(members: Members, state: TankState, day: int, since: int) -> Look:
    """Tests read at the turn of a day, each with its error."""
    ammonia, nitrite, alkalinity = (
        as_read(members, state, day, name, f"start test of {name}")
        for name in ("ammonia", "nitrite", "alkalinity")
    )
    return Look(since, ammonia, nitrite, alkalinity / MEQ_PER_DKH)


def as_read(members: Members, state: TankState, day: int, name: str, stream: str) -> Numbers:
    """What a drop kit shows of a component at the turn of a day, in its unit, shape (members,).

    Parameters
    ----------
    members, state
        Whose water is read.
    day
        Whose luck holds.
    name
        Of the component.
    stream
        Of that luck.
    """
    amount = state.amounts[COLUMN[name], 0] / state.volume_ratio[0]
    luck = keyed_normal(members.seed, members.numbers, day, stream)
    return np.asarray(np.maximum(np.asarray(amount), 0.0) * np.exp(TEST_LOG_SD * luck))
