"""What a keeper tells of trouble, from words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime

from watervane.advice.trouble_log import told_by_log
from watervane.exchange.problems import TankFileErrors, nearest, shown
from watervane.exchange.quick_tank import quick_tank
from watervane.exchange.word_reader import Words
from watervane.kits.sizes import SCALES
from watervane.records import Finding, Reading, Tank
from watervane.records.trouble import NONE_DONE, TroubleAnswers
from watervane.reference.trouble import trouble_tables

MOST_DAYS = 20_000
UNSURE = "unsure"
MOST_NEAR = 3
FREEZING_C, TOO_HOT_C = 0.0, 50.0  # nothing that is kept lives beyond; from memory
READ, READ_BEFORE = "reading", "before"


def read_trouble_words(words: Words, log: Tank | None, at: datetime) -> TroubleAnswers:
    """Answers as typed, added to what a log tells; a reading typed goes before one of the log.

    Parameters
    ----------
    words
        By option, without its dashes: ``see``, ``not-seen``, ``after``, ``reading``, ``before``,
        texts each; ``who`` and ``since``.
    log
        A tank whose log tells the rest; without one, ``animals`` and ``days-old`` are read.
    at
        The moment of the readings.

    Raises
    ------
    TankFileErrors
        With every answer that is not understood; ``field`` names its question.
    """
    tables, problems = trouble_tables(), list[Finding]()
    told = _without_file(words, at, problems) if log is None else told_by_log(log, at)
    see = _several("see", words, tuple(tables.signs), problems)
    absent = _several("not-seen", words, tuple(tables.signs), problems)
    for sign in sorted(set(see) & set(absent)):
        problems.append(_problem("trouble-both", "not-seen", sign))
    after = _several("after", words, (*tables.done, NONE_DONE, UNSURE), problems)
    who = _one("who", words, tables.who, problems)
    since = _one("since", words, tables.since, problems)
    now = _read(READ, words, at, problems)
    earlier = _read(READ_BEFORE, words, at, problems)
    if problems:
        raise TankFileErrors(problems)
    done, partly = _deeds(after, told)
    return replace(
        told,
        see=see,
        absent=absent,
        who=who,
        since=since,
        done=done,
        partly=partly,
        log_alone=tuple(deed for deed in told.done if deed in done and deed not in after),
        readings=_newest(now, told.readings),
        before=_newest(earlier, told.before),
    )


def _without_file(words: Words, at: datetime, problems: list[Finding]) -> TroubleAnswers:
    """Age and animals as typed."""
    animals = tuple(text for text in _texts("animals", words) if text.strip())
    days = "".join(_texts("days-old", words)).strip()
    if days and not (days.isdecimal() and int(days) <= MOST_DAYS):
        problems.append(_problem("trouble-days-unread", "days-old", days))
        days = ""
    age = float(days) if days else None
    if not animals:
        return TroubleAnswers(age_days=age)
    try:
        tank, _ = quick_tank(at, (), animals, None, int(days) if days else None)
    except TankFileErrors as error:
        problems += [
            replace(each, arguments={**each.arguments, "field": "animals"}, line=None)
            for each in error.problems
        ]
        return TroubleAnswers(age_days=age)
    log = told_by_log(tank, at)
    return TroubleAnswers(
        age_days=age, liked_c=log.liked_c, heads=log.heads, kinds_kept=log.kinds_kept
    )


def tank_of_words(words: Words, at: datetime) -> Tank:
    """A tank of which only animals and age are told; fish that are not named where none are.

    Parameters
    ----------
    words
        By option, as understood before.
    at
        The moment.
    """
    animals = tuple(text for text in _texts("animals", words) if text.strip())
    days = "".join(_texts("days-old", words)).strip()
    return quick_tank(at, (), animals, None, int(days) if days else None)[0]


def _deeds(after: tuple[str, ...], told: TroubleAnswers) -> tuple[tuple[str, ...], bool]:
    """What was done by word and log; whoever answers has thought of all of it."""
    if not after:
        return told.done, told.partly
    named = [deed for deed in after if deed not in (NONE_DONE, UNSURE)]
    deeds = tuple(dict.fromkeys((*named, *told.done)))
    unsure = UNSURE in after
    return deeds or (() if unsure else (NONE_DONE,)), unsure and bool(deeds)


def _newest(typed: Sequence[Reading], logged: Sequence[Reading]) -> tuple[Reading, ...]:
    names = {reading.quantity for reading in typed}
    return (*typed, *(reading for reading in logged if reading.quantity not in names))


def _texts(name: str, words: Words) -> tuple[str, ...]:
    told = words.get(name)
    if isinstance(told, str):
        return (told,)
    return told if isinstance(told, tuple) else ()


def _several(
    name: str, words: Words, known: tuple[str, ...], problems: list[Finding]
) -> tuple[str, ...]:
    found = [_known(name, text, known, problems) for text in _texts(name, words)]
    return tuple(dict.fromkeys(each for each in found if each))


def _one(name: str, words: Words, known: tuple[str, ...], problems: list[Finding]) -> str:
    texts = _texts(name, words)
    return _known(name, texts[-1], known, problems) if texts else ""


def _known(name: str, text: str, known: tuple[str, ...], problems: list[Finding]) -> str:
    word = "-".join(text.strip().lower().replace("_", " ").split())
    if not word or word in known:
        return word
    problems.append(_problem("trouble-unknown", name, text, known=near_names(word, known)))
    return ""


def _can_be(reading: Reading) -> bool:
    """Whether any tank can be that warm; a figure without its unit may be of the other scale."""
    ends = [end for end in (reading.value.low, reading.value.high) if end is not None]
    return reading.quantity != "temperature" or all(FREEZING_C <= e <= TOO_HOT_C for e in ends)


def near_names(word: str, known: tuple[str, ...]) -> tuple[str, ...]:
    """The names most like a word; all of them where none is alike."""
    found: list[str] = []
    left = list(known)
    while left and len(found) < MOST_NEAR and (near := nearest(word, left)) is not None:
        found.append(near)
        left.remove(near)
    return tuple(found) or known


def _problem(key: str, name: str, told: str, **more: object) -> Finding:
    words: Mapping[str, object] = {"option": f"--{name}", "told": shown(told), "field": name}
    return Finding(key, "problem", {**words, **more})


def _read(name: str, words: Words, at: datetime, problems: list[Finding]) -> tuple[Reading, ...]:
    """Readings by the grammar of ``today``; one of each quantity, of what kits are known for."""
    found: dict[str, Reading] = {}
    for text in _texts(name, words):
        if not text.strip():
            continue
        try:
            tank, _ = quick_tank(at, (text,), ())
        except TankFileErrors as error:
            for each in error.problems:
                places = {"name": f"--{name}", "field": name, "quantity_told": text.split()[0]}
                problems.append(replace(each, arguments={**each.arguments, **places}, line=None))
            continue
        for reading in tank.readings:
            if not _can_be(reading):
                beyond = _problem("trouble-no-such-warmth", name, reading.value.raw)
                told = {**beyond.arguments, "quantity_told": reading.quantity}
                problems.append(replace(beyond, arguments=told))
            elif reading.quantity not in SCALES:
                known = tuple(SCALES)
                problems.append(_problem("trouble-reading-unused", name, text, known=known))
            elif reading.quantity in found:
                problems.append(_problem("trouble-reading-twice", name, reading.quantity))
            else:
                found[reading.quantity] = reading
    return tuple(found.values())
