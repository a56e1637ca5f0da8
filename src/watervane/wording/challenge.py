"""A challenge test in sentences: what to dose, when to read, what each reading would say."""

from __future__ import annotations

from watervane.records import Answer, Challenge, ChallengeReading, Span
from watervane.wording.amounts import number
from watervane.wording.dates import weekday_date
from watervane.wording.headroom import of_hundred
from watervane.wording.shown import shown_by_kit
from watervane.wording.tables import NumberTable
from watervane.wording.templates import phrase

HARDLY = 0.95  # of the width now


def challenge_title(challenge: Challenge) -> str:
    """Heading over all of it."""
    date = weekday_date(challenge.as_of, beside=challenge.as_of)
    return phrase("challenge-title", tank=challenge.tank, date=date)


def challenge_sentences(challenge: Challenge) -> list[str]:
    """The work in its order, then what is foretold and what it would teach."""
    told = challenge.carries_g_per_d
    sentences = [
        phrase(
            "challenge-dose",
            date=weekday_date(challenge.dose_at, beside=challenge.as_of),
            hour=f"{challenge.dose_at:%H:%M}",
            grams=_grams(challenge.dose_g),
            substance=challenge.substance,
            rise=number(challenge.dose_mg_n_per_l),
        )
    ]
    if challenge.chosen:
        sentences.append(phrase("challenge-chosen"))
    sentences.append(phrase("challenge-read"))
    likeliest = {r.quantity: f"{_shown(r, _likeliest(r))} {_unit(r)}" for r in challenge.readings}
    sentences.append(
        phrase("challenge-foretold", **likeliest, share=of_hundred(challenge.gone_chance))
    )
    sentences.append(
        phrase(
            "challenge-carries",
            middle=number(told.p50 or 0.0),
            low=number(told.p05 or 0.0),
            high=number(told.p95 or 0.0),
        )
    )
    if challenge.normal_g_per_d is not None:
        sentences.append(phrase("challenge-normal", normal=number(challenge.normal_g_per_d)))
    for reading in challenge.readings:
        key = "challenge-hardly" if reading.narrowing > HARDLY else "challenge-narrows"
        percent = str(round(100.0 * (1.0 - reading.narrowing)))
        sentences.append(phrase(key, colony=reading.quantity, percent=percent))
    return [*sentences, phrase("challenge-learn"), phrase("challenge-care")]


def challenge_tables(challenge: Challenge) -> list[NumberTable]:
    """One table a quantity: each step with its chance and what it would say."""
    return [
        NumberTable(
            phrase("challenge-table", quantity=reading.quantity.capitalize()),
            phrase("challenge-caption", colony=reading.quantity, unit=_unit(reading)),
            (phrase("challenge-shown"), phrase("challenge-chance"), phrase("challenge-then")),
            tuple(
                (
                    _shown(reading, answer),
                    of_hundred(answer.chance),
                    _carried(answer),
                )
                for answer in reading.answers
                if answer.chance >= 0.01
            ),
        )
        for reading in challenge.readings
    ]


def _unit(reading: ChallengeReading) -> str:
    """In which unit the kit shows the quantity, as far as that is told."""
    basis = reading.answers[0].value.basis if reading.answers else "unknown"
    return shown_by_kit(reading.quantity, basis).unit


def _likeliest(reading: ChallengeReading) -> Answer:
    return max(reading.answers, key=lambda answer: answer.chance)


def _carried(answer: Answer) -> str:
    told = answer.carries_g_per_d
    if told.p50 is None or told.p05 is None or told.p95 is None:
        return phrase("rehearsal-unknown")
    return phrase(
        "rehearsal-range", middle=number(told.p50), low=number(told.p05), high=number(told.p95)
    )


def _shown(reading: ChallengeReading, answer: Answer) -> str:
    """What the kit itself shows."""
    value = answer.value
    factor = shown_by_kit(reading.quantity, value.basis).factor
    low, high = (None if end is None else end * factor for end in (value.low, value.high))
    if low is None:
        return f"under {number(high or 0.0)}"
    if high is None:
        return f"over {number(low)}"
    return number(low) if low == high else f"{number(low)} to {number(high)}"


def _grams(mass: Span) -> str:
    low, high = number(mass.low), number(mass.high)
    return f"{number(mass.centre)} g" if mass.high < 1.1 * mass.low else f"{low} to {high} g"
