"""Which causes explain trouble, by Bayes' rule; what to check next, what to do meanwhile."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from watervane.advice.first_aid import hour_for, open_causes
from watervane.advice.trouble_checks import checks
from watervane.advice.trouble_evidence import KIT_FAULT, Told, alone, renewed_chances, told_by
from watervane.advice.trouble_foretold import times_as_likely, usual_by_forecast
from watervane.advice.trouble_waters import (
    Waters,
    age_chances,
    age_shares,
    imagined_waters,
)
from watervane.records.first_aid import AidAnswers, FirstAid
from watervane.records.trouble import Trouble, TroubleAnswers, TroubleCause
from watervane.reference.first_aid import AidTables, aid_tables
from watervane.reference.trouble import TroubleTables, trouble_tables

SPEAKS, SPEAKS_NAT = 3, 0.4
AGAINST_NAT = -0.9
# One case in ten is none the tables know: a deed kept back, a stray reading that fits too well,
# two causes at once. There, answers are worth half. Chosen on other incidents than those of the
# evidence, see docs/evidence/trouble.md.
MISLED, HALF_WORTH = 0.1, 0.5
# What works on the breath within minutes, takes a minute or two and harms nobody when done in this
# company goes first as soon as what it is for is a real chance.
AT_FIRST: Mapping[str, tuple[str, ...]] = {
    "air": ("low-oxygen", "co2", "filter-stopped", "hot"),
    "dechlorinate": ("chlorine",),
    "bind": ("ammonia", "ammonium-acid"),
}
UNLIKELY = 0.005  # under it a cause that an answer rules out is ruled out
AT_FIRST_SHARE = UNLIKELY  # no cause that is still possible waits for an act of a minute
# Nor one that only the full weight of a single stray reading or forgotten deed makes so unlikely:
# with answers worth half it has this chance. By the development sets.
DOUBT_SHARE = 0.02
ACID = 7.0  # under it most ammonia sleeps
ASLEEP = "ammonium-acid"
MARKED = ("white-spots", "fuzz", "sores", "bloating", "ragged-fins")
DYING = ("deaths-all", "deaths-one-species")
AGGRESSION = "aggression"
SIGNS_THAT_FIT = ("parasite-signs", "bacterial-signs", "fungal-signs")
# Of what is seen, the answer of first aid that presses most.
PRESSING = ("gasping", "deaths", "restless", "listless", "cloudy", "marks", "usual")


@dataclass(frozen=True)
class Weighed:
    """Causes weighed by what is told.

    Parameters
    ----------
    answers
        What is told.
    prior, shares
        Probability by cause, before it and after.
    told, waters
        What each cause makes of it, and its imagined waters.
    """

    answers: TroubleAnswers
    prior: Mapping[str, float]
    shares: Mapping[str, float]
    told: Mapping[str, Told]
    waters: Mapping[str, Waters]


def find_trouble(answers: TroubleAnswers) -> Trouble:
    """Causes by probability, what to check next, and what to do meanwhile.

    Parameters
    ----------
    answers
        Of known keys, readings of `READABLE` quantities; whatever is missing rules nothing out.
    """
    tables, found = trouble_tables(), weigh(answers)
    shares = found.shares
    apart = _speaking(found)
    causes = tuple(
        TroubleCause(key, shares[key], tables.causes[key].weighed, *apart[key])
        for key in sorted(shares, key=lambda key: -shares[key])
    )
    return Trouble(
        answers,
        causes,
        checks(answers, shares, found.told, found.waters, tables),
        meanwhile(found),
        entropy_bits(shares),
        entropy_bits(found.prior),
        _veterinarian(answers, shares),
    )


def weigh(answers: TroubleAnswers) -> Weighed:
    """Probability of each cause by Bayes' rule, and what stands behind it."""
    tables = trouble_tables()
    ages = age_shares(answers.age_days)
    expected = usual_by_forecast(answers.foretold, tables)
    renewed = renewed_chances(answers, tables)
    waters = imagined_waters(ages, answers.liked_c, answers.injected, expected, renewed)
    prior = _shares(
        {
            key: sum(age_chances(cause, ages).values())
            * times_as_likely(answers.foretold, key, tables)
            for key, cause in tables.causes.items()
            if _can_be(key, answers)
        }
    )
    told = {key: told_by(tables.causes[key], answers, waters[key], tables) for key in prior}
    return Weighed(answers, prior, weighed(prior, told), told, waters)


def _can_be(cause: str, answers: TroubleAnswers) -> bool:
    """Without a reading none is wrong, and one animal has nobody to harry it."""
    if cause == KIT_FAULT:
        return bool(answers.readings)
    return cause != AGGRESSION or answers.heads != 1


def weighed(
    prior: Mapping[str, float], told: Mapping[str, Told], misled: float = MISLED
) -> dict[str, float]:
    """Probability of each cause after what is told.

    Parameters
    ----------
    prior, told
        Before it, and how likely it is under each cause.
    misled
        Chance that this is a case the tables do not know, in which answers are worth half.
    """
    fully, half = (_after(prior, told, trust) for trust in (1.0, HALF_WORTH))
    return {key: (1.0 - misled) * fully[key] + misled * half[key] for key in prior}


def _after(prior: Mapping[str, float], told: Mapping[str, Told], trust: float) -> dict[str, float]:
    """By Bayes' rule, the likelihood to a power."""
    logs = {key: math.log(prior[key]) + trust * told[key].total for key in prior}
    highest = max(logs.values())
    return _shares({key: math.exp(value - highest) for key, value in logs.items()})


def entropy_bits(shares: Mapping[str, float]) -> float:
    """How much is open. [bit]"""
    return -sum(share * math.log2(share) for share in shares.values() if share > 0.0)


def _shares(weights: Mapping[str, float]) -> dict[str, float]:
    total = sum(weights.values())
    return {key: weight / total for key, weight in weights.items()}


Pairs = tuple[tuple[str, str], ...]


def _speaking(found: Weighed) -> dict[str, tuple[Pairs, Pairs]]:
    """Which answers speak for and against each cause: those likelier, or less, than on average."""
    answers, prior, told, waters = found.answers, found.prior, found.told, found.waters
    parts = {key: dict(each.parts) for key, each in told.items()}
    for key in told:
        logs = alone(answers.readings, answers, waters[key])
        for reading, log in zip(answers.readings, logs, strict=True):
            parts[key]["reading", reading.quantity] = log
    middle = {
        answer: math.log(sum(prior[key] * math.exp(parts[key][answer]) for key in told))
        for answer in next(iter(parts.values()), {})
        if all(answer in each for each in parts.values())
    }
    apart = {}
    for key, each in parts.items():
        gains = {a: each[a] - middle[a] for a in middle if a[1] and _is_told(a, answers)}
        order = sorted(gains, key=lambda a: -gains[a])
        apart[key] = (
            tuple(a for a in order[:SPEAKS] if gains[a] > SPEAKS_NAT),
            tuple(a for a in order[::-1][:SPEAKS] if gains[a] < AGAINST_NAT),
        )
    return apart


def _is_told(answer: tuple[str, str], answers: TroubleAnswers) -> bool:
    return answer[0] != "done" or answer[1] in answers.done


def meanwhile(found: Weighed) -> FirstAid:
    """The next hour by the tables of first aid, harmless under every cause still possible."""
    tables, aids = trouble_tables(), aid_tables()
    likely = _by_aid(found, found.shares, tables)
    doubted = _by_aid(found, _after(found.prior, found.told, HALF_WORTH), tables)
    asked = as_first_aid(found.answers, tables)
    at_first = [
        act
        for act, causes in AT_FIRST.items()
        if _together(causes, likely) >= AT_FIRST_SHARE or _together(causes, doubted) >= DOUBT_SHARE
    ]
    return hour_for(asked, likely, still_possible(asked, likely, aids), at_first)


def _by_aid(
    found: Weighed, shares: Mapping[str, float], tables: TroubleTables
) -> Mapping[str, float]:
    """Chances of the causes of first aid, whose table tells what each act does."""
    likely = dict.fromkeys(aid_tables().causes, 0.0)
    for key in shares:
        cause, asleep = tables.causes[key], 0.0
        if cause.aid == "ammonia":  # in acid water it is the ammonium that air would wake
            asleep = float(((found.waters[key].now["ph"] < ACID) * found.told[key].weights).sum())
            likely[ASLEEP] += shares[key] * asleep
        likely[cause.aid] += shares[key] * (1.0 - asleep)
    return likely


def _together(causes: tuple[str, ...], likely: Mapping[str, float]) -> float:
    return sum(likely[cause] for cause in causes)


def still_possible(
    asked: AidAnswers, likely: Mapping[str, float], tables: AidTables
) -> frozenset[str]:
    """Causes of first aid under which nothing may harm.

    Ruled out is only what an answer excludes and what is improbable besides.
    """
    told = open_causes(AidAnswers(tests=asked.tests), tables)  # a deed may be forgotten
    possible = {key for key in tables.causes if key in told or likely[key] >= UNLIKELY}
    if asked.tests.get("temperature") not in ("low", "high"):
        possible |= {"hot", "cold"}  # without a thermometer that says so, nobody warms or cools
    return frozenset(possible)


def as_first_aid(answers: TroubleAnswers, tables: TroubleTables) -> AidAnswers:
    """The same answers as first aid asks for them."""
    seen = {tables.signs[sign].aid for sign in answers.see}
    see = next((each for each in PRESSING if each in seen), "")
    partly = answers.partly or ("none" not in answers.done and bool(answers.done))
    return AidAnswers(see, answers.done, _levels(answers), partly=partly)


def _levels(answers: TroubleAnswers) -> dict[str, str]:
    """What readings mean to first aid, where they leave no doubt."""
    found = {}
    for reading in answers.readings:
        ends = [end for end in (reading.value.low, reading.value.high) if end is not None]
        low, high = min(ends), max(ends)
        if reading.value.kind == "above":
            high = np.inf
        if reading.quantity == "ph":
            found["ph"] = "low" if high < ACID else "high" if low >= 7.5 else "middle"
        if reading.quantity == "temperature":
            liked = answers.liked_c or (20.0, 29.0)
            found["temperature"] = (
                "low" if high < liked[0] else "high" if low > liked[1] else "right"
            )
        for name, least in (("ammonia", 0.2), ("nitrite", 0.1), ("chlorine", 0.02)):
            if reading.quantity == name and reading.value.kind != "above":
                found[name] = "some" if low >= least else "none"
            elif reading.quantity == name:
                found[name] = "some"
    return found


def _veterinarian(answers: TroubleAnswers, shares: Mapping[str, float]) -> tuple[str, ...]:
    """Why to call an aquatic veterinarian."""
    found = []
    if sum(shares[key] for key in SIGNS_THAT_FIT) >= 0.25 or set(MARKED) & set(answers.see):
        found.append("signs")
    if set(DYING) & set(answers.see):
        found.append("dying")
    if "off-balance" in answers.see or "sores" in answers.see:
        found.append("suffering")
    return tuple(found)
