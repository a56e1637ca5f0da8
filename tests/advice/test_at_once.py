"""What readings say by themselves: the sentence a verdict will say, without members or model."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from watervane.advice.at_once import at_once
from watervane.records import (
    AnimalsIn,
    AtOnce,
    Dose,
    Habit,
    Reading,
    ReadingValue,
    SourceWater,
    Span,
    Tank,
    WaterChange,
)
from watervane.wording.at_once import at_once_sentences, at_once_steps, changes_water
from watervane.wording.today import hour_texts

NOW = datetime(2026, 11, 26, 20, tzinfo=UTC)
DANIOS, TETRAS = ("zebra danio",), ("neon tetra",)


def tank(hours_ago: float = 1.0, /, **read: float) -> Tank:
    told = tuple(
        Reading(NOW - timedelta(hours=hours_ago), name, ReadingValue("exact", value, value, "n"))
        for name, value in read.items()
    )
    return Tank(name="sill", filled=date(2026, 11, 18), volume_l=60.0, readings=told)


def said(told: AtOnce) -> str:
    return " ".join((*at_once_sentences(told), *at_once_steps(told)))


def test_what_was_done_since_moves_a_reading_of_buffering() -> None:
    """New water brings the tap's; where nobody told of that, most of the old has to be there."""
    low, ago = tank(5 * 24.0, kh=0.5), NOW - timedelta(days=4)

    def alarmed(share: float, **tap: float) -> bool:
        changed = replace(low, events=(WaterChange(at=ago, fraction=share),))
        told = at_once(replace(changed, source_water=SourceWater(**tap)), DANIOS, NOW)
        return [each.quantity for each in told.alarms] == ["kh"]

    assert alarmed(0.1), "the tenth that was advised ends no warning"
    assert not alarmed(0.5)
    assert alarmed(0.1, kh_dkh=5.0)
    assert not alarmed(0.5, kh_dkh=5.0)
    assert alarmed(0.5, kh_dkh=0.5), "such a tap brings none"
    dosed = replace(
        low, events=(Dose(at=ago, substance="sodium bicarbonate", mass_g=Span.exact(12.0)),)
    )
    assert at_once(dosed, DANIOS, NOW) == AtOnce()


def test_water_that_was_changed_since_is_not_changed_gently_for_what_it_was_before() -> None:
    low = tank(10 * 24.0, kh=1.0)
    now = tank(0.0, ammonia=20.0, ph=7.6)
    changed = (WaterChange(at=NOW - timedelta(days=8), fraction=0.6),)
    told = replace(now, readings=(*low.readings, *now.readings))
    for events, share in (((), 0.1), (changed, 0.5)):
        first = at_once(replace(told, events=events), DANIOS, NOW).first_change
        assert first is not None
        assert first.amount == pytest.approx(share)


def test_acid_water_bounds_a_change_where_nobody_told_of_the_tap() -> None:
    acid = tank(ammonia=60.0, ph=6.4)
    assert at_once(acid, DANIOS, NOW).bounded_by == "ph"
    known = replace(acid, source_water=SourceWater(ph=7.8))
    assert at_once(known, DANIOS, NOW).bounded_by == "", "steps go by what that does"


def test_too_little_buffering_counts_for_a_fortnight_while_no_new_water_came() -> None:
    """Nothing but new water or a dose brings it back; ammonia of that age says nothing."""
    old = tank(5 * 24.0, kh=0.5, ammonia=4.0, ph=8.0)
    assert [each.quantity for each in at_once(old, DANIOS, NOW).alarms] == ["kh"]
    changed = replace(old, events=(WaterChange(at=NOW - timedelta(days=2), fraction=0.3),))
    assert at_once(changed, DANIOS, NOW) == AtOnce()
    before = replace(old, events=(WaterChange(at=NOW - timedelta(days=6), fraction=0.3),))
    assert at_once(before, DANIOS, NOW).alarms != ()
    assert at_once(tank(15 * 24.0, kh=0.5), DANIOS, NOW) == AtOnce()


@pytest.mark.parametrize(
    ("read", "animals", "tier", "step"),
    [
        ({"ammonia": 4.0, "ph": 8.0}, DANIOS, "acute", "change about"),
        ({"nitrite": 2.0}, TETRAS, "acute", "change about"),
        ({"ph": 5.5}, DANIOS, "comfort", "Put in nothing that lifts pH at one stroke"),
        ({"temperature": 33.0}, TETRAS, "acute", "unplug the heater"),
        ({"temperature": 12.0}, DANIOS, "acute", "Warm slowly"),
        ({"chlorine": 0.5}, DANIOS, "acute", "dose conditioner for the whole tank"),
        ({"oxygen": 2.0}, DANIOS, "acute", "move the surface"),
        ({"nitrate": 56.0}, DANIOS, "chronic", "change about"),
        ({"kh": 0.5}, DANIOS, "comfort", "pH can fall within days"),
    ],
)
def test_an_alarming_reading_has_a_sentence_and_a_step(
    read: dict[str, float], animals: tuple[str, ...], tier: str, step: str
) -> None:
    told = at_once(tank(**read), animals, NOW)
    assert told.alarms[0].quantity == next(iter(read))
    assert told.alarms[0].limit.tier == tier
    assert at_once_sentences(told)[0].startswith("You read ")
    assert step in said(told)
    assert "{" not in said(told)
    assert bool(told.emergency) == (tier == "acute")
    assert all("{" not in each and "aid-" not in each for each in hour_texts(told.emergency))


def test_what_alarms_nobody_says_nothing() -> None:
    calm = tank(ammonia=0.1, nitrite=0.05, ph=7.4, temperature=25.0, kh=5.0)
    assert at_once(calm, DANIOS, NOW) == AtOnce()
    assert at_once(tank(ammonia=4.0, ph=8.0), (), NOW) == AtOnce()  # nobody is there
    old = tank(60.0, ammonia=4.0, ph=8.0)
    assert at_once(old, DANIOS, NOW).alarms == ()
    tap = replace(old.readings[0], at=NOW, of_source_water=True)
    assert at_once(replace(old, readings=(tap,)), DANIOS, NOW).alarms == ()


def test_water_changed_since_is_allowed_for() -> None:
    read = tank(3.0, ammonia=5.0, ph=8.0)
    before = at_once(read, DANIOS, NOW).alarms[0]
    change = WaterChange(at=NOW - timedelta(hours=1), fraction=0.5)
    after = at_once(replace(read, events=(change,)), DANIOS, NOW)
    assert after.alarms[0].changed_since == pytest.approx(0.5)
    assert (before.limit.tier, after.alarms[0].limit.tier) == ("acute", "chronic")
    earlier = replace(change, at=NOW - timedelta(hours=5))
    assert at_once(replace(read, events=(earlier,)), DANIOS, NOW).alarms[0] == before


def test_acid_or_hardly_buffered_water_is_changed_gently_and_once() -> None:
    for more in ({"ph": 6.4}, {"kh": 1.0}, {"ph": 9.4}):
        told = at_once(tank(nitrate=60.0, **more), ("goldfish",), NOW)
        assert told.first_change is not None
        assert told.first_change.amount == pytest.approx(0.1)
        assert told.first_change.litres == pytest.approx(6.0)
        assert "change 10 % of the water" in said(told)
        assert (told.bounded_by, told.most_share) == (next(iter(more)), 0.1)
    hard = at_once(tank(nitrate=60.0, ph=7.6, kh=8.0), ("goldfish",), NOW)
    assert (hard.bounded_by, hard.most_share) == ("", 1.0)
    assert hard.first_change is not None
    assert hard.first_change.amount >= 0.25
    done = replace(
        tank(3.0, nitrate=60.0, kh=1.0),
        events=(WaterChange(at=NOW - timedelta(hours=1), fraction=0.1),),
    )
    again = at_once(done, ("goldfish",), NOW)
    assert not changes_water(again), "one tenth a day"
    assert "test again tomorrow" in said(again)


def test_ammonia_that_sleeps_in_acid_water_is_told_as_such() -> None:
    told = at_once(tank(ammonia=3.0, ph=5.8), DANIOS, NOW)
    assert all(each.quantity != "ammonia" for each in told.alarms)
    assert told.asleep is not None
    assert "harmless ammonium; if pH rose to 7.5" in said(told)
    assert told.first_change is not None
    assert told.first_change.amount == pytest.approx(0.1)
    awake = at_once(tank(ammonia=3.0, ph=7.8), DANIOS, NOW)
    assert awake.asleep is None
    assert awake.alarms[0].quantity == "ammonia"


def test_an_animal_nobody_knows_is_held_to_the_strictest() -> None:
    assert at_once(tank(ammonia=1.0, ph=7.6), DANIOS, NOW).emergency == ()
    assert at_once(tank(ammonia=1.0, ph=8.2), ("snark",), NOW).emergency != ()


def test_the_tap_stands_in_for_a_ph_nobody_read() -> None:
    read = tank(ammonia=1.5)
    soft, hard = (
        at_once(replace(read, source_water=SourceWater(ph=ph)), DANIOS, NOW) for ph in (6.2, 8.4)
    )
    assert soft.alarms == ()
    assert hard.alarms[0].limit.subject == "ammonia"


def test_new_water_may_be_what_hurts_by_the_log_of_two_days() -> None:
    read = replace(tank(ammonia=4.0, ph=8.0, kh=8.0, gh=8.0), filled=date(2024, 1, 1))
    change = WaterChange(at=NOW - timedelta(hours=20), fraction=0.3, conditioner=False)
    changed = replace(read, events=(change,))
    assert changes_water(at_once(read, DANIOS, NOW))
    wary = at_once(changed, DANIOS, NOW)
    assert wary.alarms[0].after == "water-raw", "no conditioner was written"
    assert wary.first_change is None
    assert not changes_water(wary)
    assert "change no more water yet: water went in without conditioner" in said(wary)
    assert at_once(changed, DANIOS, NOW, by_log=False).first_change is not None
    old = replace(change, at=NOW - timedelta(days=3))
    answer = replace(change, at=NOW - timedelta(minutes=20))
    for other in (
        replace(changed, filled=date(2026, 10, 20)),  # still the tap's own water
        replace(changed, source_water=SourceWater(ph=7.9, kh_dkh=8.0, gh_dgh=9.0)),
        replace(read, events=(old,)),
        replace(read, events=(answer,)),  # what was done about the reading
        replace(read, events=(AnimalsIn(at=change.at, species="Danio rerio", count=2),)),
        replace(read, events=(change, *_weekly(change))),
        replace(changed, habits=(Habit(template=old, every_days=7, start=date(2024, 1, 2)),)),
    ):
        assert all(not each.after for each in at_once(other, DANIOS, NOW).alarms)


def _weekly(change: WaterChange) -> list[WaterChange]:
    return [replace(change, at=change.at - timedelta(days=7 * n)) for n in range(1, 5)]
