"""Each kind of event on the line it belongs to, in the amount that was told."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

import numpy as np
import pytest

from watervane.forecast.ledger import held, of_deed
from watervane.inference.priors import prior_members
from watervane.process.booking import Book, BookedDeed, run_booked
from watervane.process.noise import food_from
from watervane.process.run import Members, initial_state
from watervane.process.state import COLUMN
from watervane.process.timeline import timeline
from watervane.records import (
    AnimalsIn,
    AnimalsOut,
    Clean,
    Died,
    Dose,
    Event,
    Feed,
    MediaMoved,
    Seed,
    SourceWater,
    Span,
    Tank,
    TopOff,
    WaterChange,
)

COUNT = 6
EIGHT, TEN, NOON = (datetime(2026, 3, 1, hour, tzinfo=UTC) for hour in (8, 10, 12))
FISH = AnimalsIn(at=EIGHT, species="Danio rerio", count=4, length_cm=3.0)
MEAL = Feed(at=TEN, mass_g=Span.exact(1.0), protein=0.42)
TAP = SourceWater(nitrate_mg_n_per_l=4.0, chloramine_mg_per_l=1.5)


def _tank(*events: Event) -> Tank:
    return Tank(
        name="lines", filled=date(2026, 3, 1), volume_l=60.0, source_water=TAP, events=events
    )


def _members(tank: Tank) -> Members:
    members = prior_members(tank, np.arange(COUNT), 3)
    quiet = {name: np.zeros((2, COUNT)) for name in ("food", "luck", "change")}
    return replace(members, told=quiet)


def _last(*events: Event) -> tuple[BookedDeed, Members]:
    """The deed of the last of some events."""
    tank = _tank(*events)
    line, members, deeds = timeline(tank, 1), _members(tank), list[BookedDeed]()
    run_booked(line, members, initial_state(line, members), (0, 1), Book(deeds.append))
    moment = line.calendar.days(events[-1].at)
    return next(deed for deed in deeds if abs(deed.at_d - moment) < 1e-6), members


def _only(lines: dict[str, np.ndarray], *names: str) -> None:
    assert {name for name, amount in lines.items() if np.abs(amount).max() > 1e-9} == set(names)


def test_a_meal_is_its_protein_s_nitrogen_eaten_or_not() -> None:
    for before in ((FISH,), ()):
        deed, members = _last(*before, MEAL)
        came, went = of_deed(deed)
        _only(came, "food")
        _only(went)
        noise = food_from(np.zeros(COUNT))
        told = 1000.0 * 0.42 * 0.16 / 60.0 * members.parameters["food_multiplier"] * noise
        assert came["food"] == pytest.approx(told, rel=1e-9)


def test_a_change_drains_its_share_and_pours_the_tap_in() -> None:
    deed, members = _last(FISH, MEAL, WaterChange(at=NOON, fraction=0.25))
    came, went = of_deed(deed)
    _only(came, "tap-nitrate", "tap-chloramine")
    _only(went, "drained")
    dissolved = sum(held(deed.before)[pool] for pool in ("ammonia", "nitrite", "nitrate"))
    assert went["drained"] == pytest.approx(0.25 * dissolved, rel=1e-9)
    # What has evaporated since morning is filled up besides.
    assert came["tap-chloramine"] == pytest.approx(0.25 * 1.5 * 14.0067 / 70.906, rel=0.01)
    ratio = came["tap-nitrate"] / came["tap-chloramine"] * 1.5 * 14.0067 / 70.906
    assert ratio == pytest.approx(members.source[COLUMN["nitrate"]], rel=1e-6)


def test_pure_water_poured_in_brings_nothing() -> None:
    came, went = of_deed(_last(TopOff(at=NOON, volume_l=1.0, pure=True))[0])
    _only(came)
    _only(went)


@pytest.mark.parametrize(
    ("dose", "line"),
    [
        ({"substance": "ammonium chloride", "added_mg_n_per_l": 1.0}, "dosed"),
        ({"substance": "ammonium chloride", "target_mg_n_per_l": 2.0}, "dosed"),
        ({"substance": "potassium nitrate", "mass_g": Span.exact(0.5)}, "dosed"),
        ({"substance": "sodium chloride", "mass_g": Span.exact(5.0)}, None),
    ],
)
def test_what_is_dosed_counts_where_it_holds_nitrogen(
    dose: dict[str, object], line: str | None
) -> None:
    came, went = of_deed(_last(Dose(at=NOON, **dose))[0])
    _only(came, *((line,) if line else ()))
    _only(went)


def test_a_told_rise_is_booked_as_told() -> None:
    told = Dose(at=NOON, substance="ammonium chloride", added_mg_n_per_l=1.0)
    came, _ = of_deed(_last(told)[0])
    assert came["dosed"] == pytest.approx(np.ones(COUNT), rel=1e-9)


FISHES = {"at": NOON, "species": "Danio rerio"}
TAKEN: list[tuple[Event, str | None, float]] = [
    (AnimalsOut(**FISHES, count=1), "animals", 0.25),
    (Died(**FISHES, count=4, removed=False), None, 0.0),
    (Clean(at=NOON, part="filter", how="tank water"), "colonies", 0.0),
    (MediaMoved(at=NOON, fraction=0.5), "colonies", 0.0),
    (Clean(at=NOON, part="waste", how="tank water"), "waste", 0.0),
]


@pytest.mark.parametrize(("event", "line", "share_of_animals"), TAKEN)
def test_what_is_taken_goes_on_its_own_line(
    event: Event, line: str | None, share_of_animals: float
) -> None:
    deed = _last(FISH, MEAL, event)[0]
    came, went = of_deed(deed)
    assert max(np.abs(amount).max() for amount in came.values()) < 1e-12
    assert {name for name, amount in went.items() if np.abs(amount).max() > 1e-12} == (
        {line} if line else set()
    )
    expected = share_of_animals * held(deed.before)["animals"]
    assert went["animals"] == pytest.approx(expected, rel=1e-9, abs=1e-12)


def test_the_dead_that_are_taken_out_leave_what_they_had_not_eaten() -> None:
    deed = _last(FISH, Died(at=NOON, species="Danio rerio", count=4, removed=True))[0]
    _, went = of_deed(deed)
    assert went["animals"] == pytest.approx(held(deed.before)["animals"], rel=1e-9)


def test_seeds_are_booked_as_what_lives_on_them() -> None:
    came, went = of_deed(_last(Seed(at=NOON, source="media", volume_l=0.2))[0])
    _only(went)
    assert {n for n, a in came.items() if a.max() > 0.0} == {"seeded"}
