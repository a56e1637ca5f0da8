"""The nitrogen ledger of a tank: what came, what is held, what went, over stretches of days."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from watervane.engine.booked import WEEK_D, Books, Progress, books_of
from watervane.forecast.ledger import Lines, filled, gone_as_gas, held
from watervane.forecast.quantiles import number_quantiles
from watervane.records import LedgerStretch, NitrogenAmount, NitrogenLedger, Tank
from watervane.records.ledger import CAME, HELD, WENT

Numbers = NDArray[np.float64]


def ledger(
    tank: Tank,
    *,
    as_of: datetime | None = None,
    members: int = 1000,
    seed: int = 1,
    threads: int = 2,
    now: datetime | None = None,
    progress: Progress | None = None,
) -> NitrogenLedger:
    """Book a tank's nitrogen since filling, in the last week and in the next.

    Parameters
    ----------
    tank, as_of, members, seed, threads, now, progress
        See `watervane.engine.foretell`.

    Raises
    ------
    ValueError
        If the moment lies before the filling.
    """
    books = books_of(
        tank,
        as_of=as_of,
        horizon_days=int(WEEK_D),
        members=members,
        seed=seed,
        threads=threads,
        now=now,
        progress=progress,
    )
    return ledger_of(books)


def ledger_of(books: Books) -> NitrogenLedger:
    """The ledger from books that are kept; see `ledger`."""
    ready = books.ready
    told = ready.line.geometry["volume_l"]
    return NitrogenLedger(
        tank=ready.known.name,
        owner=ready.known.owner,
        as_of=ready.calendar.moment(ready.scope.as_of_d),
        seed=books.seed,
        volume_l=told,
        stretches=tuple(_stretch(books, key, span, told) for key, span in _spans(books)),
        diagnostics=books.diagnostics,
        findings=books.findings,
    )


def _spans(books: Books) -> Iterator[tuple[str, tuple[float, float]]]:
    """Keys and moments of the stretches there are; a young tank has had no week of its own. [d]"""
    begin, now = min(books.states), books.ready.scope.as_of_d
    whole = "since" if books.start.day else "since-filling"
    if now > begin:
        yield whole, (begin, now)
    if now - WEEK_D in books.states:
        yield "last-week", (now - WEEK_D, now)
    yield "next-week", (now, now + WEEK_D)


def member_books(books: Books, span: tuple[float, float]) -> tuple[Lines, Lines, Lines, Lines]:
    """What the tank held, what came, what is held and what went; by member. [mg N/L]

    Parameters
    ----------
    books
        That were kept.
    span
        Two of the moments they were closed at. [d]
    """
    first, last = (books.states[at] for at in span)
    began, ended = held(first), held(last)
    came: Lines = dict.fromkeys(CAME, np.zeros(first.shape[1]))
    went: Lines = dict.fromkeys(WENT, np.zeros(first.shape[1]))
    if span[0] == min(books.states) and not books.start.day:
        came = filled(first)  # the water that was poured in to fill it
        began = {**began, "ammonia": 0.0 * came["food"]}
        began |= {"nitrite": began["ammonia"], "nitrate": began["ammonia"]}
    for begun_d, page in books.pages.items():
        if span[0] <= begun_d < span[1]:
            came = {line: came[line] + page.came[line] for line in CAME}
            went = {line: went[line] + page.went[line] for line in WENT}
    went["gas"] = went["gas"] + gone_as_gas(last) - gone_as_gas(first)
    return began, came, ended, went


def unaccounted(parts: tuple[Lines, Lines, Lines, Lines]) -> Numbers:
    """What the books leave open, as a share of all that was there or came; by member. [-]"""
    began, came, ended, went = (sum(part.values()) for part in parts)
    turned = began + came
    result: Numbers = (turned - ended - went) / np.maximum(turned, 1e-12)
    return result


def _stretch(books: Books, key: str, span: tuple[float, float], volume_l: float) -> LedgerStretch:
    parts = member_books(books, span)
    began, came, ended, went = parts
    moment = books.ready.calendar.moment
    return LedgerStretch(
        key=key,
        begins=moment(span[0]),
        ends=moment(span[1]),
        began=_told(began, HELD, volume_l),
        came=_told(came, CAME, volume_l),
        held=_told(ended, HELD, volume_l),
        went=_told(went, WENT, volume_l),
        most_unaccounted=float(np.abs(unaccounted(parts)).max()),
    )


def _told(
    lines: Mapping[str, Numbers], order: tuple[str, ...], volume_l: float
) -> dict[str, NitrogenAmount]:
    return {
        line: NitrogenAmount(
            float(volume_l * lines[line].mean()), number_quantiles(volume_l * lines[line])
        )
        for line in order
    }
