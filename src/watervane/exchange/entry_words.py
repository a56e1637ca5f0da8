"""What a keeper says in a line, ``feed 1 pinch``, as the entry it means.

The words are the keys and values of a tank file, the usual ones without their key.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from watervane.exchange.event_details import SIZES, EventContext
from watervane.exchange.event_reader import read_event
from watervane.exchange.event_vocabulary import (
    EVENT_KINDS,
    HABIT_KEYS,
    MEDIA_FROM_NOW_ON,
    event_table,
)
from watervane.exchange.forms import (
    Context,
    Day,
    Flag,
    Form,
    Key,
    ListOf,
    Number,
    NumberRange,
    Table,
)
from watervane.exchange.positions import Positions
from watervane.exchange.problems import Place, Problems, TankFileErrors, fail, nearest, shown
from watervane.exchange.readings import read_readings
from watervane.exchange.vocabulary import READING
from watervane.exchange.volumes import check_volume
from watervane.records import Event, Finding, Habit, Tank
from watervane.records import Reading as ReadingRecord
from watervane.reference import food_amounts

READING_WORD = "reading"
OTHER_WORDS = {"animals": "animals-in", "change": "water-change", "fed": "feed", "test": "reading"}
# The keys that words without a key stand for, in this order.
USUAL: Mapping[str, tuple[str, ...]] = {
    READING_WORD: ("quantity", "value"),
    "feed": ("amount",),
    "animals-in": ("count", "species"),
    "animals-out": ("count", "species"),
    "died": ("count", "species"),
    "water-change": ("fraction",),
    "top-off": ("volume",),
    "dose": ("substance", "amount"),
    "seed": ("source", "medium"),
    "media-moved": ("fraction",),
    "clean": ("part", "how"),
    "outage": ("duration", "what"),
    "treatment": ("substance",),
    "equipment": (),
    "note": ("text",),
}
_LISTED = re.compile(r"\s*(?:,\s+|;\s*|\sand\s)\s*")
_MEDIUM = re.compile(
    r"\s*(?P<volume>[0-9.,]+\s*(?:(?:US|UK|imp|imperial) )?[A-Za-z]+)\s+(?:of\s+)?(?P<kind>.+?)\s*"
)
_BETWEEN = re.compile(r"\s*\.\.\s*|\s+to\s+")
YES, NO = ("yes", "true", "on", "1"), ("no", "false", "off", "0")


def read_entry_words(
    kind: str, words: Sequence[str], at: date | datetime, tank: Tank
) -> tuple[Event | Habit | ReadingRecord, tuple[Finding, ...]]:
    """The entry that a line of words means.

    Parameters
    ----------
    kind
        ``reading``, or a kind of event.
    words
        Values in the usual order, and ``key=value`` for the others.
    at
        When it was; a date alone means an unknown hour. A habit begins on that day unless
        ``from=`` tells another.
    tank
        Whose kits, weighings, volume and zone the words are understood by.

    Raises
    ------
    TankFileErrors
        With every problem found.
    """
    kind = entry_kind(kind)
    told = _told(kind, words)
    if kind == READING_WORD or "every" not in told:
        told.setdefault("at", at)
    else:
        told.setdefault("from", at.date() if isinstance(at, datetime) else at)
    problems = Problems(Positions())
    context = Context(ZoneInfo(tank.time_zone), {**food_amounts(), **tank.food_amounts})
    place = Place(problems)
    found: Event | Habit | ReadingRecord | None
    if kind == READING_WORD:
        readings = read_readings([told], place, context, tank.kits, tank.filled)
        found = readings[0] if readings else None
    else:
        water_l = check_volume(tank.volume_l, tank.shape, tank.bed, Place(Problems(Positions())))
        events = EventContext(context, tank.filled, water_l, tank.own_animals)
        found = read_event({"kind": kind, **told}, place, events)
    if problems.fatal or found is None:
        raise TankFileErrors(problems.fatal)
    return found, problems.remarks


def entry_kind(word: str) -> str:
    """The kind a word names; raises `TankFileErrors` for one that is none."""
    plain = word.strip().lower().replace("_", "-").replace(" ", "-")
    kind = OTHER_WORDS.get(plain, plain)
    if kind in USUAL:
        return kind
    near = nearest(plain, USUAL)
    if near is not None:
        fail("record-kind-near", value=shown(word), near=near)
    return fail("record-kind", value=shown(word), known=tuple(USUAL))


def _told(kind: str, words: Sequence[str]) -> dict[str, Any]:
    """Values by key, in the forms a tank file holds them in."""
    table = READING if kind == READING_WORD else event_table(EVENT_KINDS[kind])
    told: dict[str, Any] = {}
    usual = list(USUAL[kind])
    for word in words:
        name, sign, value = word.partition("=")
        key = table.key(name.strip().lower().replace("-", "_")) if sign else None
        if key is None and sign and kind == "equipment" and name.strip().lower() in SIZES:
            fail("equipment-size", field=name.strip().lower())
        if key is None and sign and nearest(name, table.names) and " " not in name.strip():
            fail("record-key", value=shown(name), near=nearest(name, table.names))
        if key is None:
            if not usual:
                fail("record-word", value=shown(word), kind=kind, known=_others(table))
            key, value = table.key(usual.pop(0)), word
        if key is not None:
            _put(told, key, value.strip(), table)
    return told


def _put(told: dict[str, Any], key: Key, text: str, table: Table) -> None:
    if key.name == "fraction" and table.key("volume") and not _share(text):
        if (bare := _number(text)) is not None and bare > 1.0:
            fail("record-share-or-litres", field="volume", value=shown(text), number=f"{bare:g}")
        told["volume"] = text  # a water change told in litres
    else:
        told[key.name] = typed(text, key.form)


def _share(text: str) -> bool:
    number = _number(text.removesuffix("%"))
    return number is not None and (text.endswith("%") or number <= 1.0)


def typed(text: str, form: Form | Table | ListOf) -> Any:
    """A text as the value a tank file would hold; text it stays where that cannot be."""
    if isinstance(form, Number):
        number = _number(text.removesuffix("%"))
        if number is None:
            return text
        if text.endswith("%"):
            return number / 100.0
        return int(number) if number == int(number) and form.whole else number
    if isinstance(form, NumberRange):
        return _range(text, form.one)
    if isinstance(form, Flag):
        plain = text.lower()
        return True if plain in YES else False if plain in NO else text
    if form is MEDIA_FROM_NOW_ON:
        return _media(text)
    if isinstance(form, Day):
        try:
            return date.fromisoformat(text)
        except ValueError:
            return text
    return text


def _media(text: str) -> Any:
    """Media told as in a file, or as ``1 L ceramic, 0.5 L sponge``."""
    if text.startswith("["):
        try:
            return tomllib.loads(f"media = {text}")["media"]
        except tomllib.TOMLDecodeError:
            fail("record-media-list", field="media", value=shown(text))
    found = [_MEDIUM.fullmatch(part) for part in _LISTED.split(text)]
    if not all(found):
        fail("record-media-list", field="media", value=shown(text))
    return [{"kind": each["kind"], "volume": each["volume"]} for each in found if each]


def _range(text: str, form: Number) -> Any:
    """One number, or a list of two where a range is told; per cent holds for both ends."""
    parts = _BETWEEN.split(text.strip())
    if len(parts) != 2:
        return typed(text, form)
    if parts[1].endswith("%"):
        parts[0] = parts[0].removesuffix("%").strip() + "%"
    return [typed(part, form) for part in parts]


def _number(text: str) -> float | None:
    try:
        return float(text.strip().replace(",", "."))
    except ValueError:
        return None


def _others(table: Table) -> tuple[str, ...]:
    hidden = ("kind", "at", *(key.name for key in HABIT_KEYS))
    return tuple(name for name in table.names if name not in hidden)


def kind_word(what: Event | Habit | ReadingRecord) -> str:
    """The kind of an entry, as `read_entry_words` takes it."""
    if isinstance(what, ReadingRecord):
        return READING_WORD
    record = type(what.template if isinstance(what, Habit) else what)
    return next(kind.word for kind in EVENT_KINDS.values() if kind.record is record)
