"""Moving a tank loses nothing that should travel, and brings nothing that should not."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

import numpy as np
import pytest

from watervane.engine.larger_tank import moved
from watervane.inference.fitting import fit_members
from watervane.process.run import initial_state, simulate
from watervane.process.state import COLUMN
from watervane.process.timeline import timeline
from watervane.records import AnimalsIn, Feed, Habit, SourceWater, Span, Tank

AT = datetime(2026, 3, 2, 8, tzinfo=UTC)
OLD = Tank(
    name="small",
    filled=date(2026, 3, 1),
    volume_l=50.0,
    source_water=SourceWater(ph=7.5, kh_dkh=5.0, nitrate_mg_n_per_l=1.0),
    events=(AnimalsIn(at=AT, species="zebrafish", count=6, length_cm=3.5),),
    habits=(Habit(template=Feed(at=AT, mass_g=Span.exact(0.1)), every_days=1, start=AT.date()),),
)
DAYS = 40
Both = tuple[np.ndarray, np.ndarray, float]


@pytest.fixture(scope="module")
def both() -> Both:
    """Grams per tank before and after a move from 50 to 150 L."""
    old, new = (timeline(replace(OLD, volume_l=v), DAYS + 5) for v in (50.0, 150.0))
    members = fit_members(old, (), 60, 1, 1).members
    state = simulate(old, members, initial_state(old, members), (0, DAYS), threads=1).final
    after = moved(state, old, new, members)
    return (
        50.0 * np.asarray(state.amounts)[:, 0],
        150.0 * np.asarray(after.amounts)[:, 0],
        float(np.asarray(after.volume_ratio).min()),
    )


@pytest.mark.parametrize("name", ["animal_nitrogen", "gut_nitrogen", "plant_nitrogen"])
def test_animals_and_plants_travel_whole(name: str, both: Both) -> None:
    before, after, _ = both
    assert np.allclose(before[COLUMN[name]], after[COLUMN[name]])


@pytest.mark.parametrize("habitat", ["filter", "bed"])
def test_colonies_travel_in_part_and_differ_from_member_to_member(
    habitat: str, both: tuple
) -> None:
    before, after, _ = both
    row = COLUMN[f"nitrite_oxidisers_{habitat}"]
    share = after[row] / before[row]
    assert share.min() >= 0.6
    assert share.max() <= 1.0
    assert share.std() > 0.01


def test_the_new_panes_are_all_but_bare(both: Both) -> None:
    before, after, _ = both
    row = COLUMN["ammonia_oxidisers_surface"]
    assert np.median(after[row] / before[row]) < 0.2


def test_the_water_is_fresh(both: Both) -> None:
    before, after, ratio = both
    assert ratio == 1.0
    rows = [COLUMN[name] for name in ("ammonia", "nitrite", "nitrate")]
    held, poured = before[rows].sum(axis=0) / 50.0, after[rows].sum(axis=0) / 150.0
    assert np.median(held) > 2.0 * np.median(poured)
    assert 0.8 < np.median(after[COLUMN["nitrate"]] / 150.0) < 1.2  # the source's, as told
    assert np.all(after[COLUMN["chlorine"]] == 0.0)
