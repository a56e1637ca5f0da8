"""From glass, bed and machines to the numbers the rates need."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from math import pi

import pytest

from watervane.process.geometry import tank_geometry, water_body
from watervane.records import Bed, Filter, Media, Shape, Tank

BARE = Tank(name="t", filled=date(2026, 3, 1))
BOX = Shape(length_cm=60.0, width_cm=30.0, height_cm=36.0, water_depth_cm=32.0)


def _geometry(**fields: object) -> dict[str, float]:
    return tank_geometry(replace(BARE, **fields))[0]


def test_a_box_holds_its_volume() -> None:
    body, findings = water_body(replace(BARE, shape=BOX))
    assert body.volume_l == pytest.approx(60 * 30 * 32 / 1000)
    assert not findings


def test_glass_is_taken_off_when_measured_outside() -> None:
    outside = replace(BOX, measured="outside", glass_mm=6.0)
    body, _ = water_body(replace(BARE, shape=outside))
    assert body.volume_l == pytest.approx(58.8 * 28.8 * 32 / 1000)


def test_a_bed_s_grains_take_room_but_not_its_pores() -> None:
    body, _ = water_body(replace(BARE, shape=BOX, bed=Bed("gravel", 5.0)))
    assert body.volume_l == pytest.approx(60 * 30 * (32 - 5 * 0.6) / 1000)


def test_a_cylinder_is_round() -> None:
    shape = Shape(kind="cylinder", length_cm=30.0, water_depth_cm=40.0)
    body, _ = water_body(replace(BARE, shape=shape))
    assert body.volume_l == pytest.approx(pi / 4 * 30 * 30 * 40 / 1000)


def test_the_keeper_s_own_volume_wins() -> None:
    body, _ = water_body(replace(BARE, shape=BOX, volume_l=50.0))
    assert body.volume_l == 50.0


def test_a_tank_of_unknown_size_is_guessed_and_says_so() -> None:
    body, findings = water_body(BARE)
    assert body.volume_l == 60.0
    assert [f.key for f in findings] == ["assumed-volume"]
    assert body.length_m * body.width_m * body.depth_m * 1000 == pytest.approx(60.0)


def test_only_the_upper_bed_lives_and_fine_grains_offer_more() -> None:
    shallow = _geometry(shape=BOX, bed=Bed("gravel", 2.0, 3.0))["bed_area_m2"]
    deep = _geometry(shape=BOX, bed=Bed("gravel", 8.0, 3.0))["bed_area_m2"]
    fine = _geometry(shape=BOX, bed=Bed("gravel", 2.0, 1.5))["bed_area_m2"]
    assert deep == shallow
    assert fine == pytest.approx(2.0 * shallow)
    # 0.18 m2 floor, 2 cm deep, 6 (1 - 0.4)/0.003 = 1200 m2/m3
    assert shallow == pytest.approx(0.18 * 0.02 * 1200.0)
    assert _geometry(shape=BOX, bed=Bed("none"))["bed_area_m2"] == pytest.approx(0.18)


def test_filter_area_is_that_of_its_media() -> None:
    media = (Media("carrier", 1.0), Media("sponge", 0.5))
    geometry = _geometry(volume_l=100.0, filter=Filter(media, 400.0))
    assert geometry["filter_area_m2"] == pytest.approx(0.5 + 0.65)
    assert geometry["filter_flow_l_per_d"] == pytest.approx(9600.0)


def test_a_bubbler_adds_gas_transfer_of_the_right_size() -> None:
    """60 L/h at 2 % into 60 L moves 0.61 per h at 20 degC (asce_aeration)."""
    without = _geometry(volume_l=60.0)["gas_transfer_per_h"]
    aired = _geometry(volume_l=60.0, air_flow_l_per_h=60.0)
    assert aired["gas_transfer_per_h"] - without == pytest.approx(0.61, rel=0.01)
    shares = [aired[f"gas_share_{s}"] for s in ("still", "filter", "air")]
    assert sum(shares) == pytest.approx(1.0)
    assert 0.05 < without < 1.0, "a quiet tank lies in the published range of home tanks"


def test_a_lid_keeps_the_water_in() -> None:
    covered, bare = (_geometry(shape=BOX, lid=lid) for lid in (True, False))
    name = "evaporation_l_per_d_per_kpa"
    assert covered[name] < 0.5 * bare[name]
    assert covered["heat_loss_w_per_k"] < bare["heat_loss_w_per_k"]


def test_an_open_tank_evaporates_as_the_worked_budget_says() -> None:
    """0.6 x 0.3 m, 25 in a room of 20 degC at half humidity: 0.839 kg/d (ashrae, quiet)."""
    rate = _geometry(shape=BOX, lid=False)["evaporation_l_per_d_per_kpa"]
    assert rate * (3.1685 - 0.5 * 2.3383) == pytest.approx(0.839, rel=0.01)


def test_more_light_carries_more_algae_and_plants_need_a_word() -> None:
    long, short = (_geometry(volume_l=60.0, light_hours=h) for h in (12.0, 6.0))
    name = "algal_ceiling_mg_n_per_l"
    assert long[name] == pytest.approx(2.0 * short[name])
    assert short["plant_ceiling_mg_n_per_l"] == 0.0
    few, many = (
        _geometry(volume_l=60.0, plants=p)["plant_ceiling_mg_n_per_l"] for p in ("few", "many")
    )
    assert many > few > 0.0


def test_only_limestone_beds_dissolve() -> None:
    name = "carbonate_dissolution_mmol_per_l_d"
    assert _geometry(bed=Bed("coral sand", 3.0))[name] > 0.0
    assert _geometry(bed=Bed("sand", 3.0))[name] == 0.0


@pytest.mark.parametrize("altitude_m", [0.0, 1500.0])
def test_air_is_thinner_in_the_mountains(altitude_m: float) -> None:
    pressure = _geometry(volume_l=60.0, altitude_m=altitude_m)["pressure_atm"]
    assert pressure == pytest.approx((1 - 2.25577e-5 * altitude_m) ** 5.25588)
