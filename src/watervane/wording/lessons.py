"""What the readings taught, in plain sentences."""

from __future__ import annotations

import re
from dataclasses import replace
from math import ceil

from watervane.records import Finding, Forecast, Learned, Taught
from watervane.wording.amounts import listed
from watervane.wording.dates import weekday_date
from watervane.wording.tables import QUANTITY_NAMES
from watervane.wording.templates import phrase, templates

MOST_LEARNED, MOST_OPEN = 3, 2
WORTH_TELLING_DAYS = 5.0  # a wider bound tells a keeper nothing
LEAST_CUT = 5  # per cent, to be told
CLEAR_SHIFT = 0.7  # prior spreads, to be called more or less than usual
BIAS = "bias "
DAILY = re.compile(r"(food|change|luck|death|ammonia drift|nitrite drift) \d+")
# These are neither more nor less, or their name already says which.
WITHOUT_DIRECTION = ("complete_oxidation_share",)


def lesson_sentences(forecast: Forecast) -> list[str]:
    """What was learned, what is still open, and the reading that counted most."""
    taught = forecast.taught
    if taught is None:
        return []
    return [*_learned(taught), *_open(taught), *_moved(taught, forecast)]


def unknown_words(name: str) -> str:
    """An unknown of the model in a keeper's words."""
    key = f"unknown-{name.replace('_', '-')}"
    if key in templates():
        return phrase(key)
    if name.startswith(BIAS):
        return phrase("unknown-kit-bias", quantity=name.rsplit(" ", 1)[-1])
    if DAILY.fullmatch(name):
        return phrase("unknown-daily")
    return phrase("unknown-kit")


def in_words(finding: Finding) -> Finding:
    """A finding whose unknown, if it names one, is told in a keeper's words."""
    name = finding.arguments.get("unknown")
    if not isinstance(name, str):
        return finding
    return replace(finding, arguments={**finding.arguments, "unknown": unknown_words(name)})


def _learned(taught: Taught) -> list[str]:
    if not taught.learned:
        return [phrase("taught-nothing")]
    names = list(dict.fromkeys(_directed(one) for one in taught.learned[:MOST_LEARNED]))
    return [phrase("taught-learned", names=listed(names))]


def _directed(one: Learned) -> str:
    name = unknown_words(one.name)
    plain = one.name in WITHOUT_DIRECTION or f"unknown-{one.name.replace('_', '-')}" not in (
        templates()
    )
    told = []
    if not plain and abs(one.shift) >= CLEAR_SHIFT:
        told.append(phrase("taught-above" if one.shift > 0.0 else "taught-below"))
    cut = round(100.0 * (1.0 - (1.0 - one.certainty) ** 0.5))
    if cut >= LEAST_CUT:
        told.append(phrase("taught-cut", percent=cut))
    return phrase("taught-directed", name=name, told=", ".join(told)) if told else name


def _open(taught: Taught) -> list[str]:
    names = list(dict.fromkeys(unknown_words(one.name) for one in taught.still_open[:MOST_OPEN]))
    return [phrase("taught-open", names=listed(names), what=_date(taught))] if names else []


def _date(taught: Taught) -> str:
    return phrase(f"taught-date-{taught.about.replace('_', '-')}")


def _together(taught: Taught) -> list[str]:
    within = taught.each_within_days
    if not taught.about or within is None or within > WORTH_TELLING_DAYS:
        return []
    days = max(ceil(within), 1)
    words = phrase("taught-day") if days == 1 else phrase("taught-days", days=days)
    return [phrase("taught-together", what=_date(taught), days=words)]


def _moved(taught: Taught, forecast: Forecast) -> list[str]:
    moved = taught.moved
    if moved is None:
        return _together(taught)
    told = {
        "quantity": QUANTITY_NAMES.get(moved.quantity, moved.quantity),
        "date": weekday_date(moved.at, beside=forecast.as_of),
        "what": _date(taught),
    }
    if not moved.told:
        return [phrase("taught-beyond", **told)]
    if moved.days is not None and abs(round(moved.days)) >= 1:
        days = abs(round(moved.days))
        words = phrase("taught-day") if days == 1 else phrase("taught-days", days=days)
        side = phrase("taught-later" if moved.days < 0.0 else "taught-earlier")
        return [phrase("taught-moved", **told, days=words, side=side)]
    if moved.narrowed_days is not None and round(moved.narrowed_days) >= 1:
        return [phrase("taught-narrowed", **told, days=round(moved.narrowed_days))]
    return [phrase("taught-counted", **told)]
