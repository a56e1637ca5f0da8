"""What is kept of a tank between two forecasts, and where to go on from after an edit."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from watervane.engine.composed import Made, Ready
from watervane.engine.kept_course import Single, cut, one_after_another
from watervane.inference.anchors import Anchor
from watervane.inference.carrying import Carried, ChangedPastError
from watervane.inference.history import Stretch
from watervane.process.run import Course
from watervane.process.timeline import Timeline
from watervane.records import Reading

EARLIER_D = (0, 7, 28)  # how far back earlier members are kept, to go back to after an edit


@dataclass(frozen=True)
class CarriedTank:
    """What is kept of a tank between two forecasts.

    Parameters
    ----------
    kept
        Members that agree with all readings so far.
    earlier
        The same some time before, oldest first.
    anchors
        Set on the way, oldest first.
    old
        What the water did from filling to the anchor that inference begins at, if any: one
        course a member, of members as they were then.
    past
        What it did from there to the day of the last reading; ``None`` where it must be run.
    seed
        Of the first forecast.
    count
        Forecasts so far.
    """

    kept: Carried
    earlier: tuple[Carried, ...]
    anchors: tuple[Anchor, ...]
    old: Course | None
    past: Course | None
    seed: int
    count: int


class Carrying:
    """A forecast, and what is kept for the next one.

    Parameters
    ----------
    made
        The forecast.
    keep
        Makes what is kept, once it is asked for.
    """

    def __init__(self, made: Made, keep: Callable[[], CarriedTank | None]) -> None:
        self.made, self._keep = made, keep

    @cached_property
    def tank(self) -> CarriedTank | None:
        """What is kept; ``None`` as long as nothing was read."""
        return self._keep()


def last_that_holds(
    before: CarriedTank, line: Timeline, readings: Sequence[Reading]
) -> CarriedTank | None:
    """The tank as it was when last its log was what it is now; ``None`` where it never was.

    Parameters
    ----------
    before
        As it was at the last forecast.
    line, readings
        As they are now.
    """
    for kept in (before.kept, *reversed(before.earlier)):
        if kept.first_day != before.kept.first_day:
            continue  # what is known of the days before would not fit
        try:
            kept.used(line, readings)
        except ChangedPastError:
            continue
        if kept is before.kept:
            return before
        earlier = tuple(one for one in before.earlier if one.until_d < kept.until_d)
        return replace(before, kept=kept, earlier=earlier, past=None)
    return None


def old_until(before: CarriedTank, line: Timeline, anchor: Anchor) -> Course | None:
    """What the water did from filling to an anchor, as far as it was kept."""
    parts = [each for each in (before.old, before.past) if each is not None]
    if sum(len(each.daily_means) for each in parts) < anchor.day:
        return None
    return cut(one_after_another(parts, Single), line, anchor.day)


def old_course(
    old: Course | None,
    stretches: Sequence[Stretch],
    ready: Ready,
    accuracy: str,
    moments: Sequence[float] = (),
) -> Course | None:
    """The same, and what older members tell of the days after, read once a day.

    Parameters
    ----------
    old
        From filling to the first of the stretches.
    stretches
        In order of time.
    ready
        The tank.
    accuracy
        See `watervane.process.run`.
    moments
        Read besides. [d]
    """
    parts = [] if old is None else [old]
    for stretch in stretches:
        end = stretch.anchor.day
        stops = ready.days.stops(stretch.first_day, end, end)
        begin_d, end_d = (ready.calendar.bounds_d(day)[0] for day in (stretch.first_day, end))
        also = [at for at in moments if begin_d <= at < end_d]
        stops = sorted({*stops, *also})
        course = stretch.course(ready.line, stops, accuracy, ready.scope.threads)
        parts.append(cut(course, ready.line, end))
    return one_after_another(parts, Single) if parts else None


def thinned(before: Sequence[Carried], kept: Carried) -> tuple[Carried, ...]:
    """The latest of some members, and the latest of those older than some days."""
    places = set()
    for days in EARLIER_D:
        places.update(
            [i for i, one in enumerate(before) if one.until_d <= kept.until_d - days][-1:]
        )
    return tuple(before[i] for i in sorted(places))
