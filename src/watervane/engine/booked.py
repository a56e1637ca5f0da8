"""Members run from their start into the future with their books kept and their colonies viewed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from watervane.engine.begun_members import members_of_log
from watervane.engine.composed import Made, Ready, Start, made_ready
from watervane.engine.known import local_day, modelled
from watervane.engine.member_runs import FUTURE
from watervane.engine.remarks import assumptions
from watervane.forecast.ledger import Lines, at_once, of_deed
from watervane.inference.fitting import Fitted
from watervane.process.booking import Book, BookedDeed, Seen, few_members, run_booked
from watervane.process.colony_view import ColonyView, ColonyViewer
from watervane.process.run import chosen_state, initial_state
from watervane.process.state import COLUMN, TankState
from watervane.records import Diagnostics, Finding, Tank
from watervane.records.colonies import COLONIES
from watervane.records.ledger import CAME, WENT

Numbers = NDArray[np.float64]
Progress = Callable[[str, float], None]
LOOKS_PER_DAY = 8
FINE_DAYS = 90  # of the past are run as finely as the sampler does, older ones more coarsely
WEEK_D = 7.0


@dataclass(frozen=True)
class Watched:
    """The colonies at one look, with what of the water they depend on; arrays by member."""

    at_d: float
    view: ColonyView
    temperature_c: Numbers
    ph: Numbers
    oxygen_mg_per_l: Numbers


@dataclass(frozen=True)
class Page:
    """What came and what went between two moments the books were closed at; by member.

    Parameters
    ----------
    came, went
        By `CAME` and `WENT`. [mg N/L]
    poured
        Ammonia and nitrite that were dosed or poured in at once, by colony. [mg N/L]
    """

    came: Lines
    went: Lines
    poured: Lines

    def with_deed(self, deed: BookedDeed) -> Page:
        """The page with one more action on it."""
        came, went = of_deed(deed)
        return Page(
            {line: amount + came[line] for line, amount in self.came.items()},
            {line: amount + went[line] for line, amount in self.went.items()},
            {name: amount + at_once(deed, name) for name, amount in self.poured.items()},
        )


@dataclass(frozen=True)
class Books:
    """What was booked.

    Parameters
    ----------
    ready
        The tank.
    start
        Where the members booked were run from; all arrays are theirs.
    states
        Amounts at the moments asked for, by moment; shape (components, members). [d]
    pages
        By the moment each begins. [d]
    looks
        At the colonies, in order of time.
    diagnostics, findings
        How the members were found, and what was assumed.
    seed
        Of the members.
    """

    ready: Ready
    start: Start
    states: Mapping[float, Numbers]
    pages: Mapping[float, Page]
    looks: tuple[Watched, ...]
    diagnostics: Diagnostics
    findings: tuple[Finding, ...]
    seed: int


def books_of(
    tank: Tank,
    *,
    as_of: datetime | None = None,
    horizon_days: int = 30,
    members: int = 1000,
    seed: int = 1,
    threads: int = 2,
    now: datetime | None = None,
    progress: Progress | None = None,
) -> Books:
    """Fit members to a tank's readings and keep their books.

    Parameters
    ----------
    tank, as_of, horizon_days, members, seed, threads, now, progress
        See `watervane.engine.foretell`; of the members, as many as one block holds are booked.

    Raises
    ------
    ValueError
        If the moment lies before the filling, or the horizon is not ahead.
    """
    ready = made_ready(tank, as_of=as_of, horizon_days=horizon_days, threads=threads, now=now)
    weighing = None if progress is None else (lambda share: progress("weighing", share))
    fit = members_of_log(ready.line, ready.readings, members, seed, threads, weighing)
    found = fit.how(len(modelled(ready.known.readings)), "sampling", 0.0)
    return _booked(ready, Start(fit.members, fit.first_day, fit.start), found, seed, progress)


def books_of_made(made: Made, progress: Progress | None = None) -> Books:
    """Keep the books of a forecast's members, from where they were run."""
    start = made.start or _from_filling(made.ready, made.fitted)
    return _booked(made.ready, start, made.forecast.diagnostics, made.forecast.seed, progress)


def _from_filling(ready: Ready, fitted: Fitted) -> Start:
    return Start(fitted.members, 0, initial_state(ready.line, fitted.members))


def marks_of(ready: Ready, start: Start) -> list[float]:
    """Moments the books are closed at: the begin, a week and a day ago, now, and daily then. [d]"""
    begin, now = ready.calendar.bounds_d(start.day)[0], ready.scope.as_of_d
    past = [at for at in (now - WEEK_D, now - 1.0) if at > begin]
    ahead = [now + day for day in range(max(ready.horizon_days, int(WEEK_D)) + 1)]
    return sorted({begin, *past, *ahead})


def _booked(
    ready: Ready, start: Start, told: Diagnostics, seed: int, progress: Progress | None
) -> Books:
    index = few_members(start.members)
    some = Start(start.members.chosen(index), start.day, chosen_state(start.state, index))
    marks = marks_of(ready, some)
    now = ready.scope.as_of_d
    looks = [
        now - 1.0 + k / LOOKS_PER_DAY
        for k in range((ready.horizon_days + 1) * LOOKS_PER_DAY)
        if now - 1.0 + k / LOOKS_PER_DAY >= marks[0]
    ] or [marks[0]]
    kept = _Kept(ColonyViewer(ready.line, some.members, ready.scope.levels), marks, looks)
    end = local_day(ready.calendar, marks[-1] + 1e-6) + 1
    state, later = some.state, replace(some.members, numbers=some.members.numbers + FUTURE)
    coarse = max(some.day, ready.today + 1 - FINE_DAYS)
    parts = (
        (some.members, (some.day, coarse), "screening"),
        (some.members, (coarse, ready.today + 1), "sampling"),
        (later, (ready.today + 1, end), "sampling"),
    )
    for members, days, accuracy in parts:
        if days[1] > days[0]:
            share = _share_told(progress, days, (some.day, end))
            state = run_booked(
                ready.line, members, state, days, kept.book, accuracy=accuracy, progress=share
            )
    return Books(
        ready,
        some,
        kept.states,
        kept.pages,
        tuple(kept.looks),
        told,
        assumptions(ready.known, ready.line, ready.feeding),
        seed,
    )


def _share_told(
    progress: Progress | None, days: tuple[int, int], of: tuple[int, int]
) -> Callable[[float], None] | None:
    """Progress of some days as a share of all."""
    if progress is None:
        return None
    size = of[1] - of[0]
    done, part = (days[0] - of[0]) / size, (days[1] - days[0]) / size
    return lambda share: progress("booking", done + part * share)


class _Kept:
    """What a run's books are kept in."""

    def __init__(self, viewer: ColonyViewer, marks: list[float], looks: list[float]) -> None:
        self._viewer, self._marks, self._looks = viewer, set(marks), set(looks)
        self.states: dict[float, Numbers] = {}
        self.pages: dict[float, Page] = {}
        self._begun_d = marks[0]
        self.looks: list[Watched] = []
        self.book = Book(self._enter, self._see, sorted(self._marks | self._looks))

    def _enter(self, deed: BookedDeed) -> None:
        """Actions are many in a long log: only their sums are kept."""
        self.pages[self._begun_d] = self.pages[self._begun_d].with_deed(deed)

    def _see(self, seen: Seen) -> None:
        if seen.at_d in self._marks:
            self.states[seen.at_d] = seen.state.amounts[:, 0].copy()
            self._begun_d = seen.at_d
            nothing = np.zeros(seen.state.amounts.shape[-1])
            self.pages[seen.at_d] = Page(
                dict.fromkeys(CAME, nothing),
                dict.fromkeys(WENT, nothing),
                dict.fromkeys(COLONIES, nothing),
            )
        if seen.at_d in self._looks:
            self.looks.append(_watched(seen.at_d, seen.state, self._viewer(seen)))


def _watched(at_d: float, state: TankState, view: ColonyView) -> Watched:
    oxygen = state.amounts[COLUMN["oxygen"], 0] / state.volume_ratio[0]
    return Watched(at_d, view, state.temperature_c[0], state.ph[0], oxygen)
