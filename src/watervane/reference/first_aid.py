"""The tables of first aid: causes, signs, deeds, tests, and what each act does under each cause."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from watervane.reference.sources import TableError, package_text
from watervane.reference.tables import check_known, check_origin, number_in, read_records

EFFECTS = ("helps", "harmless", "harms")
EVERY = "*"
_ORIGIN = ("source", "quality")


@dataclass(frozen=True, slots=True)
class Cause:
    """A cause: how common, how many hours it leaves, and which answers rule it out.

    It is ruled out by ``excluded_by``, a test and its level, and where none of ``only_after`` was
    done.
    """

    key: str
    prior: float
    hours: float
    only_after: tuple[str, ...]
    excluded_by: tuple[tuple[str, str], ...]
    source: str
    quality: str
    note: str


@dataclass(frozen=True, slots=True)
class Act:
    """Something to do, or to leave alone, in the hour; ``instead_of`` is what it stands in for."""

    key: str
    minutes: float
    kind: str
    instead_of: str
    source: str
    quality: str
    note: str


@dataclass(frozen=True, slots=True)
class Effect:
    """What an act does under a cause.

    ``share`` of the harm is averted where it helps. What harms does not where ``unless`` is done,
    ``before`` it or ``with`` it.
    """

    effect: str
    share: float
    unless: str
    when: str
    reason: str
    source: str
    quality: str


@dataclass(frozen=True, slots=True)
class AidTables:
    """All tables; chances are by cause, then by what is answered."""

    causes: Mapping[str, Cause]
    acts: Mapping[str, Act]
    effects: Mapping[tuple[str, str], Effect]
    signs: Mapping[str, Mapping[str, float]]
    doings: Mapping[str, Mapping[str, float]]
    tests: Mapping[str, Mapping[str, Mapping[str, float]]]

    @property
    def seen(self) -> tuple[str, ...]:
        """What may be seen."""
        return tuple(next(iter(self.signs.values())))

    @property
    def done(self) -> tuple[str, ...]:
        """What may have been done."""
        return tuple(next(iter(self.doings.values())))

    @property
    def levels(self) -> Mapping[str, tuple[str, ...]]:
        """What each test may tell."""
        return {test: tuple(told) for test, told in next(iter(self.tests.values())).items()}


@cache
def aid_tables() -> AidTables:
    """The shipped tables.

    Raises
    ------
    TableError
        Names file and line of what is wrong.
    """
    causes = read_causes(package_text("aid_causes.csv"))
    acts = read_acts(package_text("aid_acts.csv"))
    return AidTables(
        causes=causes,
        acts=acts,
        effects=read_effects(package_text("aid_effects.csv"), acts, causes),
        signs=_signs(package_text("aid_signs.csv"), causes),
        doings=_doings(package_text("aid_doings.csv"), causes),
        tests=_tests(package_text("aid_tests.csv"), causes),
    )


def read_causes(text: str) -> Mapping[str, Cause]:
    """Causes by key."""
    columns = ("id", "prior", "hours", "only_after", "excluded_by", *_ORIGIN, "note")
    found = {}
    for line, row in read_records(text, "aid_causes.csv", columns):
        place = f"aid_causes.csv:{line}"
        check_origin(row["source"], row["quality"], place)
        ruled = tuple(_pair(each, place) for each in row["excluded_by"].split(";") if each)
        found[row["id"]] = Cause(
            row["id"],
            number_in(row, "prior", place),
            number_in(row, "hours", place),
            tuple(each for each in row["only_after"].split(";") if each),
            ruled,
            row["source"],
            row["quality"],
            row["note"],
        )
    return MappingProxyType(found)


def read_acts(text: str) -> Mapping[str, Act]:
    """Acts by key."""
    columns = ("id", "minutes", "kind", "instead_of", *_ORIGIN, "note")
    found = {}
    for line, row in read_records(text, "aid_acts.csv", columns):
        place = f"aid_acts.csv:{line}"
        check_origin(row["source"], row["quality"], place)
        if row["kind"] not in ("do", "leave"):
            raise TableError(f"{place}: an act is to do or to leave, not '{row['kind']}'")
        minutes = number_in(row, "minutes", place)
        told = (row["kind"], row["instead_of"], row["source"], row["quality"], row["note"])
        found[row["id"]] = Act(row["id"], minutes, *told)
    return MappingProxyType(found)


def read_effects(
    text: str, acts: Mapping[str, Act], causes: Mapping[str, Cause]
) -> Mapping[tuple[str, str], Effect]:
    """The effect of every act under every cause; a row for every cause stands for those not named.

    Raises
    ------
    TableError
        For an unknown act, cause or effect, a share outside 0 to 1, no reason, a pair told twice,
        and an act that says nothing of the causes it does not name.
    """
    columns = ("act", "cause", "effect", "share", "unless", "when", "reason", *_ORIGIN)
    told: dict[tuple[str, str], Effect] = {}
    for line, row in read_records(text, "aid_effects.csv", columns):
        place = f"aid_effects.csv:{line}"
        check_origin(row["source"], row["quality"], place)
        check_known(row["act"], acts, place)
        check_known(row["cause"], [EVERY, *causes], place)
        check_known(row["effect"], EFFECTS, place)
        if row["unless"]:
            check_known(row["unless"], acts, place)
            check_known(row["when"], ("before", "with"), place)
        share = number_in(row, "share", place) if row["effect"] == "helps" else 0.0
        if not 0.0 <= share <= 1.0 or not row["reason"]:
            raise TableError(f"{place}: a share lies between 0 and 1, and each row has a reason")
        key = (row["act"], row["cause"])
        if key in told:
            raise TableError(f"{place}: '{key[0]}' under '{key[1]}' comes twice")
        why = (row["unless"], row["when"], row["reason"], row["source"], row["quality"])
        told[key] = Effect(row["effect"], share, *why)
    bare = [act for act in acts if (act, EVERY) not in told]
    if bare:
        raise TableError(f"aid_effects.csv: nothing is told of {bare} under the other causes")
    return MappingProxyType(
        {(a, c): told.get((a, c), told[a, EVERY]) for a in acts for c in causes}
    )


def _signs(text: str, causes: Mapping[str, Cause]) -> Mapping[str, Mapping[str, float]]:
    header = text.partition("\n")[0].split(",")
    seen = [name for name in header if name not in ("cause", *_ORIGIN)]
    found = {}
    for line, row in read_records(text, "aid_signs.csv", tuple(header)):
        place = f"aid_signs.csv:{line}"
        check_origin(row["source"], row["quality"], place)
        check_known(row["cause"], causes, place)
        found[row["cause"]] = {name: number_in(row, name, place) for name in seen}
    return _whole(found, causes, "aid_signs.csv")


def _doings(text: str, causes: Mapping[str, Cause]) -> Mapping[str, Mapping[str, float]]:
    found: dict[str, dict[str, float]] = {cause: {} for cause in causes}
    columns = ("doing", "cause", "probability", *_ORIGIN)
    for line, row in read_records(text, "aid_doings.csv", columns):
        place = f"aid_doings.csv:{line}"
        check_origin(row["source"], row["quality"], place)
        check_known(row["cause"], [EVERY, *causes], place)
        for cause in causes if row["cause"] == EVERY else (row["cause"],):
            found[cause][row["doing"]] = number_in(row, "probability", place)
    return _whole(found, causes, "aid_doings.csv")


def _tests(
    text: str, causes: Mapping[str, Cause]
) -> Mapping[str, Mapping[str, Mapping[str, float]]]:
    found: dict[str, dict[str, dict[str, float]]] = {cause: {} for cause in causes}
    columns = ("test", "level", "cause", "probability", *_ORIGIN)
    for line, row in read_records(text, "aid_tests.csv", columns):
        place = f"aid_tests.csv:{line}"
        check_origin(row["source"], row["quality"], place)
        check_known(row["cause"], [EVERY, *causes], place)
        chance = number_in(row, "probability", place)
        for cause in causes if row["cause"] == EVERY else (row["cause"],):
            found[cause].setdefault(row["test"], {})[row["level"]] = chance
    return MappingProxyType(found)


def _pair(text: str, place: str) -> tuple[str, str]:
    test, colon, level = text.partition(":")
    if not colon:
        raise TableError(f"{place}: '{text}' is no test and level")
    return test, level


def _whole(
    found: Mapping[str, Mapping[str, float]], causes: Mapping[str, Cause], file: str
) -> Mapping[str, Mapping[str, float]]:
    missing = [cause for cause in causes if cause not in found]
    if missing:
        raise TableError(f"{file}: nothing is told of {missing}")
    return MappingProxyType(found)
