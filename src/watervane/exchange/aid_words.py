"""Answers of first aid, from words and readings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from watervane.exchange.problems import TankFileErrors, nearest, shown
from watervane.records import Finding
from watervane.records.first_aid import AidAnswers
from watervane.reference.first_aid import AidTables, aid_tables
from watervane.units import UnitError, parse_reading

NONE, UNSURE = "none", "unsure"
# From which reading on a level holds; animals differ in warmth, so a figure there is a rough one.
FROM: Mapping[str, tuple[tuple[str, float], ...]] = {
    "ammonia": (("none", 0.0), ("some", 0.2)),
    "nitrite": (("none", 0.0), ("some", 0.1)),
    "chlorine": (("none", 0.0), ("some", 0.02)),
    "ph": (("low", 0.0), ("middle", 7.0), ("high", 7.5)),
    "temperature": (("low", -50.0), ("right", 18.0), ("high", 29.5)),
}
EXAMPLES = {
    "ammonia": "0.7 mg/L",
    "nitrite": "0.3 mg/L",
    "chlorine": "0.5 mg/L",
    "ph": "6.4",
    "temperature": "31 degC",
}


def read_aid_words(see: str, done: Sequence[str], tests: Sequence[str]) -> AidAnswers:
    """Answers as typed.

    Parameters
    ----------
    see
        A key of what may be seen; empty where nobody says.
    done
        Keys of what was done. ``none`` beside others counts for nothing; ``unsure`` is the same as
        nothing, and beside others it leaves open what else was done.
    tests
        A test and its level or reading each, ``"ph 6.4"``.

    Raises
    ------
    TankFileErrors
        With every answer that is not understood; ``field`` names its question.
    """
    tables = aid_tables()
    problems: list[Finding] = []
    seen = _one(see, tables.seen, "see", problems)
    deeds = [_one(each, (*tables.done, NONE, UNSURE), "done", problems) for each in done]
    levels: dict[str, str] = {}
    for text in tests:
        _test(text, tables, levels, problems)
    if problems:
        raise TankFileErrors(problems)
    told = tuple(dict.fromkeys(deed for deed in deeds if deed and deed not in (NONE, UNSURE)))
    if not told and NONE in deeds and UNSURE not in deeds:
        told = (NONE,)
    return AidAnswers(seen, told, levels, partly=bool(told) and UNSURE in deeds)


def _one(told: str, known: Sequence[str], question: str, problems: list[Finding]) -> str:
    word = told.strip().lower().replace("_", "-").replace(" ", "-")
    if not word or word in known:
        return word
    near = nearest(word, known) if len(word) > 2 else None
    listed = (near,) if near else tuple(known)
    words = {"told": shown(told), "known": listed, "field": question}
    problems.append(Finding(f"aid-{question}-unknown", "problem", words))
    return ""


def _test(text: str, tables: AidTables, levels: dict[str, str], problems: list[Finding]) -> None:
    name, _, told = " ".join(text.replace("=", " ", 1).split()).partition(" ")
    test = nearest(name, tables.levels) or name.lower()
    if test not in tables.levels or not told:
        known = {"told": shown(text), "known": tuple(tables.levels), "field": "test"}
        problems.append(Finding("aid-test-unknown", "problem", known))
        return
    if test in levels:
        problems.append(Finding("aid-test-twice", "problem", {"test": test, "field": test}))
        return
    level = told.lower() if told.lower() in tables.levels[test] else _level(test, told)
    if level is None:
        words = {"told": shown(told), "test": test, "levels": tables.levels[test]}
        words |= {"example": f"{test} {EXAMPLES[test]}", "field": test}
        problems.append(Finding("aid-test-level", "problem", words))
        return
    levels[test] = level


def _level(test: str, told: str) -> str | None:
    """The level a reading stands for, by the middle of what it can mean."""
    bare = told.replace(",", ".").replace(".", "", 1).isdecimal()
    unit = {"ph": "", "temperature": " degC"}.get(test, " mg/L") if bare else ""
    try:
        read = parse_reading(f"{told}{unit}", test)
    except UnitError:
        return None
    low = 0.0 if read.kind == "below" else read.low
    ends = [end for end in (low, read.high) if end is not None]
    middle = sum(ends) / len(ends)
    return [level for level, least in FROM[test] if middle >= least][-1]
