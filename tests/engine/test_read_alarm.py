"""A reading taken at its word: the last one counts, and what was changed since is allowed for."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest

from watervane.engine.futures import future, limits_of, stand
from watervane.engine.read_alarm import read_alarm
from watervane.engine.verdict import look_ahead
from watervane.records import (
    AnimalsIn,
    ReadAlarm,
    Reading,
    ReadingValue,
    SourceWater,
    Tank,
    WaterChange,
)

NOW = datetime(2026, 3, 9, 20, tzinfo=UTC)
FISH = AnimalsIn(at=datetime(2026, 3, 2, 8, tzinfo=UTC), species="Danio rerio", count=6)


def _ammonia(mg_n_per_l: float, hours_ago: float) -> Reading:
    value = ReadingValue("exact", mg_n_per_l, mg_n_per_l, "n")
    return Reading(NOW - timedelta(hours=hours_ago), "ammonia", value)


def _changed(share: float, hours_ago: float) -> WaterChange:
    return WaterChange(at=NOW - timedelta(hours=hours_ago), fraction=share)


def _alarm(*told: Reading | WaterChange) -> ReadAlarm | None:
    tank = Tank(
        name="on the sill",
        filled=date(2026, 3, 1),
        volume_l=60.0,
        source_water=SourceWater(ph=8.0, kh_dkh=8.0),
        events=(FISH, *(one for one in told if isinstance(one, WaterChange))),
        readings=tuple(one for one in told if isinstance(one, Reading)),
    )
    # Members of the prior do: how they fit the reading is not asked here.
    standing = stand(tank, as_of=NOW, members=64, seed=1, threads=1, now=NOW)
    limits = limits_of(standing)
    return read_alarm(standing, look_ahead(standing, future(standing, tank, 3), limits), limits)


def test_a_second_test_stands_for_the_first() -> None:
    assert _alarm(_ammonia(5.0, 3.0)) is not None
    assert _alarm(_ammonia(5.0, 3.0), _ammonia(0.2, 1.0)) is None
    worse = _alarm(_ammonia(0.2, 3.0), _ammonia(5.0, 1.0))
    assert worse is not None
    assert worse.level == 5.0


def test_what_was_changed_since_is_allowed_for() -> None:
    before = _alarm(_changed(0.5, 5.0), _ammonia(5.0, 3.0))
    after = _alarm(_ammonia(5.0, 3.0), _changed(0.5, 1.0))
    assert before is not None
    assert before.changed_since == 0.0
    assert after is not None
    assert after.level == 5.0
    assert after.changed_since == pytest.approx(0.5)
    assert (before.limit.tier, after.limit.tier) == ("acute", "chronic")
    assert _alarm(_ammonia(5.0, 3.0), _changed(0.9, 2.0), _changed(0.8, 1.0)) is None


def test_warmth_that_was_read_counts_for_half_a_day() -> None:
    def read(hours_ago: float) -> Reading:
        at = NOW - timedelta(hours=hours_ago)
        return Reading(at, "temperature", ReadingValue("exact", 36.0, 36.0))

    found = _alarm(read(2.0))
    assert found is not None
    assert (found.quantity, found.limit.side, found.changed_since) == ("temperature", "above", 0.0)
    assert found.limit.quantity == "temperature_c"
    assert _alarm(read(15.0)) is None
    both = _alarm(read(2.0), _ammonia(5.0, 3.0))
    assert both is not None
    assert both.limit.tier == "acute"


def test_little_buffering_alone_is_no_harmful_reading() -> None:
    low = Reading(NOW - timedelta(hours=1), "kh", ReadingValue("exact", 0.5, 0.5))
    assert _alarm(low) is None
