"""Readings that no judgement knows yet, taken at their word: nobody waits for a forecast.

Buffering that is nearly gone is told of even after the judgement: what harms is the pH that may
fall at any time, which no week's risk shows while the model thinks that it holds.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, datetime, timedelta

from watervane.app.habits import thought_present, usual_of
from watervane.app.ports import Ports
from watervane.app.rounds import Round
from watervane.app.tank_page import LATEST, LookedAt, as_recorded, look_at_tank
from watervane.records import (
    UNNAMED,
    AnimalsIn,
    AnimalsOut,
    AtOnce,
    BoundedChange,
    Died,
    Entry,
    Feed,
    Habit,
    LogAsked,
    Person,
    Reading,
    Tank,
    Today,
)
from watervane.wording.shown import ION_PER_N

RECENT = timedelta(days=3)
MOST_COMINGS = 5_000
BUFFERING = "kh"
BUFFERING_COUNTS = timedelta(days=14)  # it comes back with new water only
LIKELY = 0.5
COMINGS = frozenset((AnimalsIn, AnimalsOut, Died))


def at_once(actor: Person, looked: LookedAt, ports: Ports) -> AtOnce:
    """What readings say that were written since the newest judgement, or before there is one.

    Of what the judgement knows, buffering that is nearly gone.

    Parameters
    ----------
    actor
        Whose tank it is.
    looked
        The tank as it was looked at.
    ports
        The outside parts.
    """
    knows = 0 if looked.judged is None else looked.judged.knows
    if not any(
        each.standing and each.number > knows and _recent(each.what, looked.now)
        for each in looked.entries
    ):
        return _hardly_buffered(actor, looked, ports)
    return ports.pages.at_once(as_recorded(looked), _animals(actor, looked, ports), looked.now)


def at_once_of(tank: Tank, as_of: datetime | None, ports: Ports) -> AtOnce:
    """What the readings of a whole log say by themselves.

    Parameters
    ----------
    tank
        With its log.
    as_of
        The moment; left out, that of the last entry that is no plan.
    ports
        The outside parts.
    """
    now = datetime.now(UTC)
    read = [each.at for each in tank.readings]
    done = [each.at for each in tank.events if each.at <= now]
    if not read:
        return AtOnce()
    moment = max([*read, *done]) if as_of is None else as_of
    happened = [each for each in tank.events if each.at <= moment]
    animals = tuple(thought_present(happened))
    if not animals and not any(isinstance(each, tuple(COMINGS)) for each in happened):
        meals = [*happened, *(habit.template for habit in tank.habits)]
        animals = (UNNAMED,) if any(map(_eaten, meals)) else ()
    known = replace(
        tank,
        readings=tuple(each for each in tank.readings if each.at <= moment),
        events=tuple(happened),
    )
    return ports.pages.at_once(known, animals, moment)


def bounded_change(told: AtOnce, today: Today | None) -> BoundedChange | None:
    """Where the chosen steps ask for more new water at once than a reading bears; else none.

    Parameters
    ----------
    told
        What readings say by themselves.
    today
        The judgement with its steps.
    """
    acts = () if today is None or today.chosen is None else today.chosen.acts
    most = max((act.amount for act in acts if act.brings_water), default=0.0)
    alarm = None if today is None else today.verdict.alarm
    told_as_if = today is not None and today.verdict.key == "reading-harmful"
    if told_as_if and alarm is not None and alarm.quantity in ION_PER_N and not alarm.after:
        most = max(most, alarm.share)  # the verdict itself asks for it
    if not told.bounded_by or most <= told.most_share:
        return None
    return BoundedChange(told.bounded_by, told.most_share, most)


def with_bound(today: Today, told: AtOnce) -> Today:
    """A judgement that says where its steps ask for more than a reading bears."""
    return replace(today, bounded=bounded_change(told, today))


def _eaten(event: object) -> bool:
    """Food tells of somebody who eats it."""
    return isinstance(event, Feed) and event.mass_g.high > 0.0


def _hardly_buffered(actor: Person, looked: LookedAt, ports: Ports) -> AtOnce:
    if BUFFERING not in read_of_late(looked, BUFFERING_COUNTS):
        return AtOnce()
    told = ports.pages.at_once(as_recorded(looked), _animals(actor, looked, ports), looked.now)
    known = tuple(each for each in told.alarms if each.quantity == BUFFERING)
    if not known:
        return AtOnce()
    return AtOnce(
        known,
        known=looked.judged is not None,
        bounded_by=BUFFERING,
        most_share=told.most_share,
    )


def rounds_at_once(actor: Person, found: Iterable[Round], ports: Ports) -> tuple[Round, ...]:
    """The rounds with what readings say that no judgement knows, what harms at once first.

    Parameters
    ----------
    actor
        Whose tanks they are.
    found
        In their order.
    ports
        The outside parts.
    """
    told = [
        _looked_at(actor, each, ports) if not each.told.current or _may_fall(each) else each
        for each in found
    ]
    return tuple(sorted(told, key=lambda each: not _acute(each.at_once)))


def read_of_late(looked: LookedAt, within: timedelta = RECENT) -> frozenset[str]:
    """Quantities that were read in the last days."""
    readings = (each.what for each in looked.entries if each.standing)
    return frozenset(
        what.quantity
        for what in readings
        if isinstance(what, Reading) and _recent(what, looked.now, within)
    )


def _looked_at(actor: Person, each: Round, ports: Ports) -> Round:
    looked = look_at_tank(actor, each.tank.key, ports)
    return replace(each, at_once=at_once(actor, looked, ports), read=read_of_late(looked))


def _may_fall(each: Round) -> bool:
    """Whether the reading of buffering is to be looked at: it is low, or bounds the steps."""
    today = each.told.today
    if today is None:
        return False
    planned = today.planned
    low = planned is not None and planned.by_subject.get("comfort/alkalinity", 0.0) > LIKELY
    return low or today.bounded is not None


def _acute(told: AtOnce) -> bool:
    return any(alarm.limit.tier == "acute" for alarm in told.alarms)


def _recent(what: object, now: datetime, within: timedelta = RECENT) -> bool:
    return isinstance(what, Reading) and not what.of_source_water and now - what.at <= within


def _animals(actor: Person, looked: LookedAt, ports: Ports) -> tuple[str, ...]:
    """Names of those present; of a long log all comings and goings are looked up."""
    told = looked.entries
    events = [each for each in told if not isinstance(each.what, Habit | Reading)]
    if len(events) >= LATEST:
        asked = LogAsked(COMINGS, count=MOST_COMINGS)
        with ports.journal.open() as journal, journal.looking(actor) as view:
            told = view.logged(looked.key, asked).entries[::-1]
    present = usual_of(told).animals
    if present or any(isinstance(_happened(each), tuple(COMINGS)) for each in told):
        return tuple(present)
    return (UNNAMED,) if any(_eaten(_happened(each)) for each in looked.entries) else ()


def _happened(entry: Entry) -> object:
    if not entry.standing:
        return None
    return entry.what.template if isinstance(entry.what, Habit) else entry.what
