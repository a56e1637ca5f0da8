"""What members' water did so far, kept so that a new reading need not run it again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from watervane.process.run import Course, chosen_state
from watervane.process.state import TankState
from watervane.process.timeline import Timeline

Single = np.float32  # half the room; a forecast is printed with fewer digits


def cut(course: Course, line: Timeline, day: int) -> Course:
    """The days of a course before a day, in half the room.

    Parameters
    ----------
    course
        From any day on.
    line
        The tank.
    day
        First day left out.
    """
    begin = line.calendar.bounds_d(day)[0]
    kept = course.stops_d < begin - 1e-9
    return Course(
        course.stops_d[kept],
        course.outputs[:, kept].astype(Single),
        course.daily_means[: day - course.first_day].astype(Single),
        course.first_day,
        _nobody(course),
        {at: state for at, state in course.checkpoints.items() if at < day},
    )


def chosen_course(course: Course, index: NDArray[np.int64]) -> Course:
    """The course of some members, repeats allowed."""
    return replace(
        course,
        outputs=course.outputs[..., index],
        daily_means=course.daily_means[..., index],
        final=chosen_state(course.final, index) if _has_final(course) else course.final,
        checkpoints={day: chosen_state(s, index) for day, s in course.checkpoints.items()},
    )


def one_after_another(parts: Sequence[Course], kind: type[np.floating] = np.float64) -> Course:
    """Courses of the same members, each going on where the one before ends.

    Parameters
    ----------
    parts
        In order of time.
    kind
        Of the numbers.
    """
    checkpoints = {day: state for part in parts for day, state in part.checkpoints.items()}
    return Course(
        np.concatenate([part.stops_d for part in parts]),
        np.concatenate([part.outputs for part in parts], axis=1).astype(kind, copy=False),
        np.concatenate([part.daily_means for part in parts], axis=0).astype(kind, copy=False),
        parts[0].first_day,
        parts[-1].final,
        checkpoints,
    )


def _nobody(course: Course) -> TankState:
    """No state: what is cut off has none."""
    return TankState(*(np.zeros(0) for _ in course.final))


def _has_final(course: Course) -> bool:
    return bool(np.size(course.final.volume_ratio))
