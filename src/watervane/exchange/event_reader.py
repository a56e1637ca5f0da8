"""From the values of an event's table to its record."""

from __future__ import annotations

from datetime import date, datetime, time
from typing import Any

from watervane.exchange.event_details import DETAILS, SIZES, EventContext
from watervane.exchange.event_vocabulary import (
    EVENT_KINDS,
    HABIT_KEYS,
    SHARED_KEYS,
    EventKind,
    event_table,
)
from watervane.exchange.moments import NOON, Moment, local_moment
from watervane.exchange.problems import Place, Refusal, nearest, shown
from watervane.exchange.table_reader import Values, read_table, record_fields
from watervane.records import EquipmentChange, Event, Habit


def read_event(raw: Any, place: Place, context: EventContext) -> Event | Habit | None:
    """One event or habit, or ``None`` after reporting why there is none."""
    if not isinstance(raw, dict):
        place.problem("not-a-table", name="[[event]]", value=shown(raw))
        return None
    before = place.problems.count
    kind = _kind(raw, place)
    if kind is None:
        kind, raw = _as_if(raw)
    values = read_table(_of_one_size(kind, raw, place), event_table(kind), place, context.values)
    habit = any(key.name in raw for key in HABIT_KEYS)
    moment = _habit_moment(raw, values, place, context) if habit else _moment(raw, values, place)
    if moment is not None and moment.twice:
        place.at("at").caution("clock-twice", at=moment.at.replace(tzinfo=None).isoformat(sep=" "))
    fields = record_fields(values, kind.keys)
    fields |= {"note": values.get("note", ""), "line": place.line}
    settle = DETAILS.get(kind.record)
    if settle is not None:
        settle(fields, raw, place, context)
    if moment is None or place.problems.count > before:
        return None
    check_filled(moment, place.at("from" if habit else "at"), context.filled, "event")
    event = kind.record(at=moment.at, hour_known=moment.hour_known, **fields)
    if not habit:
        return event
    return Habit(
        template=event,
        every_days=values["every"],
        start=values["from"],
        until=values.get("until"),
    )


def _of_one_size(kind: EventKind, raw: Values, place: Place) -> Values:
    """What is told without the size of the tank, which no event changes."""
    if kind.record is not EquipmentChange:
        return raw
    for name in set(raw) & set(SIZES):
        place.at(name).problem("equipment-size")
    return {name: value for name, value in raw.items() if name not in SIZES}


def _kind(raw: dict[str, Any], place: Place) -> EventKind | None:
    word = raw.get("kind")
    if word is None:
        place.problem("event-without-kind", known=tuple(EVENT_KINDS))
        return None
    if isinstance(word, str) and word in EVENT_KINDS:
        return EVENT_KINDS[word]
    near = _meant(word)
    if near is not None:
        place.at("kind").problem("kind-unknown-near", value=shown(word), near=near)
    else:
        place.at("kind").problem("kind-unknown", value=shown(word), known=tuple(EVENT_KINDS))
    return None


def _meant(word: Any) -> str | None:
    return nearest(word, EVENT_KINDS) if isinstance(word, str) else None


def _as_if(raw: dict[str, Any]) -> tuple[EventKind, dict[str, Any]]:
    """The kind an event of no known one is read as, so that its other mistakes are told, too.

    That is the kind that was likely meant; else a note, and then only what all kinds share.
    """
    near = _meant(raw.get("kind"))
    if near is not None:
        return EVENT_KINDS[near], {**raw, "kind": near}
    shared = {key.name for key in (*SHARED_KEYS, *HABIT_KEYS)}
    kept = {name: value for name, value in raw.items() if name in shared}
    return EVENT_KINDS["note"], {**kept, "kind": "note", "text": ""}


def _moment(raw: Values, values: Values, place: Place) -> Moment | None:
    at = values.get("at")
    if isinstance(at, time):
        place.at("at").problem("clock-without-habit", value=shown(at))
        return None
    if "at" not in raw:
        place.problem("event-without-date")
    return at


def _habit_moment(
    raw: Values, values: Values, place: Place, context: EventContext
) -> Moment | None:
    """The first time a habit is followed."""
    if isinstance(values.get("at"), Moment):
        place.at("at").problem("habit-with-date")
    for needed in ("every", "from"):
        if needed not in raw:
            place.problem(f"habit-without-{needed}")
    every, start, until = (values.get(name) for name in ("every", "from", "until"))
    if every is not None and every < 1.0:
        place.at("every").problem("habit-too-often", value=shown(raw["every"]))
    if start and until and until < start:
        told = {"start": start.isoformat(), "until": until.isoformat()}
        place.at("until").problem("habit-ends-first", **told)
    if start is None:
        return None
    clock = values.get("at")
    known = isinstance(clock, time)
    naive = datetime.combine(start, clock if isinstance(clock, time) else NOON)
    try:
        return local_moment(naive, context.values.zone, hour_known=known)
    except Refusal as refusal:
        place.at("from").problem(refusal.key, name="from", **refusal.arguments)
        return None


def check_filled(moment: Moment, place: Place, filled: date | None, what: str) -> None:
    """Refuse what is dated before the tank held water."""
    if filled is not None and moment.at.date() < filled:
        told = {"at": moment.at.date().isoformat(), "filled": filled.isoformat()}
        place.problem("before-filling", what=what, **told)
