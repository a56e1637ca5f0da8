"""Incidents of the evidence are what they are called, and its judge sees a planted harm."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from evidence.trouble_incidents import HEALTHY, bodies, incident
from evidence.trouble_other_incidents import other_incident, views
from evidence.trouble_section import PAGE, made_of
from evidence.trouble_tanks import IS_SO, drawn, fine, lived
from evidence.trouble_trial import RIGHT, harmful

from watervane.advice.first_aid import hour_for
from watervane.records.first_aid import AidAct, AidAnswers, FirstAid
from watervane.reference.first_aid import aid_tables
from watervane.reference.trouble import trouble_tables

TABLES = trouble_tables()


LATER = {"other-water"}  # a cause since these incidents were made; they stay as they were


def test_every_kind_is_a_cause_and_there_are_three_hundred() -> None:
    told = bodies()["trouble"]
    assert set(told) == set(TABLES.causes) - LATER
    assert sum(each["count"] for each in told.values()) == 300
    seen = [sign for each in bodies()["seen"].values() for sign in each["signs"]]
    assert sorted(seen) == sorted(TABLES.signs)


@pytest.mark.parametrize("kind", bodies()["trouble"])
def test_an_incident_is_what_it_is_called_and_drawn_alike_each_time(kind: str) -> None:
    one, again = (incident(kind, np.random.default_rng([4, 2])) for _ in range(2))
    assert one == again
    assert one.answers.see
    if kind in IS_SO and kind not in ("ph-crash", "ph-swing", "mineral-jump"):
        assert IS_SO[kind](one.water, one.water)
    assert all(reading.quantity for reading in one.answers.readings)


def test_a_healthy_tank_is_fine() -> None:
    assert all(fine(incident(HEALTHY, np.random.default_rng([5, n])).water) for n in range(10))


def test_small_tanks_keep_their_nitrogen() -> None:
    tank = replace(drawn(np.random.default_rng(3), 400.0, ripe=True), tan=2.0)
    after = lived(tank, 3.0, change=0.0)
    before_n = tank.tan + tank.nitrite + tank.nitrate
    assert after.tan + after.nitrite + after.nitrate == pytest.approx(
        before_n + 3.0 * tank.load_per_d
    )


def _hour(*acts: str) -> FirstAid:
    told = hour_for(AidAnswers(), dict.fromkeys(aid_tables().causes, 0.05), frozenset())
    return replace(told, acts=tuple(AidAct(act, float(n), 1.0) for n, act in enumerate(acts)))


def test_the_judge_sees_planted_harm() -> None:
    rng = np.random.default_rng([6, 1])
    acid = incident("ph-crash", rng)
    asleep = replace(acid, water=replace(acid.water, tan=8.0, kh=1.0, co2_extra=20.0))
    assert harmful(_hour("mains", "air", "watch"), asleep, 3) == ["air"]
    assert harmful(_hour("mains", "air", "bind"), asleep, 3) == []
    copper = incident("copper", rng)
    assert "change-fifth" in harmful(_hour("change-fifth"), copper, 1)
    cold = incident("cold", rng)
    assert "cool" in harmful(_hour("cool"), cold, 1)
    stifled = incident("low-oxygen", rng)
    assert harmful(_hour("bind", "mains"), stifled, 2) == ["bind"]
    assert harmful(_hour("bind", "air"), stifled, 2) == []
    assert set(RIGHT.values()) <= set(aid_tables().acts)


def test_the_other_incidents_are_of_the_same_causes_and_drawn_alike_each_time() -> None:
    told = views()
    assert set(told["cause"]) == set(TABLES.causes) - LATER
    assert set(told["plain"]) == set(TABLES.signs)
    one, again = (other_incident("copper", np.random.default_rng([4, 2])) for _ in range(2))
    assert one == again
    assert one.answers.see


@pytest.mark.parametrize(
    "part", [0, pytest.param(1, marks=pytest.mark.slow)], ids=["tables", "reasoning"]
)
def test_the_page_is_of_the_tables_and_the_reasoning_in_use(part: int) -> None:
    """Where they changed after the last run, the page tells figures that no run gives any more."""
    page = PAGE.read_text(encoding="utf-8")
    assert made_of()[part] in page, "run python -m evidence.trouble_section --anew"
