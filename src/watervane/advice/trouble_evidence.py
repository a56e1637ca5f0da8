"""How likely what a keeper tells is under each cause of trouble.

Signs: a cause brings each about with a chance of the table, or it is there for other reasons
(noisy-or); how hard the animals are hit is one unknown that all signs share, so that a second sign
of the same suffering counts for less than the first. What is there is named with a chance, and
what was not looked for says little. Given the cause and how hard it hits, signs are taken as
independent; they are not quite, and no table of joint chances exists. Animals that look as usual
and signs that nobody names say much the same: where the one is told, the others count half.
Readings: the mean over waters imagined under the cause of how likely a kit of that kind shows them
(marginal likelihood).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import product

import numpy as np
from numpy.typing import NDArray

from watervane.advice.trouble_waters import SEED, WATERS, Waters
from watervane.kits.chance import Look, look
from watervane.records import Kit, Reading
from watervane.records.trouble import NONE_DONE, TroubleAnswers
from watervane.reference.trouble import Cause, TroubleTables

Numbers = NDArray[np.float64]
HARD = (0.6, 1.25)  # times the chance of each sign, one tank as likely as the other; a guess
MOST = 0.97
REMEMBERED = 0.9  # of what was done is named by who answers; a guess
WRONGLY = 0.01
KIT_FAULT = "kit-fault"
USUAL, WATER = "as-usual", "water"
NEWCOMERS, CHANGES = "newcomers", ("water-raw", "water-change")
LASTING = ("months", "gas", "heat")  # go on as long as the trouble does
# Chance that what began so long ago came of a deed that somebody calls one of the last two days.
MAY_COME_OF = {"hours": 1.0, "a-day": 1.0, "days": 0.6, "weeks": 0.2}  # guesses
JUST_COME = 0.5  # of newcomers that alone suffer, those of the last two days; a guess
LEAST_LEFT = 0.3
REPEATED = 0.5  # power of what is said twice; a guess, see docs/evidence/trouble.md


@dataclass(frozen=True)
class Told:
    """Log likelihood of everything told, by answer, for one cause."""

    parts: Mapping[tuple[str, str], float]
    readings: float
    weights: Numbers  # of the imagined waters, given the readings

    @property
    def total(self) -> float:
        """Of all of it together."""
        return sum(self.parts.values()) + self.readings


def shown_chance(cause: str, sign: str, tables: TroubleTables, hard: float) -> float:
    """Chance that a sign is there: by the cause, or for other reasons."""
    brought = min(hard * tables.shows[cause].get(sign, 0.0), MOST)
    return 1.0 - (1.0 - tables.signs[sign].otherwise) * (1.0 - brought)


def sign_chances(cause: str, answers: TroubleAnswers, tables: TroubleTables) -> Numbers:
    """Chance of each sign as told, shape (hardness, signs); 1 where nothing was said of signs."""
    found = np.ones((len(HARD), len(tables.signs)))
    if not (answers.see or answers.absent):
        return found
    said = USUAL in answers.see
    for row, hard in enumerate(HARD):
        for column, (key, sign) in enumerate(tables.signs.items()):
            there = shown_chance(cause, key, tables, hard)
            if key in answers.see:
                found[row, column] = there * sign.named
            elif key in answers.absent:
                found[row, column] = 1.0 - there
            elif answers.see:
                again = said and sign.look != WATER
                found[row, column] = (1.0 - there * sign.named) ** (REPEATED if again else 1.0)
    return found


def told_by(cause: Cause, answers: TroubleAnswers, waters: Waters, tables: TroubleTables) -> Told:
    """Everything told, under one cause.

    Parameters
    ----------
    cause, waters
        The cause and its imagined waters.
    answers, tables
        What is told, and the tables.
    """
    signs = sign_chances(cause.key, answers, tables)
    parts: dict[tuple[str, str], float] = {}
    if answers.see or answers.absent:
        together = float(np.log(signs.prod(axis=1).mean()))
        alone = np.log(signs.mean(axis=0))
        for column, key in enumerate(tables.signs):
            if key in answers.see or key in answers.absent:
                parts["see", key] = float(alone[column])
        parts["see", ""] = together - sum(parts.values())
    for question in ("who", "since"):
        answer = getattr(answers, question)
        if answer:
            chances = tables.settings[cause.key][question]
            alike = same_answers(answer, answers)
            parts[question, answer] = float(np.log(sum(chances[each] for each in alike)))
    parts |= _deeds(cause, answers, tables)
    readings, weights = _readings(cause.key, answers, waters)
    return Told(parts, readings, weights)


def _deeds(
    cause: Cause, answers: TroubleAnswers, tables: TroubleTables
) -> dict[tuple[str, str], float]:
    """What was done: each deed by itself, but those of which the cause needs one together."""
    if not answers.done:
        return {}
    chances, found = deed_chances(cause.key, answers, tables), {}
    for deed, chance in chances.items():
        if deed in cause.needs:
            continue
        told = _named(deed, answers)
        likely = chance * _answer(told, done=True) + (1.0 - chance) * _answer(told, done=False)
        found["done", deed] = float(np.log(likely))
    if cause.needs:
        named = [deed for deed in cause.needs if deed in answers.done]
        found |= {("done", deed): 0.0 for deed in cause.needs}
        together = float(np.log(_one_of(cause, answers, chances)))
        found["done", (named or cause.needs)[0]] = together
    return found


def same_answers(answer: str, answers: TroubleAnswers) -> tuple[str, ...]:
    """What says the same in this tank: of one animal all, its kind and itself are one.

    Parameters
    ----------
    answer
        To whom it takes or since when.
    answers
        Of which the stock counts.
    """
    one = "all", "one-species", "one-animal"
    same = one if answers.heads == 1 else one[:2] if answers.kinds_kept == 1 else ()
    return same if answer in same else (answer,)


def deed_chances(cause: str, answers: TroubleAnswers, tables: TroubleTables) -> Mapping[str, float]:
    """How often each deed was done in the last two days, by who suffers and since when.

    What began before a deed did not come of it: it was done as often as in any tank. Where
    newcomers alone suffer, there are newcomers, whatever the cause; that they are named besides
    says nothing more.

    Parameters
    ----------
    cause
        Its key.
    answers, tables
        What is told, and the tables.
    """
    found = dict(tables.doings[cause])
    may = MAY_COME_OF.get(answers.since, 1.0)
    for deed in found.keys() - set(LASTING) - set(tables.causes[cause].needs):
        found[deed] = tables.anyway[deed] + may * (found[deed] - tables.anyway[deed])
    if answers.who:
        alone = tables.settings[cause]["who"][NEWCOMERS]
        others = (found[NEWCOMERS] - JUST_COME * alone) / (1.0 - alone)
        if answers.who == NEWCOMERS:
            found[NEWCOMERS] = JUST_COME
        else:
            found[NEWCOMERS] = max(others, LEAST_LEFT * found[NEWCOMERS])
    return found


def renewed_chances(
    answers: TroubleAnswers, tables: TroubleTables
) -> tuple[tuple[str, float], ...]:
    """By cause, the chance that some of the water was changed within two days.

    Parameters
    ----------
    answers, tables
        What is told, and the tables.
    """
    found = []
    for key, cause in tables.causes.items():
        kept = 1.0
        for deed in CHANGES:
            chance, told = tables.doings[key][deed], _named(deed, answers) if answers.done else None
            named = chance * _answer(told, done=True)
            kept *= 1.0 - named / (named + (1.0 - chance) * _answer(told, done=False))
        sure = bool(cause.needs) and set(cause.needs) <= set(CHANGES)
        found.append((key, 1.0 if sure else round(1.0 - kept, 3)))
    return tuple(found)


def _one_of(cause: Cause, answers: TroubleAnswers, chances: Mapping[str, float]) -> float:
    """Over all ways in which at least one of the deeds was done that the cause needs."""
    total = likely = 0.0
    for ways in product((True, False), repeat=len(cause.needs)):
        if not any(ways):
            continue
        chance = answer = 1.0
        for deed, done in zip(cause.needs, ways, strict=True):
            chance *= chances[deed] if done else 1.0 - chances[deed]
            answer *= _answer(_named(deed, answers), done=done)
        total += chance
        likely += chance * answer
    return likely / total


def _named(deed: str, answers: TroubleAnswers) -> bool | None:
    """Whether a deed is named; nothing where it is not and others may have been done, too."""
    if deed in answers.done and deed != NONE_DONE:
        return True
    return None if answers.partly else False


def _answer(told: bool | None, *, done: bool) -> float:  # noqa: FBT001 - an answer
    if told is None:
        return 1.0
    named = REMEMBERED if done else WRONGLY
    return named if told else 1.0 - named


def _readings(cause: str, answers: TroubleAnswers, waters: Waters) -> tuple[float, Numbers]:
    """Log marginal likelihood of all readings, and the weights of the waters."""
    rows = reading_chances(answers, waters)
    even = np.full(WATERS, 1.0 / WATERS)
    if not len(rows):
        return 0.0, even
    if cause == KIT_FAULT:
        each = [
            _odd(_looked(reading, _kit(reading, answers)).stray, rows[place])
            * np.delete(rows, place, axis=0).prod(axis=0)
            for place, reading in enumerate(answers.readings)
        ]
        likely = np.mean(each, axis=0)
    else:
        likely = rows.prod(axis=0)
    return float(np.log(likely.mean())), likely / likely.sum()


def _odd(stray: float, usual: Numbers) -> float:
    """Chance of a reading that has nothing to do with the water, and is odd enough to alarm.

    What a usual water shows as often is no reason to ask.
    """
    return stray * stray / (stray + float(usual.mean()))


def reading_chances(answers: TroubleAnswers, waters: Waters) -> Numbers:
    """Chance of each reading by each imagined water, those of now first, shape (readings, waters).

    Readings of one kit share its steady error.
    """
    timed = [(r, waters.now) for r in answers.readings]
    timed += [(r, waters.before) for r in answers.before]
    rows = [
        _looked(r, _kit(r, answers)).chance(at[r.quantity], steady_error(r.kit, r.quantity))
        for r, at in timed
    ]
    return np.array(rows) if rows else np.ones((0, WATERS))


@lru_cache(maxsize=64)
def steady_error(kit: str | None, quantity: str) -> Numbers:
    """Of each imagined tank's kit, standard normal."""
    label = [SEED, *f"bias {kit} {quantity}".encode()]
    return np.random.default_rng(label).standard_normal(WATERS)


@lru_cache(maxsize=256)
def _looked(reading: Reading, kit: Kit | None) -> Look:
    """The same under each cause."""
    return look(reading, kit)


def _kit(reading: Reading, answers: TroubleAnswers) -> Kit | None:
    return answers.kits.get(reading.kit) if reading.kit else None


def alone(readings: Sequence[Reading], answers: TroubleAnswers, waters: Waters) -> list[float]:
    """Log marginal likelihood of each reading by itself."""
    only = TroubleAnswers(readings=tuple(readings), kits=answers.kits)
    return [float(np.log(row.mean())) for row in reading_chances(only, waters)]
