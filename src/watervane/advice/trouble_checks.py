"""What to look at or to test next: how much each is expected to tell of the cause, in bits.

The mutual information of what would be found and the cause, given all that is told so far.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
from numpy.typing import NDArray

from watervane.advice.trouble_evidence import HARD, Told, shown_chance, steady_error
from watervane.advice.trouble_waters import READABLE, WATERS, Waters
from watervane.kits.chance import look
from watervane.kits.faces import face
from watervane.records import Kit, Reading, ReadingValue
from watervane.records.trouble import TroubleAnswers, TroubleCheck
from watervane.reference.trouble import TroubleTables

Numbers = NDArray[np.float64]
MOST_SHOWN = 40
FEWER = slice(0, WATERS, 5)  # waters are drawn in no order, so any of them will do
WITHOUT_KIT = ("temperature",)  # everybody has a thermometer
FEW_HAVE = ("oxygen", "co2", "chlorine", "chloride")  # a kit for it; from memory
LEAST_BITS = 0.02
_AT = datetime(2026, 1, 1, tzinfo=UTC)


def checks(
    answers: TroubleAnswers,
    shares: Mapping[str, float],
    told: Mapping[str, Told],
    waters: Mapping[str, Waters],
    tables: TroubleTables,
) -> tuple[TroubleCheck, ...]:
    """Tests and looks that tell something, the most telling first; tests at hand before others.

    Parameters
    ----------
    answers
        What is told so far.
    shares
        Probability by cause.
    told, waters, tables
        What stands behind it.
    """
    likely = [cause for cause, share in shares.items() if share > 1e-3]
    odds = np.array([shares[cause] for cause in likely])
    found = []
    read = {reading.quantity for reading in answers.readings}
    for quantity in READABLE:
        if quantity not in read:
            chances = _of_test(quantity, answers, likely, told, waters)
            found.append(
                TroubleCheck("test", quantity, gain(odds, chances), _owns(answers, quantity))
            )
    for sign in tables.signs:
        if sign not in answers.see and sign not in answers.absent:
            there = np.array([_there(cause, sign, answers, tables) for cause in likely])
            bits = gain(odds, np.array([there, 1.0 - there]))
            found.append(TroubleCheck("look", sign, bits))
    worth = [each for each in found if each.bits >= LEAST_BITS]
    return tuple(sorted(worth, key=lambda each: (not each.owned, -each.bits)))


def gain(odds: Numbers, chances: Numbers) -> float:
    """Mutual information of a finding and the cause. [bit]

    Parameters
    ----------
    odds
        Of each cause, shape (causes,).
    chances
        Of each finding under each cause, shape (findings, causes).
    """
    both = chances * odds
    apart = chances.sum(axis=0) @ odds  # 1, but for rounding
    total = both.sum(axis=1, keepdims=True) / apart
    ratio = np.where(both > 0.0, chances / np.where(total > 0.0, total, 1.0), 1.0)
    return max(float((both * np.log2(ratio)).sum()), 0.0)


def _of_test(
    quantity: str,
    answers: TroubleAnswers,
    likely: list[str],
    told: Mapping[str, Told],
    waters: Mapping[str, Waters],
) -> Numbers:
    """Chance of each thing a kit could show under each cause, shape (shown, causes)."""
    kit = _kit_for(quantity, answers)
    name = kit.name if kit else None
    blank = Reading(_AT, quantity, _value(quantity, 0.0), kit=name)
    levels = np.array([waters[cause].now[quantity][FEWER] for cause in likely])
    weights = np.array([told[cause].weights[FEWER] for cause in likely])
    values = np.array(face(blank, kit).values())
    inside = values[(values <= 1.3 * levels.max()) & (values >= levels.min() - 1.0)]
    if len(inside) > MOST_SHOWN:  # digits: as many as tell
        inside = np.quantile(levels, np.linspace(0.0, 1.0, MOST_SHOWN))
    bias = steady_error(name, quantity)[FEWER]
    rows = []
    for value in inside:
        seen = look(replace(blank, value=_value(quantity, float(value))), kit)
        rows.append((seen.chance(levels, bias) * weights).sum(axis=1))
    chances = np.array(rows)
    return np.asarray(chances / chances.sum(axis=0))


def _value(quantity: str, value: float) -> ReadingValue:
    basis = "n" if quantity in ("ammonia", "nitrite", "nitrate") else "none"
    return ReadingValue("exact", value, value, basis)


def _kit_for(quantity: str, answers: TroubleAnswers) -> Kit | None:
    return next((kit for kit in answers.kits.values() if kit.scale(quantity) is not None), None)


def _owns(answers: TroubleAnswers, quantity: str) -> bool:
    """Whether the keeper can test it; whose kits are not told may have any that many have."""
    if not answers.kits or quantity in WITHOUT_KIT:
        return quantity not in FEW_HAVE
    return _kit_for(quantity, answers) is not None


def _there(cause: str, sign: str, answers: TroubleAnswers, tables: TroubleTables) -> float:
    """Chance that a look finds a sign that nobody named."""
    there = float(np.mean([shown_chance(cause, sign, tables, hard) for hard in HARD]))
    named = tables.signs[sign].named if answers.see else 0.0
    return there * (1.0 - named) / (1.0 - there * named)
