"""Members carried on from a tank's last look, stood at a moment: nothing is fitted anew."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from functools import cached_property

from watervane.engine.begun_members import Begun
from watervane.engine.composed import Progress
from watervane.engine.feeding import KnownTank, fed_as_known
from watervane.engine.futures import Standing, day_of, stand, stood
from watervane.engine.known import held_readings, usable_readings
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
    if before is not None:
        with suppress(ChangedPastError):
            one = fed_as_known(tank, as_of, now)
            return _carried_on(one, before, seed, threads, progress)
    standing = stand(
        tank, as_of=as_of, members=members, seed=seed, threads=threads, now=now, progress=progress
    )

    def keep() -> Carried | None:
        begun = standing.begun
        if begun.fitted.z is None:
            return None
        return carried(begun.line, begun.readings, begun.fitted, threads, begun.anchor)

    return CarriedStanding(standing, keep)


def _carried_on(
    one: KnownTank, before: Carried, seed: int, threads: int, progress: Progress | None
) -> CarriedStanding:
    line = timeline(one.tank, day_of(one) + 1)
    usable = usable_readings(one.tank, one.calendar)
    readings = held_readings(one.tank, usable, before.reading_keys)
    news = len(before.used(line, readings)) < len(readings)
    # Without news nothing is drawn, and each member keeps the noise it was read with.
    taking = Assimilation(line, readings, before, seed if news else before.seed, threads)
    told_of = told(progress, "weighing")
    taken = taking.rejuvenated(CARRY, told_of) if news else taking.provisional()
    kept = taken.carried
    begun = Begun(line, tuple(readings), taken.fitted, kept.state, kept.day, kept.anchor)
    return CarriedStanding(stood(one, begun, threads), lambda: kept)
