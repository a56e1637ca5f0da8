"""What a handful of readings shows of the settled date."""

from __future__ import annotations

import pytest

from watervane.forecast.settled_in_log import Level, settled_between


def log(text: str) -> list[Level]:
    """``10A`` is ammonia high on day 10, ``10n`` nitrite low."""
    names = {"a": "ammonia", "n": "nitrite"}
    return [
        Level(float(word[:-1]), names[word[-1].lower()], word[-1].isupper())
        for word in text.split()
    ]


@pytest.mark.parametrize(
    ("readings", "between"),
    [
        ("3A 9a 9N 20N 23a 23n 26n 30n", (20.0, 23.0)),
        ("3A 9a 9N 20N 23a 23n 26n", None),  # the week is not over
        ("3a 3n 9a 9n 20a 20n", None),  # nothing was ever high
        ("3A 9a 9n 12N 20a 20n 27n", (12.0, 20.0)),  # a relapse within the week
        ("3A 9a 9n 16a 20N", (3.0, 9.0)),  # a later excursion is no new date
        ("3A 9n 12n 20n", None),  # ammonia not read again
        ("3A 9n 12n 20a 20n 27n", (3.0, 20.0)),
        ("3A 9N 9a 16a", None),  # low and high at once is high
        ("", None),
    ],
)
def test_the_first_low_week_after_a_high_reading_is_found(
    readings: str, between: tuple[float, float] | None
) -> None:
    assert settled_between(log(readings)) == between
