"""The pages of a dose and of a bare tank: the same answers as the commands, refusals at fields."""

from __future__ import annotations

import html
import re
from datetime import timedelta

import pytest
from fake_ports import FakePorts
from starlette.testclient import TestClient

from watervane.app import Line, add_tank, record
from watervane.records import Person

DOSE = {"substance": "treatment", "label": "5 mL per 50 L", "volume": "54"}
BARE = {"volume": "20", "animals": "6 Danio rerio 3 cm"}


def said(text: str) -> str:
    plain = re.sub(r"<[^>]*>", " ", html.unescape(text)).replace("\N{NO-BREAK SPACE}", " ")
    return re.sub(r"\s+", " ", plain)


@pytest.fixture
def key(fake: FakePorts) -> str:
    words = ("filled=2026-03-01", "volume=57 L")
    found = add_tank(Person(), fake.ports(), name="Study", words=words).receipt.tank
    record(Person(), "Study", Line("animals-in", ("4", "Neocaridina davidi")), fake.ports())
    return found


def test_a_dose_is_worked_out_from_bare_numbers(keeper: TestClient) -> None:
    assert keeper.get("/dose").status_code == 200
    page = keeper.get("/dose", params={**DOSE, "changed": "25, 25 %", "times": "3", "every": "2"})
    assert page.status_code == 200
    told = said(page.text)
    assert "Give 5.4 mL in all" in told
    assert "give 2.36 mL, no more" in told
    assert "Dose by dose" in told
    assert "veterinarian" in told
    assert 'value="54"' in page.text


def test_a_tank_gives_water_and_animals(keeper: TestClient, key: str) -> None:
    form = keeper.get("/dose", params={"tank": key})
    assert form.status_code == 200
    assert f'value="{key}" selected' in form.text
    told = said(keeper.get("/dose", params={**DOSE, "volume": "", "tank": key}).text)
    assert "Neocaridina davidi" in told
    assert f'href="/dose?tank={key}"' in keeper.get(f"/tank/{key}").text


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"substance": "erythromycin"}, "substance"),
        ({"label": "two spoons per 50 L"}, "label"),
        ({"label": "500 mL per 50 L"}, "label"),
        ({"label": ""}, "label"),
        ({"volume": "many"}, "volume"),
        ({"volume": ""}, "volume"),
        ({"volume": "0"}, "volume"),
        ({"changed": "a little"}, "changed"),
        ({"times": "often"}, "times"),
        ({"most": "1 mL per 50 L"}, "most"),
        ({"ph": "sour"}, "ph"),
    ],
)
def test_what_is_refused_stands_at_its_field_with_what_was_typed(
    keeper: TestClient, typed: dict[str, str], field: str
) -> None:
    page = keeper.get("/dose", params={**DOSE, **typed})
    assert page.status_code == 422
    assert f'href="#{field}"' in page.text
    assert f'id="{field}-wrong"' in page.text
    assert "--" not in said(page.text)
    for told in typed.values():
        assert html.escape(told) in page.text
    assert "Work it out" in page.text


def test_a_dose_that_harms_an_animal_is_refused_with_the_reason(keeper: TestClient) -> None:
    typed = {**DOSE, "substance": "salt", "label": "5 g/L", "animals": "5 Corydoras"}
    page = keeper.get("/dose", params=typed)
    assert page.status_code == 422
    assert "Corydoras" in said(page.text)


def test_a_strong_dose_and_very_much_water_are_asked_about(keeper: TestClient) -> None:
    strong = {"substance": "conditioner", "label": "50 mL per 50 L", "volume": "54"}
    much = {"substance": "conditioner", "label": "5 mL per 50 L", "volume": "54000"}
    for typed, field in ((strong, "label"), (much, "volume")):
        page = keeper.get("/dose", params=typed)
        assert page.status_code == 422
        assert f'id="{field}-wrong"' in page.text
        assert "Is it so?" in page.text
        assert 'name="sure"' in page.text
        told = keeper.get("/dose", params={**typed, "sure": "yes"})
        assert told.status_code == 200
        assert "in all" in told.text
        assert re.search(r'name="sure" value="yes" checked', told.text)
    assert 'name="sure"' not in keeper.get("/dose", params=DOSE).text
    far = {**strong, "label": "500 mL per 50 L", "sure": "yes"}
    assert keeper.get("/dose", params=far).status_code == 422


def test_a_comma_parts_two_kinds_and_a_stranger_is_named(keeper: TestClient) -> None:
    typed = {**DOSE, "animals": "10 cherry shrimp, 1 Ambystoma mexicanum,2 unicorns 3,5 cm"}
    told = said(keeper.get("/dose", params=typed).text)
    assert "Not in our tables: unicorns." in told
    assert "Ask of cherry shrimp, Ambystoma mexicanum and unicorns" in told
    assert "Not in our tables" not in said(keeper.get("/dose", params=DOSE).text)


def test_a_bare_tank_is_planned(keeper: TestClient) -> None:
    assert keeper.get("/quarantine").status_code == 200
    more = {"seeded": "0.2", "treated": "yes", "temperature": "22", "food": "50", "ph": "7.5"}
    page = keeper.get("/quarantine", params={**BARE, **more})
    assert page.status_code == 200, page.text
    told = said(page.text)
    for text in ("A bare tank of 20", "By water changes alone", "treatment hurts", "35 days at 22",
                 "Ichthyophthirius", "veterinarian"):  # fmt: skip
        assert text in told


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"volume": "20 kg"}, "volume"),
        ({"volume": ""}, "volume"),
        ({"animals": ""}, "animals"),
        ({"temperature": "90"}, "temperature"),
        ({"food": "a pinch"}, "food"),
        ({"medium": "moon dust"}, "medium"),
        ({"ph": "12"}, "ph"),
    ],
)
def test_a_bare_tank_that_makes_no_sense_is_refused_at_its_field(
    keeper: TestClient, typed: dict[str, str], field: str
) -> None:
    page = keeper.get("/quarantine", params={**BARE, **typed})
    assert page.status_code == 422
    assert f'id="{field}-wrong"' in page.text
    assert "--" not in said(page.text)


def test_strangers_are_not_let_in(stranger: TestClient) -> None:
    for path in ("/dose", "/quarantine"):
        assert stranger.get(path).status_code in (303, 401, 403)


def _box(text: str) -> str:
    return said(text[text.index('id="problems"') : text.index("<fieldset")])


def test_what_harms_stands_above_the_form_too(keeper: TestClient, key: str) -> None:
    page = keeper.get("/dose", params={"substance": "salt", "label": "3 g/L", "tank": key})
    assert "3 g of salt a litre harms Neocaridina davidi, which bears about 1 g" in _box(page.text)
    nothing = _box(keeper.get("/dose", params={"substance": "", "label": ""}).text)
    for asked in ("What is dosed?", "What does the label say?", "How much water is it?"):
        assert asked in nothing
    assert "'' is not known" not in nothing


def test_a_buffer_is_held_against_what_the_log_read_of_late(
    keeper: TestClient, key: str, fake: FakePorts
) -> None:
    ports = fake.ports()
    soda = {"substance": "baking soda", "label": "3 g per 100 L", "tank": key}
    assert "Read pH and ammonia first" in said(keeper.get("/dose", params=soda).text)
    late, long_ago = (ports.journal.now() - timedelta(days=days) for days in (5, 20))
    for at, rest in (
        (long_ago, ("ph", "8.0")),
        (late, ("ph", "6.0")),
        (late, ("kh", "1 dKH")),
        (late, ("ammonia", "0.2 mg/L as N")),
    ):
        record(Person(), "Study", Line("reading", rest, at), ports)
    told = said(keeper.get("/dose", params=soda).text)
    assert "Worked out with what your log holds" in told
    assert "pH 6, KH 1 dKH and ammonia 0.2 mg/L as N" in told
    assert "pH goes from 6.0 to 6.3" in told
    assert "pH goes from 7.0 to 7.3" in said(keeper.get("/dose", params={**soda, "ph": "7"}).text)
    assert "of your log" not in said(keeper.get("/dose", params={**DOSE, "tank": key}).text)


def test_a_bare_tank_begins_with_whom_nobody_knows_and_says_what_to_do_daily(
    keeper: TestClient,
) -> None:
    page = keeper.get("/quarantine", params={**BARE, "animals": "6 Danio rerio, 2 dragons"}).text
    told = said(page)
    assert told.index("dragons is not in the table") < told.index("Keep them apart")
    assert told.count("dragons is not in the table") == 1
    assert "Each day: read ammonia, then change half of the water" in told
    assert '<table class="stacked"' in page
    few = said(keeper.get("/quarantine", params=BARE).text)
    assert (
        "the upper end. Where it stays under 0.25 mg N/L (0.32 mg/L as ammonium) for a week" in few
    )
    assert "days. By water changes" in few
    warm = keeper.get("/quarantine", params={**BARE, "temperature": "80"}).text
    assert "80 °C is out of range. Tell a number from 4 to 34 °C." in _box(warm)
    assert "animals in it" in _box(keeper.get("/quarantine", params={"volume": ""}).text)
