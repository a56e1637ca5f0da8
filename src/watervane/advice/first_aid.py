"""The next hour of a tank in trouble, in an order that harms under no cause left open.

Causes are weighted by what is answered (Bayes' rule on rough tables), acts are chosen for doing no
harm under any cause the answers do not rule out, and put in order by what they avert per minute:
Smith's rule for jobs on one pair of hands. An act that harms alone comes with its remedy: air lifts
pH where carbon dioxide leaves, so what takes ammonia away goes with it.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping
from functools import lru_cache

from watervane.records.first_aid import AidAct, AidAnswers, AidCause, AidLeft, FirstAid
from watervane.reference.first_aid import Act, AidTables, aid_tables

NONE_DONE = "none"
HOUR_MIN = 60.0
SOON_MIN = 4.0  # minutes in which gases and conditioners have done little yet
FIRST, LAST = "mains", "watch"
LEAST_LIKELY = 0.01  # of causes together: what helps under them alone is not worth a line
MOST_LEFT = 5
CHANGES = ("change-fifth", "change-tenth")


def first_aid(answers: AidAnswers) -> FirstAid:
    """What to do now, from at most three answers.

    Parameters
    ----------
    answers
        Of known keys; what is not answered rules nothing out.
    """
    tables = aid_tables()
    return hour_for(answers, cause_shares(answers, tables), open_causes(answers, tables))


def hour_for(
    answers: AidAnswers,
    shares: Mapping[str, float],
    left_open: frozenset[str],
    before: Collection[str] = (),
) -> FirstAid:
    """What to do now, the causes being so likely, that harms under none of those left open.

    Parameters
    ----------
    answers
        What is told.
    shares
        Chance by cause.
    left_open
        Causes under which nothing may harm.
    before
        Acts that go before all others, though their causes be improbable.
    """
    tables = aid_tables()
    useful = ranked(shares, tables)
    first = [*(key for key in useful if key in before), *before]
    wanted = dict.fromkeys((*first, *useful))
    order = scheduled(wanted, left_open, tables)
    acts, start = [], 0.0
    for act in order:
        acts.append(AidAct(act.key, start, act.minutes, _helped(act, shares, tables)))
        start += act.minutes
    causes = [AidCause(key, share, key in left_open) for key, share in shares.items()]
    changed = any(act.key in CHANGES for act in order)
    return FirstAid(
        answers,
        tuple(acts),
        _left_alone(shares, left_open, tables),
        tuple(sorted(causes, key=lambda cause: -cause.share)),
        next_tests(answers, shares, tables),
        acts_at_once(order, left_open),
        () if changed else causes_against_change(shares, left_open),
    )


def causes_against_change(
    shares: Mapping[str, float], left_open: frozenset[str]
) -> tuple[str, ...]:
    """Open causes under which any change of water harms whatever goes with it, the likeliest first.

    Parameters
    ----------
    shares
        Chance by cause.
    left_open
        Causes under which nothing may harm.
    """
    against = [
        cause
        for cause in left_open
        if not any(_may(change, frozenset((cause,))) for change in CHANGES)
    ]
    return tuple(sorted(against, key=lambda cause: (-shares[cause], cause)))


def acts_against(causes: Iterable[str], answers: AidAnswers, tables: AidTables) -> tuple[str, ...]:
    """Acts of the hour that help under some causes, in an order that harms under no open one.

    Parameters
    ----------
    causes
        What is known to be wrong.
    answers
        They leave other causes open: under these nothing may harm either.
    tables
        Of first aid.
    """
    chances = cause_shares(answers, tables)
    known = set(causes)
    shares = {cause: share if cause in known else 0.0 for cause, share in chances.items()}
    total = sum(shares.values())
    if total <= 0.0:  # the answers rule out what is known all the same: each counts alike
        shares = {cause: (cause in known) / len(known) for cause in shares}
        total = 1.0
    shares = {cause: share / total for cause, share in shares.items()}
    left_open = open_causes(answers, tables) | known
    return tuple(act.key for act in acts_in_order(shares, left_open, tables))


def acts_at_once(order: list[Act], left_open: frozenset[str]) -> int:
    """How many acts make the shortest beginning of an order that helps and can stand by itself.

    Parameters
    ----------
    order
        Acts of an hour in their order.
    left_open
        Causes under which nothing may harm.
    """
    begun: set[str] = set()
    needed: set[str] = set()
    for count, act in enumerate(order, 1):
        begun.add(act.key)
        needed.update(other for other, _ in _needs(act.key, left_open))
        if count > 1 and needed <= begun:
            return count
    return len(order)


def open_causes(answers: AidAnswers, tables: AidTables) -> frozenset[str]:
    """Causes that no answer rules out."""
    told = set(answers.tests.items())
    return frozenset(
        key
        for key, cause in tables.causes.items()
        if not told.intersection(cause.excluded_by)
        and not (
            cause.only_after
            and answers.done
            and not answers.partly
            and not set(cause.only_after) & set(answers.done)
        )
    )


def cause_shares(answers: AidAnswers, tables: AidTables) -> Mapping[str, float]:
    """The chance of each cause, none where it is ruled out; together 1."""
    left_open = open_causes(answers, tables)
    weights = {key: tables.causes[key].prior if key in left_open else 0.0 for key in tables.causes}
    for key in left_open:
        weight = weights[key]
        if answers.see:
            weight *= tables.signs[key][answers.see]
        if answers.done:
            for doing, chance in tables.doings[key].items():
                if doing in answers.done:
                    weight *= chance
                elif not answers.partly:  # what nobody knows says nothing
                    weight *= 1.0 - chance
        for test, level in answers.tests.items():
            weight *= tables.tests[key][test][level]
        weights[key] = weight
    total = sum(weights.values())
    if total <= 0.0:  # answers that fit nothing: all that is open is as likely as the rest
        return {key: (key in left_open) / len(left_open) for key in weights}
    return {key: weight / total for key, weight in weights.items()}


def acts_in_order(
    shares: Mapping[str, float], left_open: frozenset[str], tables: AidTables
) -> list[Act]:
    """Acts of the hour in their order; none harms under an open cause, given what is done by then.

    Parameters
    ----------
    shares
        Chance by cause.
    left_open
        Causes under which nothing may harm.
    """
    return scheduled(ranked(shares, tables), left_open, tables)


def ranked(shares: Mapping[str, float], tables: AidTables) -> tuple[str, ...]:
    """Acts that help under some likely cause, what averts most harm a minute first."""
    rates = {
        act.key: _averted_per_h(act, shares, tables) / act.minutes
        for act in tables.acts.values()
        if act.kind == "do" and act.key not in (FIRST, LAST)
    }
    worth = [key for key in rates if _worth_a_line(key, shares, tables)]
    return tuple(sorted(worth, key=lambda key: -rates[key]))


def scheduled(wanted: Iterable[str], left_open: frozenset[str], tables: AidTables) -> list[Act]:
    """Acts in the order wanted, as far as they do no harm, each with its remedies in time.

    What an act needs *before* it is done before; what it needs *with* it begins within
    `SOON_MIN` minutes of it. What begins after the hour is left out.

    Parameters
    ----------
    wanted
        Keys of acts, the most useful first.
    left_open
        Causes under which nothing may harm.
    """
    hour = _Hour(left_open, tables)
    hour.do(FIRST)
    for key in wanted:
        if not _may(key, left_open) or hour.stood_in_for(key):
            continue
        hour.make_room_for(key)
        hour.do(key)
    hour.settle()
    return [*hour.acts, tables.acts[LAST]]


class _Hour:
    """The acts so far, and remedies that are due by some minute."""

    def __init__(self, left_open: frozenset[str], tables: AidTables) -> None:
        self._open, self._tables = left_open, tables
        self._due: dict[str, float] = {}
        self._done: list[str] = []
        self._spent_min = 0.0

    @property
    def acts(self) -> list[Act]:
        """What is done, in order."""
        return [self._tables.acts[key] for key in self._done]

    def stood_in_for(self, key: str) -> bool:
        """Whether something better than it is done already."""
        return self._tables.acts[key].instead_of in self._done

    def make_room_for(self, key: str) -> None:
        """Do what is due first, where it would come too late after an act and its needs."""
        while self._due and not self._in_time_after(key):
            self._next_due()

    def do(self, key: str) -> None:
        """An act after what must come before it; what must go with it falls due."""
        if key in self._done:
            return
        needs = _needs(key, self._open)
        for other, when in needs:
            if when == "before":
                self.make_room_for(other)
                self.do(other)
        self.make_room_for(key)  # what was done before it may have made something due
        minutes = self._tables.acts[key].minutes
        if key in self._done or self._spent_min + minutes > HOUR_MIN:
            return
        for other, when in needs:
            if when == "with" and other not in self._done:
                soon = self._spent_min + SOON_MIN
                self._due[other] = min(soon, self._due.get(other, soon))
        self._due.pop(key, None)
        self._done.append(key)
        self._spent_min += minutes

    def settle(self) -> None:
        """Do all that is due."""
        while self._due:
            self._next_due()

    def _next_due(self) -> None:
        self.do(min(self._due, key=lambda key: (self._due[key], self._tables.acts[key].minutes)))

    def _in_time_after(self, key: str) -> bool:
        """Whether all that is due, and all that an act makes due, can still begin in time."""
        clock = self._spent_min
        due = {other: at for other, at in self._due.items() if other != key}
        for other, when in _needs(key, self._open):
            if other in self._done:
                continue
            if when == "before":
                clock += self._tables.acts[other].minutes
            else:
                due.setdefault(other, clock + SOON_MIN)
        clock += self._tables.acts[key].minutes
        for other, at in sorted(due.items(), key=lambda item: item[1]):
            if clock > at:
                return False
            clock += self._tables.acts[other].minutes
        return True


@lru_cache(maxsize=4096)
def _needs(key: str, left_open: frozenset[str]) -> tuple[tuple[str, str], ...]:
    """Remedies of an act's harm under the open causes, the most urgent cause first."""
    tables, found = aid_tables(), []
    for cause in sorted(left_open, key=lambda name: (tables.causes[name].hours, name)):
        told = tables.effects[key, cause]
        if told.effect == "harms" and told.unless:
            found.append((told.unless, told.when))
    return tuple(dict.fromkeys(found))


@lru_cache(maxsize=4096)
def _may(key: str, left_open: frozenset[str], asked: tuple[str, ...] = ()) -> bool:
    """Whether an act, with what its harm is remedied by, harms under no open cause."""
    if key in asked:
        return True  # two that go together remedy each other
    tables = aid_tables()
    for cause in left_open:
        told = tables.effects[key, cause]
        if told.effect == "harms" and not (
            told.unless and _may(told.unless, left_open, (*asked, key))
        ):
            return False
    return True


def _averted_per_h(act: Act, shares: Mapping[str, float], tables: AidTables) -> float:
    """Harm an act averts an hour: chance of each cause, its share, by the hours it leaves."""
    return sum(
        share * tables.effects[act.key, cause].share / tables.causes[cause].hours
        for cause, share in shares.items()
    )


def _worth_a_line(key: str, shares: Mapping[str, float], tables: AidTables) -> bool:
    helped = sum(share for cause, share in shares.items() if tables.effects[key, cause].share)
    return helped >= LEAST_LIKELY


def _helped(act: Act, shares: Mapping[str, float], tables: AidTables) -> str:
    """The cause under which an act averts most."""
    worth = {
        cause: share * tables.effects[act.key, cause].share / tables.causes[cause].hours
        for cause, share in shares.items()
    }
    best = max(worth, key=lambda cause: worth[cause])
    return best if worth[best] > 0.0 else ""


def _left_alone(
    shares: Mapping[str, float], left_open: frozenset[str], tables: AidTables
) -> tuple[AidLeft, ...]:
    """What would harm most by expectation, each with the likeliest cause under which it does."""
    found = []
    for act in tables.acts.values():
        harmed = {
            cause: shares[cause] / tables.causes[cause].hours
            for cause in left_open
            if act.kind == "leave" and tables.effects[act.key, cause].effect == "harms"
        }
        if harmed:
            worst = max(harmed, key=lambda cause: (harmed[cause], cause))
            found.append((sum(harmed.values()), AidLeft(act.key, worst)))
    found.sort(key=lambda item: -item[0])
    return tuple(left for _, left in found[:MOST_LEFT])


def next_tests(
    answers: AidAnswers, shares: Mapping[str, float], tables: AidTables
) -> tuple[str, ...]:
    """Tests not made yet, the one that is expected to tell most of the cause first."""
    gains = {
        test: _expected_gain(test, levels, shares, tables)
        for test, levels in tables.levels.items()
        if test not in answers.tests
    }
    return tuple(sorted(gains, key=lambda test: -gains[test]))


def _expected_gain(
    test: str, levels: tuple[str, ...], shares: Mapping[str, float], tables: AidTables
) -> float:
    """Mutual information of a test and the cause. [nat]"""
    gain = 0.0
    for level in levels:
        joint = {cause: share * tables.tests[cause][test][level] for cause, share in shares.items()}
        total = sum(joint.values())
        gain += sum(
            both * math.log(both / (shares[cause] * total))
            for cause, both in joint.items()
            if both > 0.0
        )
    return gain
