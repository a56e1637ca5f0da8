"""Kits, settled levels and limits of a tank, set on its page."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from fake_ports import FakePorts
from sample_forecasts import sample_forecast
from starlette.testclient import TestClient
from web_club import calm_day, computed

from watervane.app.keeping import open_tank
from watervane.limits import every_limit
from watervane.records import AllowedRisk, Person, Tank, ToldLimit


@pytest.fixture
def page(keeper: TestClient) -> str:
    answer = keeper.post("/new", data={"name": "Sill", "size": "57", "filled": "2026-03-01"})
    return answer.headers["location"].partition("?")[0] + "/settings"


def tank(fake: FakePorts) -> Tank:
    return open_tank(Person(), "Sill", fake.ports()).tank


def test_parts_are_told_after_setting_up_and_what_stays_empty_stays(
    keeper: TestClient, fake: FakePorts, page: str
) -> None:
    told = {"media": "foam", "media-volume": "0,5", "bed": "coral sand", "depth": "4", "kh": "5",
            "plants": "many", "power": "50", "set-point": "25"}  # fmt: skip
    answer = keeper.post(f"{page}/fitted", data=told)
    assert answer.status_code == 303, answer.text
    answer = keeper.post(f"{page}/fitted", data={"flow": "300", "volume": "60 L"})
    assert answer.status_code == 303, answer.text
    kept = tank(fake)
    assert kept.filter is not None
    assert kept.bed is not None
    (medium,) = kept.filter.media
    assert (medium.kind, medium.volume_l, kept.filter.flow_l_per_h) == ("foam", 0.5, 300)
    assert (kept.bed.material, kept.bed.depth_cm, kept.plants) == ("coral sand", 4, "many")
    assert (kept.heater_power_w, kept.heater_set_point_c) == (50, 25)
    assert (kept.volume_l, kept.source_water.kh_dkh) == (60, 5)
    assert "Told so far: 50 W." in keeper.get(page).text


@pytest.mark.parametrize(
    ("field", "value"), [("depth", "deep"), ("media-volume", "some"), ("power", "-3"), ("ph", "70")]
)
def test_a_part_that_cannot_be_comes_back_at_its_field(
    keeper: TestClient, fake: FakePorts, page: str, field: str, value: str
) -> None:
    answer = keeper.post(f"{page}/fitted", data={field: value, "flow": "300"})
    assert answer.status_code == 422
    assert f'id="{field}-wrong"' in answer.text
    assert 'value="300"' in answer.text
    assert tank(fake).filter is None


def test_steps_of_a_kit_become_one_tap(keeper: TestClient, fake: FakePorts, page: str) -> None:
    told = {"quantity": "ammonia", "kit": "Blue box", "kind": "drop", "steps": "0 0.3 0.7 1,5 3",
            "basis": "n"}  # fmt: skip
    answer = keeper.post(f"{page}/kit", data=told)
    assert answer.status_code == 303, answer.text
    scale = tank(fake).kits["Blue box"].scale("ammonia")
    assert scale is not None
    assert scale.steps == (0.0, 0.3, 0.7, 1.5, 3.0)
    assert scale.basis == "n"
    form = keeper.get(page.replace("settings", "record/readings")).text
    assert "by the steps of your kit &#39;Blue box&#39;" in form
    assert "1.5 mg/L as N" in form


def test_a_second_test_joins_its_kit_and_goes_again(
    keeper: TestClient, fake: FakePorts, page: str
) -> None:
    for quantity in ("nitrite", "ph"):
        told = {"quantity": quantity, "kit": "s", "kind": "strip", "steps": "6, 7, 8"}
        assert keeper.post(f"{page}/kit", data=told).status_code == 303
    assert {scale.quantity for scale in tank(fake).kits["s"].scales} == {"nitrite", "ph"}
    keeper.post(f"{page}/kit/out", data={"kit": "s", "quantity": "ph"})
    assert [scale.quantity for scale in tank(fake).kits["s"].scales] == ["nitrite"]
    keeper.post(f"{page}/kit/out", data={"kit": "s", "quantity": "nitrite"})
    assert tank(fake).kits == {}
    keeper.post(f"{page}/kit/out", data={"kit": "s", "quantity": "nitrite"})


def test_a_photometer_needs_its_finest_step_only(
    keeper: TestClient, fake: FakePorts, page: str
) -> None:
    told = {"quantity": "nitrate", "kit": "meter", "kind": "photometer", "steps": "0.1",
            "basis": "ion"}  # fmt: skip
    assert keeper.post(f"{page}/kit", data=told).status_code == 303
    scale = tank(fake).kits["meter"].scale("nitrate")
    assert scale is not None
    assert scale.resolution == pytest.approx(0.1 / 4.4268, rel=1e-3)


@pytest.mark.parametrize("steps", ["blue, green", "3, 2, 1", "", "1 of 2"])
def test_steps_that_mean_nothing_come_back_with_the_reason(
    keeper: TestClient, fake: FakePorts, page: str, steps: str
) -> None:
    told = {"quantity": "nitrite", "kit": "mine", "kind": "drop", "steps": steps, "basis": "n"}
    answer = keeper.post(f"{page}/kit", data=told)
    assert answer.status_code == 422
    assert 'id="steps-wrong"' in answer.text
    assert 'value="mine"' in answer.text
    assert tank(fake).kits == {}


def test_settled_levels_are_set_and_set_back(
    keeper: TestClient, fake: FakePorts, page: str
) -> None:
    told = {"settled-ammonia": "0.1", "settled-nitrite": "0.3 mg/L as NO2"}
    assert keeper.post(f"{page}/settled", data=told).status_code == 303
    levels = tank(fake).settled_levels
    assert levels.ammonia_mg_n_per_l == pytest.approx(0.1)
    assert levels.nitrite_mg_n_per_l == pytest.approx(0.3 / 3.2845, rel=1e-3)
    assert keeper.post(f"{page}/settled", data={}).status_code == 303
    assert tank(fake).settled_levels.ammonia_mg_n_per_l == pytest.approx(0.2)
    wrong = keeper.post(f"{page}/settled", data={"settled-nitrite": "low"})
    assert wrong.status_code == 422
    assert 'id="settled-nitrite-wrong"' in wrong.text
    assert 'value="low"' in wrong.text


def test_the_accepted_risk_is_set_tier_by_tier_and_set_back(
    keeper: TestClient, fake: FakePorts, page: str
) -> None:
    first = keeper.get(page).text
    assert 'value="1 %"' in first
    told = {"risk-acute": "0,5", "risk-chronic": "3 %", "risk-comfort": ""}
    assert keeper.post(f"{page}/risk", data=told).status_code == 303
    assert tank(fake).allowed_risk == AllowedRisk(acute=0.005, chronic=0.03, comfort=0.2)
    shown = keeper.get(page).text
    assert 'value="0.5 %"' in shown
    assert "1 % where you leave it empty" in shown
    assert keeper.post(f"{page}/risk", data={}).status_code == 303
    assert tank(fake).allowed_risk == AllowedRisk()


def test_every_risk_that_cannot_be_comes_back_at_its_field(
    keeper: TestClient, fake: FakePorts, page: str
) -> None:
    told = {"risk-acute": "0", "risk-chronic": "some", "risk-comfort": "30"}
    wrong = keeper.post(f"{page}/risk", data=told)
    assert wrong.status_code == 422
    for name in ("risk-acute", "risk-chronic"):
        assert f'id="{name}-wrong"' in wrong.text
    assert 'id="risk-comfort-wrong"' not in wrong.text
    assert 'value="some"' in wrong.text
    assert 'value="30"' in wrong.text
    assert tank(fake).allowed_risk == AllowedRisk()


def test_a_limit_of_the_last_forecast_takes_ones_own_figure(
    keeper: TestClient, fake: FakePorts, page: str
) -> None:
    assert "once the tank has a forecast" in keeper.get(page).text
    key = next(each.key for each in every_limit() if each.key.startswith("nitrite_acute"))
    told_limit = ToldLimit(
        key, "acute", "nitrite", "nitrite_mg_n_per_l", "above", 0.6, 24.0, "fish", (), "x", "", ""
    )
    foretold = replace(sample_forecast(), limits={key: told_limit})
    computed(fake, {"Sill": calm_day()}, foretold)
    assert f'value="{key}"' in keeper.get(page).text
    told = {"limit": key, "level": "0.4", "why": "young ones"}
    answer = keeper.post(f"{page}/limit", data=told)
    assert answer.status_code == 303, answer.text
    (edit,) = tank(fake).limit_edits
    assert (edit.limit, edit.note) == (key, "young ones")
    assert edit.value == pytest.approx(0.4)
    wrong = keeper.post(f"{page}/limit", data={"limit": key, "level": "none"})
    assert wrong.status_code == 422
    assert 'id="level-wrong"' in wrong.text
    assert keeper.post(f"{page}/limit", data={"limit": key, "level": ""}).status_code == 303
    assert tank(fake).limit_edits == ()
    assert keeper.post(f"{page}/limit", data={"limit": "no", "level": "1"}).status_code == 303
    assert keeper.post(f"{page}/nothing", data={}).status_code == 404


def test_a_far_larger_size_is_asked_about_and_leads_to_the_move(
    keeper: TestClient, fake: FakePorts
) -> None:
    answer = keeper.post("/new", data={"name": "Sill", "size": "57", "filled": "2026-03-01"})
    where = answer.headers["location"].partition("?")[0]
    settings = f"{where}/settings"
    assert f'href="{where}/ask/resettle"' in keeper.get(settings).text
    assert keeper.post(f"{settings}/fitted", data={"volume": "180 L"}).status_code == 303
    keeper.post(f"{where}/record/readings", data={"ph": "7.4", "day": "2026-03-10"})
    asked = keeper.post(f"{settings}/fitted", data={"volume": "60 L"})
    assert asked.status_code == 422
    assert "It was 180 L so far" in asked.text
    assert 'value="60 L"' in asked.text
    (tick,) = re.findall(r'name="(sure[^"]*)"', asked.text)
    assert (
        keeper.post(f"{settings}/fitted", data={"volume": "60 L", tick: "yes"}).status_code == 303
    )
    assert open_tank(Person(), "Sill", fake.ports()).tank.volume_l == 60
