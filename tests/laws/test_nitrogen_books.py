"""A year with every kind of event, booked: every member's nitrogen is somewhere, once."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from itertools import pairwise

import numpy as np
import pytest
from eventful_tank import eventful_tank

from watervane.engine.booked import Books, books_of
from watervane.engine.ledger import ledger_of, member_books, unaccounted
from watervane.forecast.ledger import POOLS, unbooked
from watervane.process.booking import Book, run_booked
from watervane.process.run import simulate
from watervane.records.ledger import CAME, HELD, WENT

NOW = datetime(2026, 12, 1, 12, tzinfo=UTC)
MEMBERS = 24


@pytest.fixture(scope="module")
def books() -> Books:
    """Nine months back and a week ahead."""
    return books_of(eventful_tank(), as_of=NOW, now=NOW, horizon_days=7, members=MEMBERS, threads=1)


def test_every_component_with_nitrogen_stands_in_one_pool() -> None:
    assert unbooked() == ()
    named = [name for names in POOLS.values() for name in names]
    assert len(named) == len(set(named))
    assert set(POOLS) == set(HELD)


def test_the_books_of_every_member_and_every_stretch_close(books: Books) -> None:
    moments = sorted(books.states)
    spans = [(moments[0], moments[-1]), *pairwise(moments)]
    for span in spans:
        assert np.abs(unaccounted(member_books(books, span))).max() < 1e-9


def test_stretches_add_up_to_the_whole(books: Books) -> None:
    moments = sorted(books.states)
    _, came, ended, went = member_books(books, (moments[0], moments[-1]))
    parts = [member_books(books, pair) for pair in pairwise(moments)]
    for line in CAME:
        assert np.allclose(sum(part[1][line] for part in parts), came[line], atol=1e-12)
    for line in WENT:
        assert np.allclose(sum(part[3][line] for part in parts), went[line], atol=1e-12)
    assert all(np.array_equal(parts[-1][2][pool], ended[pool]) for pool in HELD)


def test_a_year_of_every_kind_of_event_moves_something_on_every_line(books: Books) -> None:
    _, came, ended, went = member_books(books, (min(books.states), books.ready.scope.as_of_d))
    for line in ("food", "dosed", "tap-nitrate", "tap-chloramine", "animals", "seeded"):
        assert came[line].min() > 0.0, line
    for line in ("drained", "animals", "gas", "colonies"):
        assert went[line].min() > 0.0, line
    lowest = min(value.min() for part in (came, ended, went) for value in part.values())
    assert lowest > -1e-6


def test_told_means_add_up_as_printed(books: Books) -> None:
    for stretch in ledger_of(books).stretches:
        began, came, now, went = (
            sum(line.mean_mg_n for line in part.values())
            for part in (stretch.began, stretch.came, stretch.held, stretch.went)
        )
        assert began + came == pytest.approx(now + went, rel=1e-9)
        assert stretch.most_unaccounted < 1e-9


def test_books_change_nothing_about_the_water(books: Books) -> None:
    ready, start = books.ready, books.start
    booked = run_booked(ready.line, start.members, start.state, (0, 40), Book())
    plain = simulate(ready.line, start.members, start.state, (0, 40), threads=1).final
    assert np.allclose(booked.amounts, plain.amounts, rtol=1e-9, atol=1e-9)
    assert np.allclose(booked.temperature_c, plain.temperature_c, rtol=1e-12)


def test_a_deed_left_out_of_the_books_would_be_noticed(books: Books) -> None:
    span = (min(books.states), books.ready.scope.as_of_d)
    pages = dict(books.pages)
    first = pages[span[0]]
    fewer = {**first.came, "food": 0.999 * first.came["food"]}
    pages[span[0]] = replace(first, came=fewer)
    gap = unaccounted(member_books(replace(books, pages=pages), span))
    assert np.abs(gap).min() > 1e-6
