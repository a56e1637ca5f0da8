"""Members that agree with a log, from where they begin: filling, or an anchor of a long one."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from watervane.engine.remarks import diagnostics
from watervane.inference.anchored_target import since
from watervane.inference.anchors import Anchor
from watervane.inference.fitting import Fitted, fit_members
from watervane.inference.history import fit_history, is_long
from watervane.process.calendar import Calendar
from watervane.process.run import Members, initial_state, simulate
from watervane.process.state import TankState
from watervane.process.timeline import Timeline
from watervane.records import Diagnostics, Finding, Reading


@dataclass(frozen=True)
class Begun:
    """Members that agree with a log, ready to be run.

    Parameters
    ----------
    line, readings
        What they were fitted to.
    fitted
        The members.
    start
        Their state at the start of ``first_day``.
    first_day
        Of the anchor, or 0.
    anchor
        In place of all history before it; ``None`` where they begin at filling.
    """

    line: Timeline
    readings: tuple[Reading, ...]
    fitted: Fitted
    start: TankState
    first_day: int = 0
    anchor: Anchor | None = None

    @property
    def members(self) -> Members:
        """The members."""
        return self.fitted.members

    def state(
        self, day: int, threads: int, progress: Callable[[float], None] | None = None
    ) -> TankState:
        """Their state at the start of a day, not before the first.

        Parameters
        ----------
        day
            Local day after filling.
        threads, progress
            See `watervane.process.run.simulate`.
        """
        if day == self.first_day:
            return self.start
        days = (self.first_day, day)
        return simulate(
            self.line, self.members, self.start, days, threads=threads, progress=progress
        ).final

    def how(self, told: int, accuracy: str, seconds: float) -> Diagnostics:
        """How far they can be trusted.

        Parameters
        ----------
        told, accuracy, seconds
            See `watervane.engine.remarks.diagnostics`.
        """
        recent = since(self.line, self.readings, self.anchor)
        older = len(self.readings) - len(recent)
        found = diagnostics(self.fitted, recent, told - older, accuracy, seconds)
        if self.anchor is None:
            return found
        anchored = stands_for_the_past(self.anchor, self.line.calendar)
        return replace(
            found, readings_used=len(self.readings), findings=(anchored, *found.findings)
        )


def stands_for_the_past(anchor: Anchor, calendar: Calendar) -> Finding:
    """That an anchor stands for all that was read before it, and of when it is.

    Parameters
    ----------
    anchor
        With which members begin.
    calendar
        Of the tank.
    """
    told = {"at": calendar.moment(calendar.bounds_d(anchor.day)[0]), "readings": anchor.readings}
    return Finding("history-anchored", "info", told)


def members_of_log(
    line: Timeline,
    readings: Sequence[Reading],
    members: int,
    seed: int,
    threads: int,
    progress: Callable[[float], None] | None = None,
) -> Begun:
    """Draw members that agree with a log of any length.

    Parameters
    ----------
    line, readings, members, seed, threads, progress
        See `watervane.inference.fitting.fit_members`. A log that goes on for long is fitted in
        stretches, see `watervane.inference.history.fit_history`.
    """
    told = tuple(readings)
    if not is_long(line, readings):
        fitted = fit_members(line, readings, members, seed, threads, progress=progress)
        return Begun(line, told, fitted, initial_state(line, fitted.members))
    history = fit_history(line, readings, members, seed, threads, progress=progress)
    kept = history.carried
    start = kept.start(line, history.fitted.members)
    return Begun(line, told, history.fitted, start, kept.first_day, kept.anchor)
