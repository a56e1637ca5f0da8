"""What a log tells of a substance counts in the next dose of it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from watervane.advice.dosing import CannotDose, dose_sheet
from watervane.advice.logged_doses import logged_dose
from watervane.records import Dose, Event, Habit, Span, Tank, Treatment, WaterChange
from watervane.records.doses import DosedAnimal, DoseWish, LabelRate
from watervane.wording.doses import dose_remarks, dose_sentences

START = datetime(2026, 3, 1, 12, tzinfo=UTC)
NOW = START + timedelta(days=30)
RATE = LabelRate(1.0, "g", 1.0, "1 g/L")


def tank(*events: Event, habits: tuple[Habit, ...] = ()) -> Tank:
    return Tank("Log", date(2026, 3, 1), volume_l=50.0, events=events, habits=habits)


def salt(day: int, grams: float) -> Dose:
    at = START + timedelta(days=day)
    return Dose(at=at, substance="sodium chloride", mass_g=Span.exact(grams))


def change(day: int, share: float) -> WaterChange:
    return WaterChange(at=START + timedelta(days=day), fraction=share)


def test_salt_stays_but_for_what_was_changed() -> None:
    """By hand: 40 g, half of it changed out, 10 g more, a fifth of all changed: 24 g of 50 L."""
    log = tank(salt(2, 40.0), change(5, 0.5), salt(9, 10.0), change(12, 0.2), salt(40, 99.0))
    told = logged_dose(log, "salt", NOW)
    assert told is not None
    assert told.salt_g_per_l == pytest.approx((40.0 * 0.5 * 0.8 + 10.0 * 0.8) / 50.0)
    assert told.changed_since == pytest.approx(0.2)
    assert told.at == START + timedelta(days=9), "what lies ahead is a plan"


def test_changes_by_habit_count_as_often_as_they_fell_due() -> None:
    weekly = Habit(template=change(7, 0.25), every_days=7, start=date(2026, 3, 8))
    told = logged_dose(tank(salt(1, 50.0), habits=(weekly,)), "salt", NOW)
    assert told is not None
    assert told.salt_g_per_l == pytest.approx(0.75**4)


def test_what_is_there_is_taken_off_and_counts_for_whom_it_harms() -> None:
    told = logged_dose(tank(salt(2, 30.0)), "salt", NOW)
    wish = DoseWish("salt", RATE, 50.0, animals=(DosedAnimal("Danio rerio", 6),), logged=told)
    sheet = dose_sheet(wish)
    assert dose_sentences(sheet)[0].startswith("Give 20 g, no more")
    assert "it would be 50 g in all" in dose_sentences(sheet)[1]
    full = logged_dose(tank(salt(2, 50.0)), "salt", NOW)
    assert dose_sentences(dose_sheet(replace(wish, logged=full)))[0].startswith("Give none")
    assert not any("no more" in each for each in dose_remarks(sheet)), "once"
    told_changes = dose_sentences(dose_sheet(replace(wish, removed=(0.5,))))
    assert not any("By the log" in each or "by the log" in each for each in told_changes)
    zebras_bear = logged_dose(tank(salt(2, 250.0)), "salt", NOW)
    with pytest.raises(CannotDose, match="dose-salt-harms"):
        dose_sheet(replace(wish, logged=zebras_bear))
    dose_sheet(replace(wish, logged=zebras_bear, bath=True))


def test_of_a_treatment_it_is_told_when_it_went_in_and_what_was_changed_since() -> None:
    log = tank(
        Treatment(at=START + timedelta(days=20), substance="copper sulfate"), change(25, 0.5)
    )
    for name in ("treatment", "copper"):
        told = logged_dose(log, name, NOW)
        assert told is not None
        assert (told.changed_since, told.salt_g_per_l) == (0.5, None)
    assert logged_dose(log, "salt", NOW) is None
    assert logged_dose(log, "conditioner", NOW) is None, "it is used up"
    rate = LabelRate(5.0, "mL", 50.0, "5 mL per 50 L")
    sheet = dose_sheet(DoseWish("treatment", rate, 50.0, logged=logged_dose(log, "treatment", NOW)))
    assert "50 % of the water was changed since" in " ".join(dose_sentences(sheet))
