"""Which test to take next, and what it would do for the question."""

from __future__ import annotations

from watervane.records import Forecast, NextTest, TellingTest
from watervane.wording.dates import days_between, weekday_date
from watervane.wording.risks import watched
from watervane.wording.templates import phrase

WORTH_TELLING = 0.25  # of the best test's gain, for one that can be taken sooner
_NAMES = {"ph": "pH", "kh": "KH", "gh": "GH", "co2": "carbon dioxide"}


def next_test_sentences(forecast: Forecast) -> list[str]:
    """The test that would teach most, what it narrows, and the best of today's where another."""
    told = forecast.next_test
    if told is None:
        return []
    if told.open_bits <= 0.0:  # nothing to answer
        return [phrase("next-test-closed-settled")] if told.question == "settled" else []
    if told.best is None:
        return [phrase(f"next-test-little-{told.question}")]
    words = {"test": named_test(told.best, told), "when": _when(told.best, forecast)}
    if told.question == "danger":
        level = watched(told.limit or "", forecast.limits)
        words["level"] = "" if level is None else f"{level.text}{level.mean}"
    sentences = [phrase(f"next-test-{told.question}", **words), *_effect(told)]
    share = 0.0 if told.soonest is None else told.soonest.gain_bits / told.best.gain_bits
    if told.soonest is not None and share >= WORTH_TELLING:
        percent = round(10.0 * share) * 10
        when = _when(told.soonest, forecast)
        name = named_test(told.soonest, told)
        sentences.append(phrase("next-test-soonest", when=when, test=name, percent=percent))
    return sentences


def _effect(told: NextTest) -> list[str]:
    if told.range_now_days is not None and told.range_after_days is not None:
        now, after = round(told.range_now_days), round(told.range_after_days)
        key = "next-test-narrows" if after < now else "next-test-hardly"
        return [phrase(key, now=now, after=after if after > 0 else phrase("next-test-under-one"))]
    if told.wrong_now is not None and told.wrong_after is not None:
        now, after = round(100.0 * told.wrong_now), round(100.0 * told.wrong_after)
        key = "next-test-guess" if after < now else "next-test-guess-same"
        return [phrase(key, now=now, after=after if after > 0 else phrase("next-test-under-one"))]
    return []


def named_test(test: TellingTest, told: NextTest) -> str:
    """The quantity; with its kit where another of the tank's kits tests it, too."""
    quantity = _NAMES.get(test.quantity, test.quantity)
    several = sum(one.quantity == test.quantity for one in told.ranked) > 1
    if several and test.kit is not None:
        return phrase("next-test-kit", quantity=quantity, kit=test.kit)
    return quantity


def _when(test: TellingTest, forecast: Forecast) -> str:
    ahead = days_between(forecast.as_of, test.at)
    if ahead <= 1:
        return phrase("next-test-today" if ahead <= 0 else "next-test-tomorrow")
    return phrase("next-test-on", date=weekday_date(test.at, beside=forecast.as_of))
