"""Anchors stand for what went before them: the water they began with, what was learned, the log."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from watervane.inference.anchored_target import AnchoredTarget, since, target_of
from watervane.inference.anchors import packed_state
from watervane.inference.carrying import Assimilation, Carried, ChangedPastError
from watervane.inference.history import (
    SPACING,
    History,
    Spacing,
    anchors_crossed,
    begun_at,
    fit_history,
    line_day,
)
from watervane.inference.priors import prior_members
from watervane.inference.tempered import Effort
from watervane.process.run import Members, initial_state, simulate
from watervane.process.timeline import Timeline, timeline
from watervane.records import (
    AnimalsIn,
    Feed,
    Habit,
    Kit,
    KitScale,
    Reading,
    ReadingValue,
    Span,
    Tank,
    WaterChange,
)

UTC = ZoneInfo("UTC")
START = datetime(2026, 3, 1, 18, tzinfo=UTC)
MEMBERS = 500  # fewer would fill a block, too
STEPS = (0.0, 0.2, 0.5, 1.0, 2.0, 4.0)
EFFORT = Effort(most_between=3, most_at_end=8)
EVERY_TWO_WEEKS = Spacing(every_d=14, age_d=10)
FAR = Spacing(every_d=14, age_d=10_000)


def reading(day: int, mg_n_per_l: float, quantity: str) -> Reading:
    value = ReadingValue("exact", mg_n_per_l, mg_n_per_l, "n", f"{mg_n_per_l}")
    return Reading(START + timedelta(days=day), quantity, value, kit="kit 1")


def line_of(told: tuple[Reading, ...], change_day: int = 8) -> Timeline:
    steps = tuple(KitScale(q, steps=STEPS, basis="n") for q in ("ammonia", "nitrite"))
    tank = Tank(
        name="small",
        filled=START.date(),
        kits={"kit 1": Kit("kit 1", scales=steps)},
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
        readings=told,
    )
    return timeline(tank, 60)


def readings(until: int) -> tuple[Reading, ...]:
    """What a member of the prior would have shown on a kit with steps, every fourth day."""
    line = line_of(())
    truth = prior_members(line.tank, np.array([33]), 4)
    days = list(range(4, until + 1, 4))
    moments = [line.calendar.days(START + timedelta(days=day)) for day in days]
    course = simulate(line, truth, initial_state(line, truth), (0, until + 1), stops_d=moments)
    told = []
    for i, day in enumerate(days):
        for quantity in ("ammonia", "nitrite"):
            level = float(course.output(f"{quantity}_mg_n_per_l")[i, 0])
            told.append(reading(day, min(STEPS, key=lambda s: abs(s - level)), quantity))
    return tuple(told)


OLD, ALL = readings(12), readings(28)


@pytest.fixture(scope="module")
def young() -> Carried:
    return fit_history(line_of(ALL), OLD, MEMBERS, 1, 2, effort=EFFORT).carried


@pytest.fixture(scope="module")
def whole() -> History:
    """All readings, fitted in two stretches."""
    return fit_history(line_of(ALL), ALL, MEMBERS, 5, 2, spacing=EVERY_TWO_WEEKS, effort=EFFORT)


def test_an_anchor_is_set_on_the_way_and_old_ones_are_begun_at() -> None:
    assert SPACING.ahead(131, 0) is None
    assert SPACING.ahead(132, 0) == 42
    assert SPACING.ahead(200, 0) == 84
    assert SPACING.ahead(200, 84) is None
    assert SPACING.ahead(1000, 0) == 126  # no stretch is longer than one that needs no anchor
    assert SPACING.crossed(41, 84) == [42, 84]
    assert SPACING.crossed(42, 83) == []


def test_the_water_of_an_anchor_is_that_of_its_members(young: Carried) -> None:
    line = line_of(ALL)
    (anchor,) = anchors_crossed(line, ALL, young, 15, 2, EVERY_TWO_WEEKS)
    went, _ = begun_at(line, ALL, young, replace(anchor, day=7), 2)  # any day will do
    scores = went.z[[went.names.index(name) for name in anchor.state_names]]
    state, drift = anchor.state(scores), anchor.drift(scores)
    again = anchor.scores(state, drift)
    # Between values that many share and the next the way back is not the way there.
    off = np.abs(packed_state(anchor.state(again)) - packed_state(state))
    assert np.quantile(off, 0.999) <= 5e-4
    assert off.max() <= 2e-3
    assert anchor.drift(again) == pytest.approx(drift)
    own = anchor.state(np.zeros((len(anchor.state_names), 1)))
    assert anchor.values[0].min() < packed_state(own)[anchor.varying[0], 0] < anchor.values[0].max()
    assert anchor.day == 14
    assert anchor.readings == len(OLD)


@pytest.mark.slow
def test_members_begun_at_an_anchor_see_the_same_readings() -> None:
    """From the anchor on they do what they did when they began at filling."""
    line = line_of(ALL)
    kept = fit_history(line, ALL, MEMBERS, 2, 2, effort=Effort(most_between=1, most_at_end=1))
    before = fit_history(line, readings(13), MEMBERS, 3, 2, effort=EFFORT).carried
    (anchor,) = anchors_crossed(line, ALL, before, 14, 2, EVERY_TWO_WEEKS)
    went, stretch = begun_at(line, ALL, kept.carried, anchor, 2)
    recent = since(line, ALL, anchor)
    assert len(went.reading_keys) == len(recent) < len(ALL)
    target = target_of(line, ALL, went.seed, 2, anchor)
    assert isinstance(target, AnchoredTarget)
    folded = target.folded(went.z)
    assert target.unfolded(folded) == pytest.approx(went.z, abs=1e-9)
    looks = np.asarray(target.evaluate(folded).kept["looks"])
    # Water that no member of the anchor had is taken for the nearest that one had.
    off = np.abs(looks - went.looks) / np.maximum(went.looks.max(axis=1, keepdims=True), 0.1)
    assert np.median(off) < 1e-3
    assert np.quantile(off, 0.9) < 0.03
    assert stretch.first_day == 0
    course = stretch.course(line, [5.0], "sampling", 2)
    assert len(course.daily_means) == anchor.day


def test_an_edit_before_an_anchor_is_noticed_and_one_after_it_is_none(whole: History) -> None:
    (stretch,) = whole.stretches
    anchor = stretch.anchor
    assert anchor.day == 14
    assert anchor.holds(line_of(ALL), ALL)
    assert anchor.holds(line_of(ALL, change_day=8), (*ALL, reading(15, 9.0, "ammonia")))
    assert not anchor.holds(line_of(ALL, change_day=9), ALL)
    assert not anchor.holds(line_of(ALL), ALL[1:])
    assert not anchor.holds(line_of(ALL), (reading(3, 0.1, "ammonia"), *ALL))
    with pytest.raises(ChangedPastError):
        Assimilation(line_of(ALL, change_day=9), ALL, whole.carried, 1, 2)


def later(line: Timeline, history: History) -> np.ndarray:
    """Ammonia and nitrite ten days on, and log colonies, shape (4, members)."""
    members: Members = history.fitted.members
    kept = history.carried
    course = simulate(
        line, members, kept.state, (kept.day, kept.day + 11), stops_d=[kept.day + 10.0], threads=2
    )
    names = ("ammonia_mg_n_per_l", "nitrite_mg_n_per_l", "ammonia_oxidisers_mg_per_l",
             "nitrite_oxidisers_mg_per_l")  # fmt: skip
    return np.stack([np.log(np.maximum(course.output(n)[0], 0.0) + 0.01) for n in names])


@pytest.mark.slow
def test_anchored_and_full_runs_agree(whole: History) -> None:
    line = line_of(ALL)
    full = fit_history(line, ALL, MEMBERS, 9, 2, effort=EFFORT)
    assert not full.stretches
    assert whole.carried.anchor is not None
    one, two = later(line, whole), later(line, full)
    effective = [h.fitted.effective for h in (whole, full)]
    effective[0] = min(effective[0], whole.stretches[0].anchor.effective)
    error = np.sqrt(sum(1.0 / e for e in effective))
    apart = (one.mean(axis=1) - two.mean(axis=1)) / two.std(axis=1)
    print(apart, error, one.std(axis=1) / two.std(axis=1))
    assert np.abs(apart).max() < 4.0 * error
    assert np.abs(np.log(one.std(axis=1) / two.std(axis=1))).max() < 4.0 * error
    shared = [n for n in full.fitted.names if n in whole.fitted.names and not n[-1].isdigit()]
    assert whole.fitted.z is not None
    assert full.fitted.z is not None
    rows = [np.stack([h.fitted.z[h.fitted.names.index(n)] for n in shared]) for h in (whole, full)]
    moved = (rows[0].mean(axis=1) - rows[1].mean(axis=1)) / rows[1].std(axis=1)
    print(np.abs(moved).max(), np.sqrt((moved**2).mean()))
    assert np.sqrt((moved**2).mean()) < 1.5 * error


@pytest.mark.slow
def test_days_before_anything_was_read_are_run_once() -> None:
    assert SPACING.unread(131) is None
    assert SPACING.unread(1673) == 1638
    late = readings(56)[-10:]
    line = line_of(late)
    assert EVERY_TWO_WEEKS.unread(line_day(line, late[0])) == 28
    one = fit_history(line, late, MEMBERS, 7, 2, spacing=EVERY_TWO_WEEKS, effort=EFFORT)
    assert one.stretches[0].anchor.day == 28
    assert one.stretches[0].anchor.readings == 0
    full = fit_history(line, late, MEMBERS, 8, 2, spacing=FAR, effort=EFFORT)
    assert not full.stretches
    effective = [h.fitted.effective for h in (one, full)]
    error = np.sqrt(sum(1.0 / e for e in effective))
    here, there = later(line, one), later(line, full)
    apart = (here.mean(axis=1) - there.mean(axis=1)) / there.std(axis=1)
    print(effective, apart, error, here.std(axis=1) / there.std(axis=1))
    assert np.abs(apart).max() < 4.0 * error
    assert np.abs(np.log(here.std(axis=1) / there.std(axis=1))).max() < 4.0 * error


def test_an_anchor_ages_towards_the_prior(whole: History) -> None:
    anchor = whole.stretches[0].anchor
    old = anchor.aged(3650.0)
    lasting = len(anchor.names) - len(anchor.state_names)
    assert np.abs(old.mean[:lasting]).max() < np.abs(anchor.mean[:lasting]).max()
    assert old.mean[lasting:] == pytest.approx(anchor.mean[lasting:])
    sharp = np.diag(anchor.covariance)[:lasting] < 0.8
    assert (np.diag(old.covariance)[:lasting] > np.diag(anchor.covariance)[:lasting])[sharp].all()
    assert np.linalg.eigvalsh(old.covariance).min() > 0.0
    assert old.aged(1e9).covariance[:lasting, :lasting] == pytest.approx(np.eye(lasting))


def test_new_readings_are_taken_in_from_an_anchor(whole: History) -> None:
    more = (*ALL, reading(30, 0.05, "ammonia"))
    line = line_of(more)
    going_on = Assimilation(line, more, whole.carried, 3, 2)
    full = going_on.target.evaluate(going_on.target.folded(going_on.z))
    assert going_on.found.log_likelihood == pytest.approx(full.log_likelihood, rel=1e-9)
    taken = going_on.rejuvenated(Effort(most_at_end=1))
    assert taken.carried.anchor is whole.carried.anchor
    assert len(taken.carried.reading_keys) == len(whole.carried.reading_keys) + 1
