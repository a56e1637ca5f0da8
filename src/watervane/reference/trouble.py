"""The tables of trouble: causes, signs, whom and how fast, deeds, and what each does to water."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from watervane.reference.first_aid import aid_tables
from watervane.reference.sources import TableError, package_text
from watervane.reference.tables import check_known, check_origin, number_in, read_records

EVERY, RENEWED = "*", "water-renewed"
AGES = ("new", "young", "grown", "old")
LOOKS = ("behaviour", "gills", "skin", "water", "count", "night")
HOWS = ("is", "times", "plus", "apart", "shift", "under", "over")
_ORIGIN = ("source", "quality")


@dataclass(frozen=True, slots=True)
class Cause:
    """A cause of trouble.

    ``aid`` is the cause of first aid it belongs to; ``asked`` how often it is the one, by age of
    the tank; ``needs`` are deeds of which one went before; ``weighed`` is ``water`` or ``table``.
    """

    key: str
    aid: str
    asked: Mapping[str, float]
    needs: tuple[str, ...]
    weighed: str


@dataclass(frozen=True, slots=True)
class Sign:
    """A sign: how often it is there for other reasons, how often named where it is there.

    ``look`` is what shows it; ``aid`` is the answer of first aid that comes nearest.
    """

    key: str
    otherwise: float
    named: float
    look: str
    aid: str


@dataclass(frozen=True, slots=True)
class WaterRange:
    """The central nine tenths of a quantity, or of what a cause does to it."""

    quantity: str
    how: str
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class TroubleTables:
    """All tables; chances are by cause, then by what is answered.

    ``anyway`` is how often each deed is done whatever
    the cause. ``wander`` is what any water does from one week to the next, whatever the cause,
    ``renewed`` what a change of water does to it besides.
    """

    causes: Mapping[str, Cause]
    signs: Mapping[str, Sign]
    shows: Mapping[str, Mapping[str, float]]
    settings: Mapping[str, Mapping[str, Mapping[str, float]]]
    doings: Mapping[str, Mapping[str, float]]
    anyway: Mapping[str, float]
    usual: Mapping[str, tuple[WaterRange, ...]]
    changed: Mapping[str, tuple[WaterRange, ...]]
    wander: tuple[WaterRange, ...]
    renewed: tuple[WaterRange, ...]

    @property
    def who(self) -> tuple[str, ...]:
        """Who may suffer."""
        return tuple(next(iter(self.settings.values()))["who"])

    @property
    def since(self) -> tuple[str, ...]:
        """Since when."""
        return tuple(next(iter(self.settings.values()))["since"])

    @property
    def done(self) -> tuple[str, ...]:
        """What may have been done."""
        return tuple(next(iter(self.doings.values())))


@cache
def trouble_tables() -> TroubleTables:
    """The shipped tables.

    Raises
    ------
    TableError
        Names file and line of what is wrong.
    """
    causes = read_trouble_causes(package_text("trouble_causes.csv"))
    signs = _signs(package_text("trouble_signs.csv"))
    doings = _doings(package_text("trouble_doings.csv"), causes)
    changed = _changed(package_text("trouble_waters.csv"), causes)
    return TroubleTables(
        causes=causes,
        signs=signs,
        shows=read_shows(package_text("trouble_causes_signs.csv"), causes, signs),
        settings=read_settings(package_text("trouble_settings.csv"), causes),
        doings={cause: doings[cause] for cause in causes},
        anyway=doings[EVERY],
        usual=_usual(package_text("trouble_usual_waters.csv")),
        changed={cause: changed[cause] for cause in causes},
        wander=changed[EVERY],
        renewed=changed[RENEWED],
    )


def read_trouble_causes(text: str) -> Mapping[str, Cause]:
    """Causes by key."""
    file, found = "trouble_causes.csv", {}
    columns = ("id", "aid", *AGES, "needs", "weighed", *_ORIGIN, "note")
    for place, row in _rows(text, file, columns):
        check_known(row["aid"], aid_tables().causes, place)
        check_known(row["weighed"], ("water", "table"), place)
        found[row["id"]] = Cause(
            row["id"],
            row["aid"],
            {age: number_in(row, age, place) for age in AGES},
            tuple(each for each in row["needs"].split(";") if each),
            row["weighed"],
        )
    return MappingProxyType(found)


def read_shows(
    text: str, causes: Mapping[str, Cause], signs: Mapping[str, Sign]
) -> Mapping[str, Mapping[str, float]]:
    """Chance that a cause brings a sign about; what is not named it does not.

    Raises
    ------
    TableError
        For an unknown cause or sign, a chance that is none, and a pair told twice.
    """
    found: dict[str, dict[str, float]] = {cause: {} for cause in causes}
    columns = ("cause", "sign", "chance", *_ORIGIN)
    for place, row in _rows(text, "trouble_causes_signs.csv", columns):
        check_known(row["cause"], causes, place)
        check_known(row["sign"], signs, place)
        if row["sign"] in found[row["cause"]]:
            raise TableError(f"{place}: '{row['sign']}' under '{row['cause']}' comes twice")
        found[row["cause"]][row["sign"]] = _chance(row, "chance", place)
    return MappingProxyType(found)


def read_settings(
    text: str, causes: Mapping[str, Cause]
) -> Mapping[str, Mapping[str, Mapping[str, float]]]:
    """Chances of whom it takes and how fast, by cause, question and answer.

    Raises
    ------
    TableError
        Where the chances of a question do not add to one under a cause.
    """
    found: dict[str, dict[str, dict[str, float]]] = {
        cause: {"who": {}, "since": {}} for cause in causes
    }
    columns = ("cause", "question", "answer", "chance", *_ORIGIN)
    for place, row in _rows(text, "trouble_settings.csv", columns):
        check_known(row["cause"], causes, place)
        check_known(row["question"], ("who", "since"), place)
        found[row["cause"]][row["question"]][row["answer"]] = _chance(row, "chance", place)
    for cause, asked in found.items():
        for question, told in asked.items():
            if abs(sum(told.values()) - 1.0) > 1e-9:
                raise TableError(f"trouble_settings.csv: '{question}' of '{cause}' is not whole")
    return MappingProxyType(found)


def _signs(text: str) -> Mapping[str, Sign]:
    found, columns = {}, ("id", "otherwise", "named", "look", "aid", *_ORIGIN)
    for place, row in _rows(text, "trouble_signs.csv", columns):
        check_known(row["look"], LOOKS, place)
        check_known(row["aid"], aid_tables().seen, place)
        otherwise, named = _chance(row, "otherwise", place), _chance(row, "named", place)
        found[row["id"]] = Sign(row["id"], otherwise, named, row["look"], row["aid"])
    return MappingProxyType(found)


def _doings(text: str, causes: Mapping[str, Cause]) -> Mapping[str, Mapping[str, float]]:
    found: dict[str, dict[str, float]] = {cause: {} for cause in (EVERY, *causes)}
    columns = ("doing", "cause", "probability", *_ORIGIN)
    for place, row in _rows(text, "trouble_doings.csv", columns):
        check_known(row["cause"], [EVERY, *causes], place)
        check_known(row["doing"], aid_tables().done, place)
        for cause in found if row["cause"] == EVERY else (row["cause"],):
            found[cause][row["doing"]] = _chance(row, "probability", place)
    return MappingProxyType(found)


def _usual(text: str) -> Mapping[str, tuple[WaterRange, ...]]:
    found: dict[str, list[WaterRange]] = {age: [] for age in AGES}
    columns = ("age", "quantity", "low", "high", *_ORIGIN, "note")
    for place, row in _rows(text, "trouble_usual_waters.csv", columns):
        check_known(row["age"], [EVERY, *AGES], place)
        for age in AGES if row["age"] == EVERY else (row["age"],):
            found[age].append(_range(row, "is", place))
    return MappingProxyType({age: tuple(told) for age, told in found.items()})


def _changed(text: str, causes: Mapping[str, Cause]) -> Mapping[str, tuple[WaterRange, ...]]:
    found: dict[str, list[WaterRange]] = {cause: [] for cause in (EVERY, RENEWED, *causes)}
    columns = ("cause", "quantity", "how", "low", "high", *_ORIGIN, "note")
    for place, row in _rows(text, "trouble_waters.csv", columns):
        check_known(row["cause"], [EVERY, RENEWED, *causes], place)
        check_known(row["how"], HOWS, place)
        found[row["cause"]].append(_range(row, row["how"], place))
    return MappingProxyType({cause: tuple(told) for cause, told in found.items()})


def _range(row: Mapping[str, str], how: str, place: str) -> WaterRange:
    low, high = number_in(row, "low", place), number_in(row, "high", place)
    if high < low or (how != "shift" and low <= 0.0):
        raise TableError(f"{place}: a range goes from low to high, both above 0")
    return WaterRange(row["quantity"], how, low, high)


def _chance(row: Mapping[str, str], column: str, place: str) -> float:
    told = number_in(row, column, place)
    if not 0.0 < told < 1.0:
        raise TableError(f"{place}: a chance lies between 0 and 1")
    return told


def _rows(
    text: str, file: str, columns: tuple[str, ...]
) -> Iterable[tuple[str, Mapping[str, str]]]:
    for line, row in read_records(text, file, columns):
        place = f"{file}:{line}"
        check_origin(row["source"], row["quality"], place)
        yield place, row
