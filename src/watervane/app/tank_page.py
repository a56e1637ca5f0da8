"""One tank as its page shows it: what it is, what was written, what was last found out."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Hashable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from watervane.app.habits import Usual, usual_of
from watervane.app.pictures import picture_of
from watervane.app.ports import BadInput, Ports
from watervane.app.rounds import Foreseen, newest_foreseen
from watervane.app.unit_of_work import View
from watervane.charts import Picture
from watervane.records import Entry, Habit, Job, Person, Reading, Tank, Today, plans_begin
from watervane.wording.audience import read_on_page
from watervane.wording.in_units import current_units

LATEST = 250  # of readings and of events: enough for habits and the last weeks
DAYS_BEFORE = 14
MOST_PICTURES = 64
_ONE = threading.Lock()
_PICTURES: OrderedDict[Hashable, tuple[tuple[Any, ...], Picture]] = OrderedDict()


@dataclass(frozen=True, slots=True)
class JudgedThen:
    """The newest kept judgement, and whether entries were written since.

    ``knows`` is the number of the newest entry it knew of.
    """

    today: Today
    grade: str
    written_since: int
    knows: int


@dataclass(frozen=True, slots=True)
class LookedAt:
    """A tank as it stands now, without the whole of its log.

    ``entries`` are what happened last, corrected and undone ones among them, the latest last;
    ``photographed`` are the numbers of entries with a photo.
    """

    key: str
    tank: Tank
    now: datetime
    entries: tuple[Entry, ...]
    usual: Usual
    foreseen: Foreseen | None
    judged: JudgedThen | None
    job: Job | None
    photographed: frozenset[int] = frozenset()


def look_at_tank(actor: Person, key: str, ports: Ports) -> LookedAt:
    """A tank by its key, however long its log.

    Raises
    ------
    BadInput
        Where the actor has no such tank.
    """
    with ports.journal.open() as journal, journal.looking(actor) as view:
        tank = view.description(key)
        entries = view.latest(key, LATEST)
        foreseen = newest_foreseen(key, view, ports)
        judged = newest_judged(key, view, ports)
        photographed = view.with_photos(key)
        still = [job for job in view.jobs(key) if job.open]
    now = ports.journal.now().astimezone(ZoneInfo(tank.time_zone))
    usual, job = usual_of(entries), next(iter(still), None)
    return LookedAt(key, tank, now, entries, usual, foreseen, judged, job, photographed)


def check_tank(actor: Person, key: str, ports: Ports) -> None:
    """Nothing but whether the actor has such a tank.

    Raises
    ------
    BadInput
        Where the actor has none.
    """
    with ports.journal.open() as journal, journal.looking(actor) as view:
        view.description(key)


def newest_judged(key: str, view: View, ports: Ports) -> JudgedThen | None:
    """The newest judgement; one that can no longer be read is none."""
    kept = view.result(key, "today")
    if kept is None:
        return None
    try:
        today = ports.jobs.today_of_text(kept.document)
    except BadInput:
        return None
    since = view.written_since(key, kept.newest_entry)
    return JudgedThen(today, kept.grade, since, kept.newest_entry)


def picture_of_tank(looked: LookedAt, basis: str = "usual") -> Picture | None:
    """The picture of the newest forecast, from a fortnight before it on.

    The last one of a tank is kept, with all that it was made of: while none of that is another, it
    is the same.
    """
    if looked.foreseen is None:
        return None
    forecast = looked.foreseen.forecast
    recent = as_recorded(looked)
    since = forecast.as_of - timedelta(days=DAYS_BEFORE)
    # To the minute, so that it may be the same as a moment ago.
    now = looked.now.replace(second=0, microsecond=0)
    begin = plans_begin(recent, forecast.as_of, now)
    reader = (basis, current_units().text(), read_on_page())
    made_of = (forecast, recent, begin, reader)
    place = (looked.key, reader)
    with _ONE:
        known = _PICTURES.get(place)
    if known is not None and known[0][0] is forecast and known[0] == made_of:
        return known[1]
    picture = picture_of(forecast, recent, basis=basis, now=now, since=since)
    with _ONE:
        _PICTURES[place] = made_of, picture
        _PICTURES.move_to_end(place)
        while len(_PICTURES) > MOST_PICTURES:
            _PICTURES.popitem(last=False)
    return picture


def as_recorded(looked: LookedAt) -> Tank:
    """The tank with what was written of it last."""
    standing = [entry.what for entry in looked.entries if entry.standing]
    return replace(
        looked.tank,
        events=tuple(each for each in standing if not isinstance(each, Habit | Reading)),
        habits=tuple(each for each in standing if isinstance(each, Habit)),
        readings=tuple(each for each in standing if isinstance(each, Reading)),
    )
