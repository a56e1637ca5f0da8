"""Days that fit no course: false alarms of honest logs, and what is found in spoilt ones."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from evidence import unfitting_days
from evidence.sections import RUN_IT, Section, table
from evidence.unfitting_days import DOSED, HONEST, MISREAD, SPOILT_D, kept
from watervane.engine.unfitting import HONEST_NAMED

TITLE = "Days that fit no course"
LEVELS = (0.3, HONEST_NAMED, 0.03)
OPENING = f"""\
A day of tests is named where its readings lie so far out, as all other days foretell them, that
of honest logs {100 * HONEST_NAMED:.0f} in 100 at most have such a day. Simulated logs, read with a
coarse kit on every second day until day {unfitting_days.UNTIL}, show how often that happens, and
what is found in spoilt ones, at {" / ".join(f"{100 * level:.0f}" for level in LEVELS)} in 100. A
stray reading has nothing to do with the water, as 3 in 100 have not; a day with one is rightly
named, for the remedy is to test again. Unlogged are {unfitting_days.SPILT_G:g} g of food or a water
change of {100 * (1 - unfitting_days.KEPT_SHARE):.0f} %, both on day {SPOILT_D:g}. Dosed tanks start
without animals, at {unfitting_days.DOSE_MG_N_PER_L:g} mg N/L; in the others there is so little in
the water by then that a coarse kit hardly shows a change."""


def run(*, anew: bool, workers: int) -> None:
    """Fit all logs that are not kept yet."""
    unfitting_days.run(anew=anew, workers=workers)


def section() -> Section:
    """A row a kind of log."""
    kinds: dict[str, list[Mapping[str, Any]]] = {}
    for kind, found in kept():
        kinds.setdefault(kind, []).append(found)
    if not kinds:
        return Section(TITLE, RUN_IT)
    rows = [_row(kind, kinds[kind]) for kind in unfitting_days.COUNTS if kind in kinds]
    head = ("logs", "number", "what counts", "of", "share of it")
    strays = _strays([log for logs in kinds.values() for log in logs])
    note = unfitting_days.KEPT.note()
    return Section(
        TITLE, "\n\n".join([OPENING, table(head, [*rows, strays]), *([note] * bool(note))])
    )


def _row(kind: str, logs: Sequence[Mapping[str, Any]]) -> tuple[object, ...]:
    if kind in (HONEST, DOSED):
        worst = [min([c for c, odd in days_of(log) if not odd], default=1.0) for log in logs]
        return (
            kind,
            len(logs),
            "logs with a day named falsely",
            f"{len(worst)} logs",
            _shares(worst),
        )
    if kind == MISREAD:
        days = [c for log in logs for c, odd in days_of(log) if odd]
        return kind, len(logs), "days with it found", f"{len(days)} days", _shares(days)
    worst = [min([c for c, odd in days_of(log) if not odd], default=1.0) for log in logs]
    return kind, len(logs), "logs in which a day is named", f"{len(worst)} logs", _shares(worst)


def _strays(logs: Sequence[Mapping[str, Any]]) -> tuple[object, ...]:
    days = [chance for log in logs for chance, odd in days_of(log) if odd]
    return "all", len(logs), "days with a stray reading found", f"{len(days)} days", _shares(days)


def days_of(log: Mapping[str, Any]) -> list[tuple[float, bool]]:
    """Chance of each day of a log times the days, and whether one of its readings is odd."""
    day, fit, odd = (np.array(log[name]) for name in ("day", "fit", "odd"))
    days = len(np.unique(day))
    found = []
    for each in np.unique(day):
        here = day == each
        chance = min(float(here.sum() * fit[here].min()), 1.0)
        found.append((days * chance, bool(odd[here].any())))
    return found


def _shares(chances: Sequence[float]) -> str:
    if not chances:
        return "none"
    return " / ".join(f"{100.0 * np.mean(np.array(chances) < level):.1f} %" for level in LEVELS)
