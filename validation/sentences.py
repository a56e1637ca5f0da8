"""What the figures of a view say, in sentences made of the figures alone."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from datetime import datetime
from typing import cast

from validation.counting import SCORED, WIDEST, Beside, Tally
from validation.kept_logs import KeptLog
from validation.timing import Timing
from validation.views import View
from watervane.records import COVERED
from watervane.wording.amounts import acidity, concentration, listed

CONTRADICTIONS = ("day-contradicts", "source-contradicts", "log-contradicts")
FAR_UNDER = 0.6  # of the number claimed
UNDER = 0.9
FEW = 10  # readings
LEANING = 2.0
NAMES = {"ph": "pH", "kh": "KH"}
UNITS = {"ph": "", "kh": " dKH"}


def name_of(quantity: str) -> str:
    """A quantity as it is written."""
    return NAMES.get(quantity, quantity)


def amount(value: float, quantity: str, *, bare: bool = False) -> str:
    """A level, with its unit unless bare. [mg N/L], [dKH] or pH"""
    text = acidity(value) if quantity in ("ph", "kh") else concentration(max(value, 0.0))
    return text if bare else f"{text}{UNITS.get(quantity, ' mg N/L')}"


def interval_text(row: Beside) -> str:
    """The interval a reading stands for."""
    low, high = row.interval
    quantity = row.reading.quantity
    if high == math.inf:
        return f"over {amount(low, quantity)}"
    if low == -math.inf:
        return f"under {amount(high, quantity)}"
    return f"{amount(low, quantity, bare=True)} to {amount(high, quantity)}"


def range_text(row: Beside, *, bare: bool = False) -> str:
    """Median and 90 % range of a forecast."""
    low, _, middle, _, high = (amount(q, row.reading.quantity, bare=True) for q in row.quantiles)
    unit = "" if bare else UNITS.get(row.reading.quantity, " mg N/L")
    return f"{middle}{unit} ({low} to {high})"


def verdict(log: KeptLog, view: View) -> list[str]:
    """The honest summary of one view of a log."""
    told = view.tally()
    lines = [_coverage(told), *_lean(view), *_worst(log, view)]
    lines += [_timing(log, each) for each in view.timings if not each.known_before]
    return lines


def agreement(view: View) -> str:
    """How many members carry the readings that were used."""
    made = view.hindsight.forecast.diagnostics
    if made.readings_used == 0:
        return f"No reading was used: {made.members} members of the prior, drawn one by one."
    few = {
        "good": "enough to go by",
        "thin": "so read the bands as rough",
        "poor": "too few for the bands to be leaned on",
    }[made.health]
    told = (
        f"{made.readings_used} readings were used. {made.prior_members} members were tried "
        f"against them; those kept are worth {made.effective_members:.0f} independent ones, {few}."
    )
    against = [f for f in made.findings if f.key in CONTRADICTIONS]
    if against:
        named = [
            each for f in against for each in cast("list[dict[str, str]]", f.arguments["readings"])
        ]
        count = Counter(name_of(each["quantity"]) for each in named)
        parts = listed([f"{number} of {name}" for name, number in count.items()])
        told += f" These of them hardly fit the rest: {parts}."
    return told


def _coverage(told: Tally) -> str:
    levels = listed([f"{100 * level:.0f}" for level in COVERED])
    counts = listed([f"{count:.0f}" for count in told.inside])
    return (
        f"Of {told.count} readings the forecast did not see, {counts} lie in its {levels} % "
        f"ranges: {judged(told)}."
    )


def judged(told: Tally) -> str:
    """The verdict on a count, by the poorest of its ranges."""
    if told.count < FEW:
        return "too few to judge"
    share = min(c / told.count / level for c, level in zip(told.inside, COVERED, strict=True))
    if share < FAR_UNDER:
        return "far less often than claimed"
    return "less often than claimed" if share < UNDER else "about as often as claimed, or oftener"


def _lean(view: View) -> list[str]:
    """On which side the misses of each quantity lie."""
    lines = []
    for quantity in SCORED:
        told = view.tally(quantity)
        missed = told.above + told.below
        if not missed:
            continue
        if told.above >= LEANING * told.below:
            side = f"{told.above} lie above it, {told.below} below"
            lean = "foretold too low"
        elif told.below >= LEANING * told.above:
            side = f"{told.below} lie below it, {told.above} above"
            lean = "foretold too high"
        else:
            side = f"{told.above} lie above it, {told.below} below"
            lean = "missed on both sides"
        name = name_of(quantity)
        lines.append(
            f"{name if quantity in NAMES else name.capitalize()}: {missed} of {told.count} miss "
            f"the 90 % range; {side}, so it was {lean}."
        )
    return lines


def _worst(log: KeptLog, view: View) -> list[str]:
    missed = [(row.mark.log_score, row) for row in view.unseen if row.mark and row.side]
    if not missed:
        return [f"No reading lies outside the {100 * WIDEST:.0f} % range."]
    score, row = max(missed, key=lambda one: one[0])
    told = (
        f"Largest surprise: {name_of(row.reading.quantity)} on day {day_of(log, row.reading.at)}, "
        f"read {row.reading.value.raw} ({interval_text(row)}), foretold {range_text(row)} in the "
        f"water; it was given a chance of {chance_text(score)}."
    )
    return [told]


def chance_text(log_score: float) -> str:
    """The chance behind a log score."""
    chance = math.exp(-log_score)
    return f"{chance:.1%}".replace("%", " %") if chance >= 0.001 else "under 0.1 %"


def _timing(log: KeptLog, each: Timing) -> str:
    low, middle, high = (_day_text(log, day) for day in each.days)
    read = _day_text(log, each.read_day)
    reach = low if low == high else f"{low} to {high}"
    verdict = "inside" if each.inside else "outside"
    return (
        f"{each.step[0].upper()}{each.step[1:]}: read {read}; foretold {middle} "
        f"(90 %: {reach}): {verdict}."
    )


def _day_text(log: KeptLog, day: float | None) -> str:
    return "not within the log" if day is None else f"day {int(day) + log.day_of_filling}"


def day_of(log: KeptLog, at: datetime) -> int:
    """Day of the log's own count."""
    return int(log.calendar.days(at)) + log.day_of_filling


def bulleted(lines: Sequence[str]) -> str:
    """Lines as a list."""
    return "\n".join(f"- {line}" for line in lines)
