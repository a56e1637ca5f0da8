"""Long histories: anchors are set as a log grows, and inference begins at one of them.

An anchor is set at the start of every sixth week, of members that know nothing of later
readings. Once it is old enough, members that were carried past it begin there: what they know
of the days before is what the anchor knows. A long log that is fitted anew is fitted in
stretches from anchor to anchor. Days before anything was read are run once, up to an anchor
just before the first reading.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from watervane.inference.anchored_target import since, target_of
from watervane.inference.anchors import (
    ANCHOR_AGE_D,
    ANCHOR_EVERY_D,
    Anchor,
    anchored,
    drift_walk,
    past_digest,
)
from watervane.inference.carrying import Carried, carried, members_of
from watervane.inference.fitting import QUICK, THOROUGH, Fitted, fit_members
from watervane.inference.priors import UNKNOWNS, prior_whitened
from watervane.inference.tempered import Effort
from watervane.process.run import Course, Members, initial_state, simulate
from watervane.process.state import TankState
from watervane.process.timeline import Timeline
from watervane.records import Reading

_FLEETING = re.compile(r"(food|luck|change|death|ammonia drift|nitrite drift|anchor) \d+")
_NEXT = 7919  # from a stretch's seed to the next one's


@dataclass(frozen=True)
class Spacing:
    """How far apart anchors are, and how old one is when inference begins there.

    Parameters
    ----------
    every_d
        Whole weeks. [d]
    age_d
        [d]
    """

    every_d: int = ANCHOR_EVERY_D
    age_d: int = ANCHOR_AGE_D

    def ahead(self, last_day: int, first: int) -> int | None:
        """Day on which inference should begin, if it begins on a first day too long ago."""
        if last_day - first < self.age_d + self.every_d:
            return None
        wanted = (last_day - self.age_d) // self.every_d * self.every_d
        longest = (first + self.age_d + self.every_d - 1) // self.every_d * self.every_d
        return min(wanted, longest) if wanted > first else None

    def unread(self, first_day: int) -> int | None:
        """Day of the anchor before which nothing was read, where that is long enough to matter.

        Parameters
        ----------
        first_day
            Of the first reading.
        """
        day = first_day // self.every_d * self.every_d
        return day if day >= self.age_d + self.every_d else None

    def crossed(self, first_day: int, last_day: int) -> list[int]:
        """Days of anchors after a day, up to another one."""
        every = self.every_d
        return list(range((first_day // every + 1) * every, last_day + 1, every))


SPACING = Spacing()


def is_long(line: Timeline, readings: Sequence[Reading], spacing: Spacing = SPACING) -> bool:
    """Whether a log is fitted in stretches, or begins so late that days before are only run once.

    Parameters
    ----------
    line, readings, spacing
        See `fit_history`.
    """
    return bool(readings) and spacing.ahead(line_day(line, readings[-1]), 0) is not None


@dataclass(frozen=True)
class Stretch:
    """Members that tell of the days between an anchor, or filling, and the next.

    Parameters
    ----------
    anchor
        That they end with.
    members
        The members.
    start
        Their state at the beginning.
    first_day
        The day of it.
    """

    anchor: Anchor
    members: Members
    start: TankState
    first_day: int

    def course(
        self, line: Timeline, stops_d: Sequence[float], accuracy: str, threads: int
    ) -> Course:
        """What their water did."""
        return simulate(
            line,
            self.members,
            self.start,
            (self.first_day, self.anchor.day),
            stops_d=stops_d,
            accuracy=accuracy,
            threads=threads,
        )


@dataclass(frozen=True)
class History:
    """Members of a whole log.

    Parameters
    ----------
    fitted
        Members that agree with the readings since the last anchor, begun there.
    carried
        The same, to be carried on.
    stretches
        Older members, in order of time.
    """

    fitted: Fitted
    carried: Carried
    stretches: tuple[Stretch, ...]


def fit_history(
    line: Timeline,
    readings: Sequence[Reading],
    count: int,
    seed: int,
    threads: int,
    *,
    anchor: Anchor | None = None,
    spacing: Spacing = SPACING,
    effort: Effort = QUICK,
    progress: Callable[[float], None] | None = None,
) -> History:
    """Draw members of a log of any length.

    Parameters
    ----------
    line, readings, count, seed, threads, effort, progress
        See `fit_members`; at least one reading.
    anchor
        To begin with, in place of filling.
    spacing
        Of further anchors.
    """
    last_day = line_day(line, readings[-1])
    days: list[int] = []
    if anchor is None and (silent := spacing.unread(line_day(line, readings[0]))) is not None:
        days.append(silent)  # what came before is the prior run forward, whatever its length
    while (day := spacing.ahead(last_day, days[-1] if days else _first_day(anchor))) is not None:
        days.append(day)
    stretches: list[Stretch] = []
    for number, day in enumerate(days):
        begin = line.calendar.bounds_d(day)[0]
        before = [r for r in readings if line.calendar.days(r.at) < begin]
        if anchor is not None and not since(line, before, anchor):
            continue  # nobody read anything: what was known at the anchor still is all that is
        told = _part(progress, number, len(days) + 1)
        stretch = _stretch(
            line, before, day, count, seed + _NEXT * number, threads, anchor, effort, told
        )
        stretches.append(stretch)
        anchor = stretch.anchor
    fitted = fit_members(
        line,
        readings,
        count,
        seed + _NEXT * len(days),
        threads,
        anchor=anchor,
        effort=effort,
        progress=_part(progress, len(days), len(days) + 1),
    )
    going_on = carried(line, readings, fitted, threads, anchor)
    return History(fitted, going_on, tuple(stretches))


def _stretch(
    line: Timeline,
    before: Sequence[Reading],
    day: int,
    count: int,
    seed: int,
    threads: int,
    anchor: Anchor | None,
    effort: Effort,
    progress: Callable[[float], None] | None,
) -> Stretch:
    """Fit the readings of a stretch and set the anchor at its end."""
    if not since(line, before, anchor):
        if anchor is not None:
            raise ValueError("a stretch without readings needs no anchor of its own")
        fitted = fit_members(line, (), count, seed, threads)
        z = prior_whitened(UNKNOWNS, np.arange(count), seed)
        start = initial_state(line, fitted.members)
        return _set(line, before, day, fitted.members, start, UNKNOWNS, z, None, count, threads)
    fitted = fit_members(
        line, before, count, seed, threads, anchor=anchor, effort=effort, progress=progress
    )
    if fitted.health == "poor":
        # All that comes after rests on this anchor, so what is saved here is paid for later.
        fitted = fit_members(
            line, before, count, seed, threads, anchor=anchor, effort=THOROUGH, progress=progress
        )
    target = target_of(line, before, seed, threads, anchor)
    if fitted.z is None:
        raise TypeError("members that agree with readings have unknowns")
    names = [target.names[i] for i in target.lasting if _lasts(target.names[i])]
    z = fitted.z[[target.names.index(name) for name in names]]
    start = target.begin(fitted.z, fitted.members)
    return _set(
        line, before, day, fitted.members, start, names, z, anchor, fitted.effective, threads
    )


def _set(
    line: Timeline,
    before: Sequence[Reading],
    day: int,
    members: Members,
    start: TankState,
    names: Sequence[str],
    lasting: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
    anchor: Anchor | None,
    effective: float,
    threads: int,
) -> Stretch:
    first = _first_day(anchor)
    final = simulate(line, members, start, (first, day), threads=threads).final
    digest = past_digest(line, before, line.calendar.bounds_d(day)[0])
    found = anchored(
        day, names, lasting, final, drift_walk(members, day), len(before), effective, digest
    )
    return Stretch(found.aged(day - first), members, start, first)


def anchors_crossed(
    line: Timeline,
    readings: Sequence[Reading],
    kept: Carried,
    last_day: int,
    threads: int,
    spacing: Spacing = SPACING,
) -> list[Anchor]:
    """Anchors between the day of the last reading and a later one, of what is known before.

    Parameters
    ----------
    line
        The tank.
    readings
        Its log; those not used yet are not looked at.
    kept
        The members so far.
    last_day
        Of the next reading.
    threads
        See `simulate`.
    spacing
        Of anchors.
    """
    days = spacing.crossed(kept.day, last_day)
    if not days:
        return []
    old = kept.used(line, readings)
    members = members_of(line, kept, readings)
    course = simulate(
        line, members, kept.state, (kept.day, days[-1] + 1), checkpoint_days=days, threads=threads
    )
    names = [n for n in kept.names if _lasts(n)]
    z = kept.z[[kept.names.index(name) for name in names]]
    found = []
    for day in days:
        anchor = anchored(
            day,
            names,
            z,
            course.checkpoints[day],
            drift_walk(members, day),
            len(old),
            kept.effective,
            past_digest(line, old, line.calendar.bounds_d(day)[0]),
        )
        found.append(anchor.aged(day - _first_day(kept.anchor)))
    return found


def begun_at(
    line: Timeline, readings: Sequence[Reading], kept: Carried, anchor: Anchor, threads: int
) -> tuple[Carried, Stretch]:
    """The same members, begun at an anchor they were carried past.

    Parameters
    ----------
    line, readings, kept
        See `anchors_crossed`.
    anchor
        On a day before the last reading's.
    threads
        See `simulate`.

    Returns
    -------
    carried, stretch
        The members from the anchor on, and what tells of them before it.
    """
    old = kept.used(line, readings)
    before = target_of(line, old, kept.seed, threads, kept.anchor)
    z = kept.z[[kept.names.index(name) for name in before.names]]
    members = before.members(z)
    start = before.begin(z, members)
    first = _first_day(kept.anchor)
    state = simulate(line, members, start, (first, anchor.day), threads=threads).final
    then = dict(
        zip(anchor.state_names, anchor.scores(state, drift_walk(members, anchor.day)), strict=True)
    )
    after = target_of(line, old, kept.seed, threads, anchor)
    rows = {**dict(zip(kept.names, kept.z, strict=True)), **then}
    told = np.stack([rows[name] for name in after.names])
    known = dict(zip(kept.look_keys, kept.looks, strict=True))
    looks = np.stack([known[key] for key in after.look.keys])
    went = replace(
        kept,
        names=after.names,
        z=told,
        looks=looks,
        look_keys=after.look.keys,
        log_likelihood=after.weigh(looks, told).sum(axis=0),
        reading_keys=tuple(kept.reading_keys[-len(since(line, old, anchor)) :]),
        anchor=anchor,
    )
    return went, Stretch(anchor, members, start, first)


def line_day(line: Timeline, reading: Reading) -> int:
    """Day of a reading, as targets count them."""
    return int(np.floor(max(line.calendar.days(reading.at), 0.0) + 1e-9))


def _first_day(anchor: Anchor | None) -> int:
    return 0 if anchor is None else anchor.day


def _lasts(name: str) -> bool:
    """Rates, colonies, source water and kits: nothing that belongs to a day, week or anchor."""
    return _FLEETING.fullmatch(name) is None


def _part(
    progress: Callable[[float], None] | None, number: int, count: int
) -> Callable[[float], None] | None:
    if progress is None:
        return None
    return lambda share: progress((number + share) / count)
