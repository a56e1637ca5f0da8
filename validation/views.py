"""The two views of a log: from the prior alone, and with the later half left out."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime

from validation.counting import Beside, Tally, beside, tally
from validation.kept_logs import KeptLog
from validation.timing import Timing, timings
from watervane.engine import Hindsight, hindsight


@dataclass(frozen=True)
class View:
    """One forecast of a log beside the readings it did not see.

    Parameters
    ----------
    as_of
        Later readings were not used.
    hindsight
        The forecast, and the members' levels at every reading.
    rows
        All readings of scored quantities, the used ones too.
    """

    as_of: datetime
    hindsight: Hindsight
    rows: tuple[Beside, ...]
    timings: tuple[Timing, ...]

    @property
    def unseen(self) -> list[Beside]:
        """Readings the forecast did not see."""
        return [row for row in self.rows if row.row is not None]

    def tally(self, *quantities: str) -> Tally:
        """Of the unseen readings, of some quantities or of all."""
        return tally([r for r in self.unseen if not quantities or r.reading.quantity in quantities])


def prior_view(log: KeptLog, members: int, seed: int) -> View:
    """Foretell from the day of filling, without any reading."""
    return _view(log, log.calendar.moment(0.0), members, seed)


def half_view(log: KeptLog, members: int, seed: int) -> View:
    """Foretell from the middle of the log, with the readings up to it."""
    return _view(log, log.middle, members, seed)


def _view(log: KeptLog, as_of: datetime, members: int, seed: int) -> View:
    last = max(reading.at for reading in log.tank.readings)
    days = math.ceil(log.calendar.days(last) - log.calendar.days(as_of) + 0.25)
    made = hindsight(
        log.tank, as_of=as_of, horizon_days=days, members=members, seed=seed, accuracy="sampling"
    )
    return View(
        as_of,
        made,
        tuple(beside(log.tank, made)),
        tuple(timings(log, made, as_of)),
    )
