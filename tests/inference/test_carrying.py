"""Members carried on by new readings agree with members fitted from scratch."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from watervane.inference.carrying import Assimilation, Carried, ChangedPastError, carried
from watervane.inference.fitting import fit_members
from watervane.inference.tempered import Effort
from watervane.process.timeline import Timeline, timeline
from watervane.records import AnimalsIn, Feed, Habit, Reading, ReadingValue, Span, Tank, WaterChange

UTC = ZoneInfo("UTC")
START = datetime(2026, 3, 1, 18, tzinfo=UTC)
MEMBERS = 200
EFFORT = Effort(most_between=2, most_at_end=6)


def reading(day: int, mg_n_per_l: float, quantity: str = "ammonia") -> Reading:
    value = ReadingValue("exact", mg_n_per_l, mg_n_per_l, "n", f"{mg_n_per_l}")
    return Reading(START + timedelta(days=day), quantity, value)


OLD = (reading(3, 0.3), reading(5, 0.6), reading(5, 0.0, "nitrite"), reading(7, 1.0))
NEW = (reading(9, 1.4), reading(9, 0.1, "nitrite"))


def tank_of(readings: tuple[Reading, ...], change_day: int = 8) -> Tank:
    return Tank(
        name="small",
        filled=START.date(),
        volume_l=54.0,
        events=(
            AnimalsIn(at=START + timedelta(days=1), species="Danio rerio", count=6),
            WaterChange(at=START + timedelta(days=change_day), fraction=0.3),
        ),
        habits=(
            Habit(
                template=Feed(at=START, mass_g=Span(0.02, 0.08)),
                every_days=1,
                start=date(2026, 3, 2),
            ),
        ),
        readings=readings,
    )


@pytest.fixture(scope="module")
def before() -> Carried:
    line = timeline(tank_of(OLD), 20)
    fitted = fit_members(line, OLD, MEMBERS, 2, 2, effort=EFFORT)
    return carried(line, OLD, fitted, 2)


def line_of(readings: tuple[Reading, ...] = (*OLD, *NEW), change_day: int = 8) -> Timeline:
    return timeline(tank_of(readings, change_day), 20)


def test_going_on_from_a_checkpoint_is_the_same_as_running_from_the_start(before: Carried) -> None:
    going_on = Assimilation(line_of(), (*OLD, *NEW), before, 2, 2)
    found = going_on.found
    whole = going_on.target.evaluate(going_on.z)
    assert np.array_equal(np.asarray(found.kept["looks"]), np.asarray(whole.kept["looks"]))
    assert found.log_likelihood == pytest.approx(whole.log_likelihood, rel=1e-12)
    assert whole.log_base is not None
    assert found.log_base == pytest.approx(whole.log_base, rel=1e-12)
    assert found.log_base == pytest.approx(before.log_likelihood, rel=1e-12)


def test_weights_are_those_of_the_new_readings(before: Carried) -> None:
    going_on = Assimilation(line_of(), (*OLD, *NEW), before, 2, 2)
    weighed = going_on.reweighted()
    each = np.asarray(going_on.found.kept["each"])
    expected = np.exp(each[len(OLD) :].sum(axis=0))
    assert np.exp(weighed.log_weights) == pytest.approx(expected / expected.sum())
    assert weighed.usable
    drawn = going_on.provisional().fitted
    assert len(drawn.members) == MEMBERS
    assert drawn.effective <= weighed.effective + 1e-9


def test_carried_on_and_from_scratch_agree(before: Carried) -> None:
    readings = (*OLD, *NEW)
    one = Assimilation(line_of(), readings, before, 2, 2).rejuvenated(EFFORT).fitted
    two = fit_members(line_of(), readings, MEMBERS, 3, 2, effort=EFFORT)
    assert one.names == two.names
    assert one.z is not None
    assert two.z is not None
    lasting = [i for i, name in enumerate(one.names) if " " not in name or name.startswith("bias")]
    first, second = one.z[lasting], two.z[lasting]
    error = np.sqrt(1.0 / one.effective + 1.0 / two.effective)
    apart = (first.mean(axis=1) - second.mean(axis=1)) / second.std(axis=1)
    # Fifty unknowns at once: four standard errors each, and the spread of all of them about one.
    assert np.abs(apart).max() < 4.0 * error + 0.1
    assert np.sqrt((apart**2).mean()) < 1.5 * error


def test_an_edited_past_is_noticed(before: Carried) -> None:
    with pytest.raises(ChangedPastError):
        Assimilation(line_of(change_day=6), (*OLD, *NEW), before, 2, 2)
    changed = (reading(3, 0.5), *OLD[1:], *NEW)
    with pytest.raises(ChangedPastError):
        Assimilation(line_of(changed), changed, before, 2, 2)
    with pytest.raises(ChangedPastError):
        Assimilation(line_of(OLD[1:]), OLD[1:], before, 2, 2)


@pytest.mark.parametrize("hours", [1, -30])
def test_a_reading_of_the_same_day_or_written_down_late_is_weighed_as_any(
    before: Carried, hours: int
) -> None:
    more = replace(NEW[1], at=OLD[-1].at + timedelta(hours=hours))
    readings = tuple(sorted((*OLD, more), key=lambda r: r.at))
    going_on = Assimilation(line_of(readings), readings, before, 2, 2)
    whole = going_on.target.evaluate(going_on.z)
    each = np.asarray(whole.kept["each"])
    place = readings.index(more)
    assert going_on.found.log_likelihood == pytest.approx(whole.log_likelihood, rel=1e-12)
    expected = np.exp(each[place])
    weights = np.exp(going_on.reweighted().log_weights)
    assert weights == pytest.approx(expected / expected.sum())


def test_members_taken_in_go_on_as_if_they_had_been_fitted(before: Carried) -> None:
    taken = Assimilation(line_of(), (*OLD, *NEW), before, 2, 2).provisional()
    again = carried(line_of(), (*OLD, *NEW), taken.fitted, 2)
    assert again.names == taken.carried.names
    assert np.array_equal(again.looks, taken.carried.looks)
    assert again.log_likelihood == pytest.approx(taken.carried.log_likelihood, rel=1e-12)
    assert again.digest == taken.carried.digest
    for one, other in zip(again.state, taken.carried.state, strict=True):
        assert np.array_equal(np.asarray(one), np.asarray(other))


def test_without_a_new_reading_members_are_only_moved(before: Carried) -> None:
    moved = Assimilation(line_of(OLD), OLD, before, 2, 2).rejuvenated(Effort(most_at_end=1))
    assert moved.carried.digest == before.digest
    assert not np.array_equal(moved.carried.z, before.z)
    assert moved.fitted.effective >= before.effective


def test_a_later_event_is_no_edit_of_the_past(before: Carried) -> None:
    Assimilation(line_of(change_day=9), (*OLD, *NEW), before, 2, 2)
