"""Read back what a stored forecast says its readings taught, and its next test."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from watervane.records import Learned, Moved, NextTest, StillOpen, Taught, TellingTest

Told = Mapping[str, Any]


def read_taught(told: Told | None) -> Taught | None:
    """What the readings taught.

    Parameters
    ----------
    told
        ``taught`` of the document; absent from old ones.
    """
    if told is None:
        return None
    return Taught(
        tuple(
            Learned(str(one["unknown"]), float(one["certainty"]), float(one["shift"]))
            for one in told["learned"]
        ),
        tuple(StillOpen(str(one["unknown"]), float(one["weight"])) for one in told["still_open"]),
        _moved(told.get("most_moving_reading")),
        str(told.get("about", "settled")),
        _number(told.get("each_within_days")),
    )


def _moved(told: Told | None) -> Moved | None:
    if told is None:
        return None
    return Moved(
        read_moment(told["at"]),
        str(told["quantity"]),
        _number(told["days"]),
        _number(told["narrowed_days"]),
        bool(told.get("told", True)),
    )


def read_next_test(told: Told | None) -> NextTest | None:
    """The next test.

    Parameters
    ----------
    told
        ``next_test`` of the document; absent from old ones.
    """
    if told is None:
        return None
    return NextTest(
        str(told["question"]),
        _text(told["limit"]),
        float(told["open_bits"]),
        float(told["chance_bits"]),
        best=_test(told["best"]),
        soonest=_test(told["soonest"]),
        ranked=tuple(one for each in told["ranked"] if (one := _test(each)) is not None),
        **{
            name: _number(told.get(name))
            for name in ("range_now_days", "range_after_days", "wrong_now", "wrong_after")
        },
    )


def _test(told: Told | None) -> TellingTest | None:
    if told is None:
        return None
    return TellingTest(
        read_moment(told["at"]),
        str(told["quantity"]),
        _text(told["kit"]),
        float(told["gain_bits"]),
        float(told["gain_error_bits"]),
    )


def read_moment(text: str) -> datetime:
    """A moment with its zone.

    Raises
    ------
    ValueError
        If it has none.
    """
    moment = datetime.fromisoformat(text)
    if moment.tzinfo is None:
        raise ValueError(f"{text} has no zone")
    return moment


def _number(value: float | None) -> float | None:
    return None if value is None else float(value)


def _text(value: str | None) -> str | None:
    return None if value is None else str(value)
