"""Ways to start, against published and customary times of new filters.

Stated load and temperature: 60 L, 0.10 g of food a day, KH 6, pH 7.6, gravel, sponge of 0.4 L,
no plants, 25 degC. Published systems differ from a home tank in nearly everything, so the times are
compared as the sources tell them, to the week.
"""

from __future__ import annotations

from datetime import UTC, date, datetime
from functools import cache

import pytest

from watervane.engine import ways
from watervane.records import Bed, Filter, Media, SourceWater, Span, StartWay, Tank

pytestmark = pytest.mark.slow
TANK = Tank(
    name="start",
    filled=date(2026, 3, 1),
    volume_l=60.0,
    heater_power_w=100.0,
    heater_set_point_c=25.0,
    room_temperature_c=19.0,
    lid=True,
    bed=Bed("gravel", 3.0, 3.0),
    filter=Filter((Media("sponge", 0.4),), 300.0),
    light_hours=8.0,
    normal_food_g_per_d=Span.exact(0.1),
    source_water=SourceWater(
        ph=7.6, kh_dkh=6.0, gh_dgh=8.0, nitrate_mg_n_per_l=1.1, chlorine_mg_per_l=0.2
    ),
)


@cache
def _ways() -> dict[str, StartWay]:
    found = ways(TANK, seed=3, now=datetime(2026, 3, 1, tzinfo=UTC))
    return {way.key: way for way in found.ways}


def test_seed_cuts_a_start_to_one_to_three_weeks() -> None:
    # 7 d with the best seed: synthetic fish-farm effluent, moving bed, 2022
    # (10.1016/j.chemosphere.2022.135097, abstract); 18 d: three-stage moving bed, Zhang and
    # others 2019, abstract
    middle = _ways()["seeded"].settled_days.p50
    assert middle is not None
    assert 7.0 <= middle <= 21.0


@pytest.mark.parametrize("key", ["dosed-salt", "dosed-solution"])
def test_ammonia_alone_takes_about_five_weeks(key: str) -> None:
    # 35 d, no shorter with ammonia alone than with animals: Manthe and Malone 1987, abstract;
    # home tanks four to six weeks: common practice, no source
    days = _ways()[key].settled_days
    assert days.p50 is not None
    assert 28.0 <= days.p50 <= 42.0
    assert days.p05 is not None
    assert days.p95 is not None
    assert days.p05 <= 35.0 <= days.p95


def test_a_few_animals_under_water_changes_do_not_shorten_it() -> None:
    # as above: what bacteria get from a few animals is no more than a dose
    dosed, animals = (_ways()[key].settled_days.p50 for key in ("dosed-salt", "animals-first"))
    assert dosed is not None
    assert animals is None or animals >= dosed
