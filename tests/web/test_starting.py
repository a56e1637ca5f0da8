"""A new tank whose day, start or animals are known in part, and what is asked once before it is."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from types import SimpleNamespace
from typing import Any

import pytest
from fake_ports import FakePorts
from starlette.testclient import TestClient

from watervane.app import add_tank, list_tanks, open_tank
from watervane.engine.remarks import assumptions
from watervane.records import (
    AnimalsIn,
    Bed,
    Dose,
    Feed,
    Filter,
    Habit,
    Media,
    Person,
    Seed,
    Tank,
)

TODAY = datetime.now(UTC).date()


def told(**more: str) -> dict[str, str]:
    return {"name": "Sill", "size": "57", "request": "a", **more}


def only_tank(fake: FakePorts) -> Tank:
    (tank,) = list_tanks(Person(), fake.ports())
    return open_tank(Person(), tank.name, fake.ports()).tank


def ago(days: int) -> str:
    return f"{TODAY - timedelta(days=days)}"


def test_an_empty_form_makes_no_tank(keeper: TestClient, fake: FakePorts) -> None:
    answer = keeper.post("/new", data={"times": "1", "tap": "", "age": ""})
    assert answer.status_code == 422
    assert 'id="name-wrong"' in answer.text
    assert 'id="filled-wrong"' in answer.text
    assert list_tanks(Person(), fake.ports()) == ()


@pytest.mark.parametrize(("age", "days"), [("weeks", 21), ("years", 400), ("unknown-at-all", 35)])
def test_a_day_nobody_knows_is_put_in_and_said(
    keeper: TestClient, fake: FakePorts, age: str, days: int
) -> None:
    assert keeper.post("/new", data=told(age=age)).status_code == 303
    tank = only_tank(fake)
    assert not tank.filled_known
    assert abs((TODAY - tank.filled).days - days) <= 1
    key = list_tanks(Person(), fake.ports())[0].key
    page = keeper.get(f"/tank/{key}/settings").text
    assert f"So far {tank.filled}, put in as the day is not known." in page
    keeper.post(f"/tank/{key}/settings/fitted", data={"filled": "2026-03-01"})
    tank = only_tank(fake)
    assert (f"{tank.filled}", tank.filled_known) == ("2026-03-01", True)


def test_animals_are_never_older_than_a_guess(keeper: TestClient, fake: FakePorts) -> None:
    sent = told(age="days", since=ago(30), **{"species-1": "guppy", "count-1": "3"})
    assert keeper.post("/new", data=sent).status_code == 303
    assert f"{only_tank(fake).filled}" == ago(30)


def test_a_day_ahead_is_asked_about_once(keeper: TestClient, fake: FakePorts) -> None:
    ahead = f"{TODAY + timedelta(days=60)}"
    answer = keeper.post("/new", data=told(filled=ahead))
    assert answer.status_code == 422
    assert "still to come, 60 days from now" in answer.text
    assert f'value="{ahead}"' in answer.text
    tick = re.search(r'name="(sure-\w+)"', answer.text)
    assert tick is not None
    assert list_tanks(Person(), fake.ports()) == ()
    assert keeper.post("/new", data=told(filled=ahead, **{tick[1]: "yes"})).status_code == 303
    assert f"{only_tank(fake).filled}" == ahead


def test_lengths_are_told_beside_the_name_or_full_grown(
    keeper: TestClient, fake: FakePorts
) -> None:
    rows = {"species-1": "goldfish 12 cm", "count-1": "2", "species-2": "zebra danio",
            "count-2": "6", "species-3": "guppy", "count-3": "4", "length-3": "1,5"}  # fmt: skip
    assert keeper.post("/new", data=told(filled=ago(400), **rows)).status_code == 303
    came = [each for each in only_tank(fake).events if isinstance(each, AnimalsIn)]
    lengths = {each.species: each.length_cm for each in came}
    assert lengths["goldfish"] == 12
    assert lengths["guppy"] == 1.5
    assert lengths["zebra danio"] is not None
    assert lengths["zebra danio"] > 3


def test_a_start_with_dosed_ammonia_and_a_bottle_stands_in_the_log(
    keeper: TestClient, fake: FakePorts
) -> None:
    start = {"fed": "dosed", "fed-often": "again", "brought": "bottle", "plants": "many"}
    rows = {"species-1": "zebra danio", "count-1": "6"}
    answer = keeper.post("/new", data=told(filled=ago(40), **start, **rows))
    assert answer.status_code == 422
    assert 'id="since-wrong"' in answer.text
    sent = told(filled=ago(40), since=ago(10), **start, **rows)
    assert keeper.post("/new", data=sent).status_code == 303
    tank = only_tank(fake)
    (habit,) = [each for each in tank.habits if isinstance(each.template, Dose)]
    assert isinstance(habit.template, Dose)
    assert habit.template.target_mg_n_per_l == pytest.approx(2)
    assert (f"{habit.start}", f"{habit.until}", habit.every_days) == (ago(40), ago(11), 3)
    (seed,) = [each for each in tank.events if isinstance(each, Seed)]
    assert (seed.source, f"{seed.at.date()}", tank.plants) == ("bottle", ago(40), "many")


@pytest.mark.parametrize(
    ("much", "level", "grams"), [("3 mg/L", True, False), ("4", True, False), ("2 g", False, True)]
)
def test_ammonia_is_told_by_level_or_by_amount(
    keeper: TestClient, fake: FakePorts, much: str, level: bool, grams: bool
) -> None:
    sent = told(filled=ago(20), fed="dosed", **{"fed-much": much})
    assert keeper.post("/new", data=sent).status_code == 303
    (dose,) = only_tank(fake).events
    assert isinstance(dose, Dose)
    assert (dose.target_mg_n_per_l is not None, dose.mass_g is not None) == (level, grams)


def test_how_an_old_tank_was_started_is_not_kept(keeper: TestClient, fake: FakePorts) -> None:
    sent = told(filled=ago(200), fed="food", brought="media")
    assert keeper.post("/new", data=sent).status_code == 303
    tank = only_tank(fake)
    assert (tank.events, tank.habits) == ((), ())
    key = list_tanks(Person(), fake.ports())[0].key
    assert "How did it begin?" not in keeper.get(f"/tank/{key}/settings").text


def test_how_it_began_can_be_told_later_and_is_then_shown(
    keeper: TestClient, fake: FakePorts
) -> None:
    where = keeper.post("/new", data=told(filled=ago(20))).headers["location"].partition("?")[0]
    page = keeper.get(f"{where}/settings").text
    assert "How did it begin?" in page
    start = {"fed": "food", "fed-much": "1 pinch", "fed-often": "again", "brought": "media",
             "brought-much": "0,3"}  # fmt: skip
    answer = keeper.post(f"{where}/settings/began", data={**start, "request": "b"})
    assert answer.status_code == 303, answer.text
    tank = only_tank(fake)
    (fed,) = tank.habits
    assert isinstance(fed, Habit)
    assert isinstance(fed.template, Feed)
    (seed,) = tank.events
    assert isinstance(seed, Seed)
    assert (seed.source, seed.volume_l) == ("media", 0.3)
    assert "Told so far." in keeper.get(f"{where}/settings").text


def test_a_heater_told_later_heats_from_its_day_on(keeper: TestClient, fake: FakePorts) -> None:
    where = keeper.post("/new", data=told(filled=ago(30))).headers["location"].partition("?")[0]
    sent = {"power": "50", "set-point": "25", "flow": "300", "since": ago(10)}
    answer = keeper.post(f"{where}/settings/fitted", data={**sent, "request": "b"})
    assert answer.status_code == 303, answer.text
    tank = only_tank(fake)
    assert tank.heater_power_w is None
    assert tank.filter is not None
    (changed,) = tank.events
    assert f"{changed.at.date()}" == ago(10)
    assert dict(changed.changes) == {"heater_power_w": 50, "heater_set_point_c": 25}
    answer = keeper.post(f"{where}/settings/fitted", data={"power": "50", "since": ago(90)})
    assert answer.status_code == 422
    assert 'id="since-wrong"' in answer.text


def test_a_flow_told_later_holds_from_its_day_on(keeper: TestClient, fake: FakePorts) -> None:
    where = keeper.post("/new", data=told(filled=ago(30))).headers["location"].partition("?")[0]
    sent = {"flow": "300", "since-flow": ago(10), "power": "50", "since": ago(5), "request": "b"}
    assert keeper.post(f"{where}/settings/fitted", data=sent).status_code == 303
    tank = only_tank(fake)
    assert (tank.filter, tank.heater_power_w) == (None, None)
    changed = {f"{each.at.date()}": dict(each.changes) for each in tank.events}
    assert changed == {
        ago(10): {"filter_flow_l_per_h": 300},
        ago(5): {"heater_power_w": 50},
    }
    wrong = keeper.post(f"{where}/settings/fitted", data={"flow": "300", "since-flow": "soon"})
    assert wrong.status_code == 422
    assert 'id="since-flow-wrong"' in wrong.text
    folds = wrong.text.partition('action="/tank')[2].partition("</form>")[0]
    assert folds.count("<details") == 6
    assert folds.count('<details class="numbers" open') == 1  # the one with something to put right


def test_kinds_may_have_come_on_days_of_their_own(keeper: TestClient, fake: FakePorts) -> None:
    rows = {"species-1": "guppy", "count-1": "3", "species-2": "ramshorn snail", "count-2": "2",
            "since": ago(20), "since-2": ago(6)}  # fmt: skip
    assert keeper.post("/new", data=told(filled=ago(30), **rows)).status_code == 303
    came = [(each.species, f"{each.at.date()}") for each in only_tank(fake).events]
    assert [day for _, day in sorted(came, key=lambda each: each[1])] == [ago(20), ago(6)]
    answer = keeper.post("/new", data=told(filled=ago(30), **{**rows, "since-2": "soon"}))
    assert answer.status_code == 422
    assert 'id="since-2-wrong"' in answer.text
    late = keeper.post(
        "/new", data=told(filled=ago(10), **{**rows, "since": "", "since-2": ago(20)})
    )
    assert 'id="since-2-wrong"' in late.text


def test_name_and_day_of_filling_can_be_put_right(keeper: TestClient, fake: FakePorts) -> None:
    rows = {"species-1": "guppy", "count-1": "3", "since": ago(20)}
    where = keeper.post("/new", data=told(filled=ago(30), **rows)).headers["location"]
    where = where.partition("?")[0]
    sent = {"name": "Window", "filled": ago(25), "request": "b"}
    assert keeper.post(f"{where}/settings/fitted", data=sent).status_code == 303
    assert (only_tank(fake).name, f"{only_tank(fake).filled}") == ("Window", ago(25))
    answer = keeper.post(f"{where}/settings/fitted", data={"filled": ago(5), "request": "c"})
    assert answer.status_code == 422
    assert f"The log tells of {ago(20)}, before this day." in answer.text


def test_what_is_wrong_is_told_at_once_in_the_words_of_a_page(
    keeper: TestClient, fake: FakePorts
) -> None:
    rows = {"species-1": "guppy", "count-1": "a few", "species-2": "neritina"}
    answer = keeper.post("/new", data=told(size="big", **rows))
    assert answer.status_code == 422
    for field in ("size", "filled", "count-1", "count-2"):
        assert f'id="{field}-wrong"' in answer.text
    assert "How many?, row 2" in answer.text
    for word in ("lacks", "quotes", "[tank]"):
        assert word not in answer.text
    assert list_tanks(Person(), fake.ports()) == ()


def test_a_planned_tank_says_when_it_is_foretold_and_costs_no_work(
    keeper: TestClient, fake: FakePorts
) -> None:
    words = (f"filled={TODAY + timedelta(days=60)}", "volume=57 L")
    key = add_tank(Person(), fake.ports(), name="Later", words=words).receipt.tank
    assert "From then on it is foretold." in keeper.get(f"/tank/{key}").text
    assert "From then on it is foretold." in keeper.get("/").text
    with fake.ports().journal.open() as journal:
        now = fake.ports().journal.now()
        with journal.working("w", now) as working:
            assert working.ask_for_news("0", now.replace(year=2000)) is None


def test_a_length_beside_the_name_is_understood_where_animals_are_recorded(
    keeper: TestClient, fake: FakePorts
) -> None:
    where = keeper.post("/new", data=told(filled=ago(30))).headers["location"].partition("?")[0]
    sent = {"what": "animals-in", "species": "goldfish 12 cm", "count": "2", "request": "b"}
    assert keeper.post(f"{where}/record/animals", data=sent).status_code == 303
    (came,) = only_tank(fake).events
    assert isinstance(came, AnimalsIn)
    assert (came.species, came.length_cm) == ("goldfish", 12)
    assert "2 goldfish in, 12 cm each" in keeper.get(f"{where}/log").text


def test_a_habit_of_the_start_stays_one_where_it_is_put_right(
    keeper: TestClient, fake: FakePorts
) -> None:
    start = {"fed": "dosed", "fed-often": "again", "since": ago(10)}
    rows = {"species-1": "guppy", "count-1": "3"}
    where = keeper.post("/new", data=told(filled=ago(40), **start, **rows)).headers["location"]
    where = where.partition("?")[0]
    entries = open_tank(Person(), "Sill", fake.ports(), 50).entries
    (number,) = [each.number for each in entries if isinstance(each.what, Habit)]
    page = keeper.get(f"{where}/entry/{number}").text
    assert 'value="2 mg/L as N"' in page
    sent = {"substance": "ammonium chloride", "amount": "3 mg/L as N", "day": ago(40), "hour": ""}
    answer = keeper.post(f"{where}/entry/{number}", data={**sent, "request": "b"})
    assert answer.status_code == 303, answer.text
    (habit,) = only_tank(fake).habits
    assert isinstance(habit.template, Dose)
    assert habit.template.target_mg_n_per_l == pytest.approx(3)
    assert (habit.every_days, f"{habit.until}") == (3, ago(11))


def test_the_tap_is_offered_as_it_was_told_before(keeper: TestClient, fake: FakePorts) -> None:
    assert "As you told it of" not in keeper.get("/new").text
    first = told(filled=ago(30), tap="chlorine", ph="7,6", nitrate="20 mg/L as NO3")
    assert keeper.post("/new", data=first).status_code == 303
    page = keeper.get("/new").text
    assert "As you told it of &#39;Sill&#39;" in page or "As you told it of 'Sill'" in page
    assert 'value="chlorine" checked' in page
    assert 'value="7.6"' in page
    assert 'value="4.52 mg/L as N"' in page
    again = told(name="Door", filled=ago(3), tap="chlorine", ph="7.6", nitrate="4.52 mg/L as N")
    assert keeper.post("/new", data={**again, "request": "b"}).status_code == 303


def test_a_guessed_day_is_among_what_was_taken_for_granted() -> None:
    line: Any = SimpleNamespace(findings=[])
    guessed = Tank("Sill", TODAY, filled_known=False)
    keys = [each.key for each in assumptions(guessed, line, ())]
    assert "assumed-filled" in keys
    known = [each.key for each in assumptions(replace(guessed, filled_known=True), line, ())]
    assert "assumed-filled" not in known


def test_bed_plants_and_media_told_later_hold_from_their_days_on(
    keeper: TestClient, fake: FakePorts
) -> None:
    where = keeper.post("/new", data=told(filled=ago(60))).headers["location"].partition("?")[0]
    first = {"media": "sponge", "media-volume": "0.4", "bed": "gravel", "plants": "none"}
    assert (
        keeper.post(f"{where}/settings/fitted", data={**first, "request": "b"}).status_code == 303
    )
    later = {
        "media": "ceramic",
        "media-volume": "1",
        "since-media": ago(20),
        "bed": "gravel",
        "depth": "5",
        "since-bed": ago(10),
        "plants": "few",
        "since-plants": ago(30),
    }
    answer = keeper.post(f"{where}/settings/fitted", data={**later, "request": "c"})
    assert answer.status_code == 303, answer.text
    tank = only_tank(fake)
    assert (tank.bed, tank.plants) == (Bed("gravel"), "none")
    assert tank.filter == Filter((Media("sponge", 0.4),))
    changed = {f"{each.at.date()}": each for each in tank.events}
    assert changed[ago(20)].media == (Media("ceramic", 1.0),)
    assert (changed[ago(10)].bed_material, changed[ago(10)].bed_depth_cm) == ("gravel", 5.0)
    assert changed[ago(30)].plants == "few"
    page = keeper.get(f"{where}/settings").text
    assert "1 L of ceramic in the filter" in page
    assert "Told so far: 5 cm." in page
    assert re.search(r'value="few" checked', page)
    # What is sent as it was shown changes nothing.
    again = {"bed": "gravel", "plants": "few", "media": "sponge", "power": "50", "request": "d"}
    assert keeper.post(f"{where}/settings/fitted", data=again).status_code == 303
    kept = only_tank(fake)
    assert (kept.plants, kept.bed, len(kept.events)) == ("none", Bed("gravel"), 3)


@pytest.mark.parametrize(
    ("sent", "field"),
    [
        ({"since-media": ago(5), "media": "sponge"}, "since-media"),
        ({"since-media": ago(5), "media-volume": "some"}, "media-volume"),
        ({"since-media": ago(90), "media-volume": "1"}, "since-media"),
        ({"since-bed": ago(5), "depth": "deep"}, "depth"),
        ({"since-plants": "soon", "plants": "few"}, "since-plants"),
    ],
)
def test_a_part_of_a_day_that_cannot_be_comes_back_at_its_field(
    keeper: TestClient, fake: FakePorts, sent: dict[str, str], field: str
) -> None:
    where = keeper.post("/new", data=told(filled=ago(60))).headers["location"].partition("?")[0]
    answer = keeper.post(f"{where}/settings/fitted", data={**sent, "flow": "300", "request": "b"})
    assert answer.status_code == 422
    assert f'id="{field}-wrong"' in answer.text
    assert 'value="300"' in answer.text
    assert only_tank(fake).filter is None
