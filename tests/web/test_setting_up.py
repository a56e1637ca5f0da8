"""A tank in four questions, with 'I don't know' everywhere, or from its file."""

from __future__ import annotations

from dataclasses import replace

import pytest
from fake_ports import FakePorts
from sample_forecasts import sample_forecast
from sample_today import sample_today
from starlette.testclient import TestClient
from web_club import computed

from watervane.app import list_tanks, open_tank
from watervane.records import AnimalsIn, Feed, Finding, Person, Span, Tank
from watervane.web.forms.care import food_of_day

FULL = {
    "name": "Study",
    "size": "60 x 30 x 36 cm",
    "filled": "2026-03-01",
    "species-1": "Danio rerio",
    "count-1": "6",
    "species-2": "Neritina natalensis",
    "count-2": "2",
    "since": "2026-03-05",
    "food": "1 pinch",
    "times": "2",
    "tap": "chlorine",
    "ph": "7,6",
    "kh": "5",
    "gh": "8 dGH",
    "request": "a",
}


def only_tank(fake: FakePorts) -> Tank:
    (tank,) = list_tanks(Person(), fake.ports())
    return open_tank(Person(), tank.name, fake.ports()).tank


def test_four_answers_make_a_tank(keeper: TestClient, fake: FakePorts) -> None:
    assert keeper.get("/new").status_code == 200
    answer = keeper.post("/new", data=FULL)
    assert answer.status_code == 303
    assert keeper.get(answer.headers["location"]).status_code == 200
    tank = only_tank(fake)
    assert tank.shape is not None
    assert (tank.shape.length_cm, tank.shape.height_cm, tank.shape.measured) == (60, 36, "outside")
    assert tank.source_water.chloramine_mg_per_l == 0
    assert tank.source_water.chlorine_mg_per_l is None
    assert (tank.source_water.ph, tank.source_water.kh_dkh, tank.source_water.gh_dgh) == (7.6, 5, 8)
    came = [each for each in tank.events if isinstance(each, AnimalsIn)]
    assert [(each.species, each.count) for each in came] == [
        ("Danio rerio", 6),
        ("Neritina natalensis", 2),
    ]
    assert f"{came[0].at:%Y-%m-%d}" == "2026-03-05"
    ((meal, days),) = [(each.template, each.every_days) for each in tank.habits]
    assert isinstance(meal, Feed)
    assert (meal.mass_g.low, meal.mass_g.high, days) == (0.04, 0.16, 1)


def test_who_tells_no_food_is_told_what_is_reckoned_with(
    keeper: TestClient, fake: FakePorts
) -> None:
    form = keeper.get("/new").text
    assert "How much food do they get at one meal?" in form
    assert "One pinch is taken as 0.02 to 0.08 g." in form
    where = keeper.post("/new", data={**FULL, "food": "", "times": "1"}).headers["location"]
    assert only_tank(fake).habits == ()
    page = keeper.get(where).text
    assert "No food was told" in page
    assert f'href="{where.partition("?")[0]}/record/feed"' in page
    computed_with_no_food(fake)
    page = keeper.get(where.partition("?")[0]).text.replace("\N{NO-BREAK SPACE}", " ")
    assert "so a daily meal of 0.011 to 0.039 g was assumed" in page.partition('id="do-today"')[0]


def computed_with_no_food(fake: FakePorts) -> None:
    """A worker's forecast that had to assume the food."""
    (tank,) = list_tanks(Person(), fake.ports())
    told = Finding("assumed-feeding", "caution", {"mass_g": Span(0.011, 0.039)})
    foretold = replace(sample_forecast(), assumptions=(told,))
    computed(fake, {tank.name: sample_today()}, foretold)


@pytest.mark.parametrize(
    ("amount", "times", "told"),
    [
        ("1 pinch", "2", "2 pinches"),
        ("a pinch", "3", "3 pinches"),
        ("0,05 g", "2", "0.1 g"),
        ("1..2 pellets", "2", "2..4 pellets"),
        ("1 pinch", "1", "1 pinch"),
        ("3 pellets", "", "3 pellets"),
    ],
)
def test_meals_of_a_day_are_counted_together(amount: str, times: str, told: str) -> None:
    assert food_of_day(amount, times) == told


def test_nothing_but_day_and_name_need_be_known(keeper: TestClient, fake: FakePorts) -> None:
    assert keeper.post("/new", data={"name": "A", "filled": "2026-03-01"}).status_code == 303
    tank = only_tank(fake)
    assert (tank.volume_l, tank.shape, tank.events) == (None, None, ())
    assert tank.source_water.chloramine_mg_per_l is None


@pytest.mark.parametrize(("told", "litres"), [("57", 57), ("57 L", 57), ("0,5 m3", 500)])
def test_a_size_may_be_litres(
    keeper: TestClient, fake: FakePorts, told: str, litres: float
) -> None:
    keeper.post("/new", data={"filled": "2026-03-01", "size": told})
    assert only_tank(fake).volume_l == pytest.approx(litres, rel=0.001)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("size", "big"),
        ("size", "60 x 0 x 36 cm"),
        ("filled", "once"),
        ("filled", ""),
        ("count-1", "some"),
        ("count-2", ""),
        ("species-1", ""),
        ("since", "2020-01-01"),
        ("kh", "soft"),
        ("ph", "70"),
        ("name", "x" * 400),
        ("food", "a lot"),
        ("times", "often"),
    ],
)
def test_what_is_wrong_comes_back_at_its_field_with_all_that_was_typed(
    keeper: TestClient, fake: FakePorts, field: str, value: str
) -> None:
    answer = keeper.post("/new", data={**FULL, field: value})
    assert answer.status_code == 422
    assert f'id="{field}-wrong"' in answer.text
    for name, typed in {**FULL, field: value}.items():
        assert name == "tap" or f'value="{typed}"' in answer.text
    assert 'value="chlorine" checked' in answer.text
    assert list_tanks(Person(), fake.ports()) == ()


def test_two_tanks_never_have_one_name(keeper: TestClient, fake: FakePorts) -> None:
    assert keeper.post("/new", data=FULL).status_code == 303
    answer = keeper.post("/new", data={**FULL, "name": "STUDY", "request": "b"})
    assert answer.status_code == 422
    assert 'id="name-wrong"' in answer.text
    assert len(list_tanks(Person(), fake.ports())) == 1
    again = keeper.post("/new", data=FULL)
    assert again.status_code == 303
    assert len(list_tanks(Person(), fake.ports())) == 1


def test_a_file_is_taken_over_or_every_problem_told(keeper: TestClient, fake: FakePorts) -> None:
    files = {"file": ("x.tank.toml", b"anything", "text/plain")}
    answer = keeper.post("/new/file", data={"request": "f"}, files=files)
    assert answer.status_code == 303
    assert [tank.name for tank in list_tanks(Person(), fake.ports())] == [fake.tank.name]
    nothing = keeper.post("/new/file", data={"request": "g"})
    assert nothing.status_code == 422
    assert "No file was chosen" in nothing.text
