"""Members carried on from a tank's last look, stood at a moment: nothing is fitted anew."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from functools import cached_property

from watervane.engine.begun_members import Begun, members_of_log
from watervane.engine.composed import Progress
from watervane.engine.feeding import KnownTank, fed_as_known
from watervane.engine.futures import Standing
from watervane.engine.known import held_readings, local_day, modelled, usable_readings
from watervane.engine.member_runs import told
from watervane.engine.update import CARRY
from watervane.inference.carrying import Assimilation, Carried, ChangedPastError, carried
from watervane.process.timeline import timeline
from watervane.records import Tank


class CarriedStanding:
    """Members at the start of the day of a moment, and what the next look goes on from.

    Parameters
    ----------
    standing
        The members.
    keep
        Makes what is kept, once it is asked for.
    """

    def __init__(self, standing: Standing, keep: Callable[[], Carried | None]) -> None:
        self.standing, self._keep = standing, keep

    @cached_property
    def kept(self) -> Carried | None:
        """The same, to be carried on; ``None`` as long as nothing was read."""
        return self._keep()


def stand_carried(
    tank: Tank,
    before: Carried | None,
    *,
    as_of: datetime | None = None,
    members: int = 1000,
    seed: int = 1,
    threads: int = 2,
    now: datetime | None = None,
    progress: Progress | None = None,
) -> CarriedStanding:
    """Carry members on over what was read since, and stand them at a moment.

    Without members before, or where the past they were fitted to was edited, they are fitted.

    Parameters
    ----------
    tank, as_of, members, threads, now, progress
        See `watervane.engine.futures.stand`. Carried members stay as many.
    before
        Members of an earlier look that agree with all readings there were then.
    seed
        Of this look; another one each time.

    Raises
    ------
    ValueError
        If the moment lies before the filling.
    """
    one = fed_as_known(tank, as_of, now)
    if before is not None:
        with suppress(ChangedPastError):
            return _carried_on(one, before, seed, threads, progress)
    line = timeline(one.tank, _today(one) + 1)
    readings = usable_readings(one.tank, one.calendar)
    begun = members_of_log(line, readings, members, seed, threads, told(progress, "weighing"))

    def keep() -> Carried | None:
        fitted = begun.fitted
        if fitted.z is None:
            return None
        return carried(line, begun.readings, fitted, threads, begun.anchor)

    return CarriedStanding(_standing(one, begun, threads), keep)


def _carried_on(
    one: KnownTank, before: Carried, seed: int, threads: int, progress: Progress | None
) -> CarriedStanding:
    today = _today(one)
    line = timeline(one.tank, today + 1)
    usable = usable_readings(one.tank, one.calendar)
    readings = held_readings(one.tank, usable, before.reading_keys)
    if len(before.used(line, readings)) == len(readings):
        seed = before.seed  # nothing is drawn, and each member keeps the noise it was read with
        taken = Assimilation(line, readings, before, seed, threads).provisional()
    else:
        news = Assimilation(line, readings, before, seed, threads)
        taken = news.rejuvenated(CARRY, told(progress, "weighing"))
    kept = taken.carried
    begun = Begun(line, tuple(readings), taken.fitted, kept.state, kept.day, kept.anchor)
    return CarriedStanding(_standing(one, begun, threads), lambda: kept)


def _today(one: KnownTank) -> int:
    return local_day(one.calendar, one.calendar.days(one.as_of))


def _standing(one: KnownTank, begun: Begun, threads: int) -> Standing:
    today = _today(one)
    return Standing(
        one.tank,
        one.findings,
        one.calendar,
        one.calendar.days(one.as_of),
        today,
        len(modelled(one.tank.readings)),
        begun,
        begun.members,
        begun.state(today, threads),
        threads,
    )
