"""What to know of steps: computed for this tank and those in it, not said by heart."""

from __future__ import annotations

import sys
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from watervane.advice.acts import dose, set_warmth
from watervane.advice.emergency import within_the_hour
from watervane.advice.menu import Setting
from watervane.advice.notes import salt_words, with_notes
from watervane.chemistry.salts import SALTS, dose_for_chloride_g
from watervane.limits import Limit, limits_for
from watervane.limits.limit import Constant
from watervane.records import Act, Finding, Today
from watervane.reference import animal_needs
from watervane.wording import finding_text

sys.path.append(str(Path(__file__).parents[1] / "cli"))
from sample_today import CHOSEN, sample_today

AT = datetime(2026, 3, 10, 18, tzinfo=UTC)


def setting(*animals: str, chloride: float = 20.0) -> Setting:
    here = dict.fromkeys(animals, 5)
    masses = dict.fromkeys(animals, 0.3)
    return Setting(AT, 60.0, frozenset(), True, here, masses, 0.0, 25.0, chloride, False)


def noted(*acts: Act, about: Setting, limits: tuple[Limit, ...] | None = None) -> Today:
    day = replace(sample_today(), chosen=replace(CHOSEN, acts=acts), warmth_c=20.0)
    return with_notes(day, about, limits_for(about.animals) if limits is None else limits)


def keys(found: tuple[Finding, ...]) -> list[str]:
    return [finding.key for finding in found]


def test_salt_brings_the_chloride_its_grams_hold() -> None:
    grams = float(dose_for_chloride_g(SALTS["sodium-chloride"], 80.0, 60.0))
    day = noted(dose("salt", AT, "sodium chloride", grams), about=setting("guppy"))
    (told,) = day.notes
    assert told.arguments["chloride_mg_per_l"] == pytest.approx(100.0, abs=1.0)
    assert "from 20 to about 100 mg/L" in finding_text(told)


def test_those_that_bear_hardly_any_salt_and_those_it_does_not_help_are_named() -> None:
    here = setting("guppy", "neon tetra", "Corydoras", "snark")
    words = salt_words(here, 0.15)
    assert words["hardly"] == ("neon tetra", "Corydoras", "snark")
    assert animal_needs("neon tetra").group("nitrite group") == "very sensitive"
    assert "neon tetra" in words["unhelped"]
    assert "guppy" not in words["unhelped"]
    day = noted(dose("salt", AT, "sodium chloride", 9.0), about=here)
    assert keys(day.notes) == ["note-salt-brings", "note-salt-hardly", "note-salt-unhelped"]
    assert "Corydoras" in finding_text(day.notes[1])


@pytest.mark.parametrize(("rate", "hours"), [(2.0, 3), (0.5, 10)])
def test_the_heater_is_turned_at_the_rate_of_the_limits(rate: float, hours: int) -> None:
    own = tuple(
        replace(limit, level=Constant(rate))
        for limit in limits_for(("guppy",))
        if limit.key == "temperature_change_comfort"
    )
    act = set_warmth(AT, 25.0, warmer=True)
    (told,) = noted(act, about=setting("guppy"), limits=own).notes
    assert (told.arguments["per_hour_c"], told.arguments["hours"]) == (rate, hours)
    assert noted(act, about=setting("guppy"), limits=()).notes == ()


def test_an_emergency_carries_this_tanks_figures() -> None:
    def hour(subject: str, about: Setting) -> tuple[Finding, ...]:
        day = replace(sample_today(), emergency=within_the_hour([subject], 7.6))
        return with_notes(day, about, limits_for(about.animals)).emergency

    assert "hour-slowly-rate" in keys(hour("temperature-above", setting("guppy")))
    salted = hour("nitrite", setting("guppy"))
    (told,) = (step for step in salted if step.key == "hour-salt")
    assert told.arguments["grams"] == pytest.approx(60 * 80 / 1000 * 58.44 / 35.45, rel=0.03)
    assert "hour-salt" not in keys(hour("nitrite", setting("neon tetra"))), "it helps none of them"
    assert "hour-salt" not in keys(hour("nitrite", setting("guppy", chloride=150.0)))
