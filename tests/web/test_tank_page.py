"""A tank's page: the verdict, steps that are recorded by one tap, pictures, the record, the why."""

from __future__ import annotations

import json
import re
import time
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from fake_ports import FakePorts
from sample_today import sample_today
from starlette.testclient import TestClient
from web_club import computed
from web_keeper import ADDRESS, PORT

from watervane.app import Line, add_tank, open_tank, record
from watervane.app.rounds import rounds
from watervane.app.tank_page import look_at_tank
from watervane.records import Person, WaterChange
from watervane.web import Gate, make_app
from watervane.web.ahead import Ahead
from watervane.web.answers import mark_of
from watervane.web.drawings import Drawings
from watervane.wording import verdict_sentences

NAME = "Study"
WORDS = ("filled=2026-03-01", "volume=57 L", "time_zone=Europe/Lisbon")


@pytest.fixture
def tank(fake: FakePorts) -> str:
    ports = fake.ports()
    key = add_tank(Person(), ports, name=NAME, words=WORDS).receipt.tank
    record(Person(), NAME, Line("reading", ("ammonia", "0.7 mg/L as N")), ports)
    return key


@pytest.fixture
def known(fake: FakePorts, tank: str) -> str:
    computed(fake, {NAME: sample_today()})
    return tank


def test_before_anything_is_computed_the_page_is_there(keeper: TestClient, tank: str) -> None:
    page = keeper.get(f"/tank/{tank}").text
    assert "Nothing foretold yet" in page
    assert "ammonia 0.7 mg/L as N" in page
    assert "<img" not in page


def test_animals_come_before_any_forecast_and_first_aid_alone_tells_of_water(
    keeper: TestClient, tank: str
) -> None:
    page = keeper.get(f"/tank/{tank}").text
    assert "Nothing foretold yet" in page
    sentence = page[page.index("Animals come first") : page.index('id="wrong-now"')]
    assert 'href="/first-aid"' in sentence
    assert "change water now" not in page


def test_the_questions_stand_in_the_keepers_order(keeper: TestClient, known: str) -> None:
    page = keeper.get(f"/tank/{known}").text.replace("\N{NO-BREAK SPACE}", " ")
    assert re.findall(r'class="question" aria-labelledby="([^"]+)"', page) == [
        "wrong-now", "do-today", "coming", "why", "nitrogen", "colonies", "ask",
        "recorded",
    ]  # fmt: skip
    for sentence in verdict_sentences(sample_today())[:1]:
        assert sentence in page
    assert "Change 35 % of the water" in page
    assert page.count("<table>") >= 2
    assert "Judged" in page


def test_a_step_done_is_recorded_by_one_tap_and_once(
    keeper: TestClient, fake: FakePorts, known: str
) -> None:
    page = keeper.get(f"/tank/{known}").text
    form = re.search(
        r'action="(/tank/[^"]+/done)".*?name="request" value="([^"]+)".*?name="kind" '
        r'value="([^"]+)".*?name="words" value="([^"]+)"',
        page,
        re.DOTALL,
    )
    assert form is not None
    sent = {"request": form[2], "kind": form[3], "words": form[4]}
    for _ in range(2):
        assert keeper.post(form[1], data=sent).status_code == 303
    events = open_tank(Person(), NAME, fake.ports()).tank.events
    assert [(type(each), round(each.fraction, 2)) for each in events] == [(WaterChange, 0.35)]


def test_a_step_done_without_a_network_is_what_the_page_showed_dated_by_the_tap(
    keeper: TestClient, fake: FakePorts, known: str
) -> None:
    sent = {"request": "a", "kind": "water-change", "words": "fraction=20%\nconditioner=yes",
            "day": "2026-03-10", "hour": "19:30"}  # fmt: skip
    assert keeper.post(f"/tank/{known}/done", data=sent).status_code == 303
    (change,) = open_tank(Person(), NAME, fake.ports()).tank.events
    assert (round(change.fraction, 2), f"{change.at:%d %H:%M}") == (0.2, "10 19:30")
    other = keeper.post(f"/tank/{known}/done", data={**sent, "request": "b", "kind": "reading"})
    assert other.status_code == 404
    wrong = keeper.post(f"/tank/{known}/done", data={**sent, "request": "c", "words": "size=1"})
    assert wrong.status_code == 422
    assert len(open_tank(Person(), NAME, fake.ports()).tank.events) == 1


def done_forms(page: str) -> list[dict[str, str]]:
    """What each button of the steps would send."""
    forms = re.findall(r'<form method="post" action="/tank/[^"]+/done".*?</form>', page, re.DOTALL)
    return [dict(re.findall(r'name="([^"]+)" value="([^"]*)"', each)) for each in forms]


def test_a_step_is_not_recorded_twice_unless_it_is_meant(
    keeper: TestClient, fake: FakePorts, known: str
) -> None:
    sent = done_forms(keeper.get(f"/tank/{known}").text)[0]
    first = keeper.post(f"/tank/{known}/done", data=sent).headers["location"]
    told = keeper.get(first.partition("#")[0]).text
    assert "With conditioner." in told
    assert re.search(r'href="/tank/[^"]+/entry/\d+">Change: water change 35 %', told)
    again = done_forms(told)[0]
    assert again.pop("again") == "1"
    assert "Record another" in told
    second = keeper.post(f"/tank/{known}/done", data=again).headers["location"]
    assert "already=" in second
    assert "was not written again" in keeper.get(second.partition("#")[0]).text
    assert len(open_tank(Person(), NAME, fake.ports()).tank.events) == 1
    meant = {**again, "again": "1", "request": "other"}
    assert "kept=" in keeper.post(f"/tank/{known}/done", data=meant).headers["location"]
    assert len(open_tank(Person(), NAME, fake.ports()).tank.events) == 2


def test_a_step_undone_can_be_recorded_anew(
    keeper: TestClient, fake: FakePorts, known: str
) -> None:
    sent = done_forms(keeper.get(f"/tank/{known}").text)[0]
    for request in ("a", "b"):
        where = keeper.post(f"/tank/{known}/done", data={**sent, "request": request})
        number = re.search(r"kept=(\d+)", where.headers["location"])
        assert number is not None
        keeper.post(f"/tank/{known}/entry/{number[1]}/undo", data={})
    assert "again" not in done_forms(keeper.get(f"/tank/{known}").text)[0]


def test_no_food_for_two_days_is_written_for_both(
    keeper: TestClient, fake: FakePorts, known: str
) -> None:
    sent = done_forms(keeper.get(f"/tank/{known}").text)[1]
    assert sent["days"] == "2"
    where = keeper.post(f"/tank/{known}/done", data=sent).headers["location"]
    meals = open_tank(Person(), NAME, fake.ports()).tank.events
    assert [each.mass_g.high for each in meals] == [0.0, 0.0]
    assert (meals[1].at.date() - meals[0].at.date()).days == 1
    assert keeper.get(where.partition("#")[0]).text.count("Undo: no food</button>") == 2


def test_what_was_written_since_is_told(keeper: TestClient, fake: FakePorts, known: str) -> None:
    keeper.post("/new", data={"name": "Another", "filled": "2026-03-01", "volume": "60 L"})
    for level in ("0.3", "0.7"):  # of another tank, and not counted
        record(
            Person(), "Another", Line("reading", ("nitrite", f"{level} mg/L as N")), fake.ports()
        )
    record(Person(), NAME, Line("reading", ("nitrite", "0.2 mg/L as N")), fake.ports())
    assert "one entry written since is not in it yet" in keeper.get(f"/tank/{known}").text


def test_a_judgement_that_does_not_know_the_newest_entry_is_set_back(
    keeper: TestClient, fake: FakePorts, known: str
) -> None:
    before = keeper.get(f"/tank/{known}").text
    (first, *_) = verdict_sentences(sample_today())
    first = first.replace("'", "&#39;")
    lead = re.compile(r'<p class="lead">([^<]+)</p>')
    assert lead.findall(before)[0].replace("\N{NO-BREAK SPACE}", " ") == first
    assert "What was judged before that" not in before
    record(Person(), NAME, Line("reading", ("ammonia", "2 mg/L as N")), fake.ports())
    after = keeper.get(f"/tank/{known}").text.replace("\N{NO-BREAK SPACE}", " ")
    assert lead.findall(after)[0].startswith("What you recorded last is not judged yet.")
    earlier = after.partition('class="earlier"')[2]
    assert first in earlier
    assert "Judged" in earlier
    assert "These steps are of the judgement before" in after
    assert after.count("Done, as judged ") == len(sample_today().chosen.acts)


def test_the_table_of_other_ways_has_its_headings_beside_each_number(
    keeper: TestClient, known: str
) -> None:
    table = keeper.get(f"/tank/{known}").text.partition('<table class="stacked"')[2]
    heads = re.findall(r'role="columnheader">([^<]*)<', table.partition("</thead>")[0])
    row = table.partition("<tbody")[2].partition("</tr>")[0]
    assert re.findall(r'data-label="([^"]*)"', row) == heads[1:]


def test_the_forecast_is_drawn_still_and_living(keeper: TestClient, known: str) -> None:
    page = keeper.get(f"/tank/{known}").text
    address = re.search(r'<img src="([^"]+)"', page)
    assert address is not None
    still = keeper.get(address[1].replace("&amp;", "&"))
    assert still.headers["content-type"].startswith("image/svg+xml")
    assert "max-age" in still.headers["cache-control"]
    assert still.text.count("mark-area") == 8
    assert "<script" not in still.text
    living = keeper.get(re.search(r'data-drawing="([^"]+)"', page)[1])
    told = json.loads(living.text)
    assert {"spec", "config", "days"} == set(told)
    bands = {row["t"] for row in told["spec"]["datasets"]["bands"]}
    days = [datetime.fromtimestamp(each["at"] / 1000, UTC) for each in told["days"]["days"]]
    assert all(f"{day:%Y-%m-%dT%H:%M:%SZ}" in bands for day in days)  # what is told is drawn
    unnamed = keeper.get(f"/tank/{known}/forecast.svg?look=dark&narrow=1")
    assert "no-cache" in unnamed.headers["cache-control"]
    assert keeper.get(f"/tank/{known}/forecast.svg?look=green").status_code == 404
    of_nobody = address[1].replace("&amp;", "&").replace(known, "0" * 32)
    assert keeper.get(of_nobody).status_code == 404


def test_tanks_of_the_rounds_are_drawn_before_anybody_asks(
    fake: FakePorts, known: str, tmp_path: Path
) -> None:
    ports, drawings = fake.ports(), Drawings(lambda: tmp_path)
    warmed: list[bool] = []
    ahead = Ahead(Person(), ports, drawings, lambda: warmed.append(True))
    found = rounds(Person(), ports)
    ahead.draw(found)
    ahead.draw(found)  # nothing is new: nothing more is drawn
    mark = f"{known} {mark_of(look_at_tank(Person(), known, ports))}"
    for _ in range(400):
        if drawings.kept_living(mark) is not None:
            break
        time.sleep(0.05)
    assert warmed == [True]
    drawn = drawings.within(mark)
    assert drawn is not None
    for svg, width in ((drawn.wide, "wide"), (drawn.narrow, "narrow")):
        assert svg.count("mark-area") == 8
        assert "var(--ink)" in svg  # the style sheet of the page gives the colours
        named = set(re.findall(r'id="([^"]+)"', svg))
        assert named
        assert all(each.startswith(f"still-{width}-") for each in named)
        assert set(re.findall(r"url\(#([^)]+)\)", svg)) <= named
        assert "aria-label" not in svg
    assert len(list((tmp_path / "drawing").iterdir())) == 2


def test_a_drawing_that_is_there_stands_in_the_page_itself(fake: FakePorts, known: str) -> None:
    ports, gate = fake.ports(), Gate(PORT)
    pages = TestClient(make_app(ports, gate, draw_ahead=True), ADDRESS)
    pages.get(gate.launch_address)
    for _ in range(400):
        page = pages.get(f"/tank/{known}").text
        if "data-still role" in page:
            break
        time.sleep(0.05)
    figure = page[page.index('<figure class="chart"') : page.index("<figcaption>")]
    assert "<img" not in figure
    assert figure.count("<svg") == 2
    assert 'role="img" aria-label="' in figure


def test_an_entry_of_another_tank_is_not_found_here(
    keeper: TestClient, fake: FakePorts, tank: str
) -> None:
    other = add_tank(Person(), fake.ports(), name="Other", words=WORDS).receipt.tank
    (entry,) = open_tank(Person(), NAME, fake.ports()).entries
    assert keeper.get(f"/tank/{other}/entry/{entry.number}").status_code == 404
    assert keeper.post(f"/tank/{other}/entry/{entry.number}/undo", data={}).status_code == 404
    assert len(open_tank(Person(), NAME, fake.ports()).entries) == 1


def test_what_happened_last_is_told_first_whenever_it_was_written(
    keeper: TestClient, fake: FakePorts, tank: str
) -> None:
    for day, amount in (("2026-03-09", "3 pellets"), ("2026-03-05", "1 pinch")):
        line = Line("feed", (amount,), date.fromisoformat(day))
        record(Person(), NAME, line, fake.ports())
    page = keeper.get(f"/tank/{tank}").text
    told = re.findall(r'<p class="what">([^<]+)</p>', page)
    assert told == ["ammonia 0.7 mg/L as N", "fed 3 pellets", "fed 1 pinch"]
    assert 'value="3 pellets"' in keeper.get(f"/tank/{tank}/record/feed").text


def fish(fake: FakePorts) -> None:
    record(Person(), NAME, Line("animals-in", ("6", "zebra danio")), fake.ports())


def section(page: str, name: str) -> str:
    found = page.replace("\N{NO-BREAK SPACE}", " ").replace("&#39;", "'")
    return found[found.index(f'id="{name}"') :].partition("</section>")[0]


def test_steps_that_hang_on_a_reading_say_so_until_it_is_taken(
    keeper: TestClient, fake: FakePorts, tank: str
) -> None:
    fish(fake)
    computed(fake, {NAME: sample_today()})
    where = f"/tank/{tank}"
    assert "First read pH, if you have a test" in section(keeper.get(where).text, "do-today")
    keeper.post(f"{where}/record/readings", data={"ph": "7.4", "request": "r"})
    assert "First read" not in section(keeper.get(where).text, "do-today")


def test_before_any_forecast_an_alarming_reading_is_answered_at_once(
    keeper: TestClient, fake: FakePorts, tank: str
) -> None:
    fish(fake)
    assert "Within the hour" not in keeper.get(f"/tank/{tank}").text
    sent = {"ammonia": "4 mg/L", "ph": "8.2", "request": "alarm"}
    kept = keeper.post(f"/tank/{tank}/record/readings", data=sent).headers["location"]
    page = keeper.get(kept.partition("#")[0]).text
    now, today = section(page, "wrong-now"), section(page, "do-today")
    assert "You read ammonia 3.1 mg N/L (4.0 mg/L as ammonium). If that is right it harms" in now
    assert "slip of the test" not in now, "nothing was weighed against it yet"
    assert "Nothing foretold yet" not in now
    assert "Within the hour" in now
    assert "conditioner that binds it" in now
    assert "This goes by your reading alone. A forecast of this tank" in now
    assert "Act as if it were right: change about" in today
    assert "sharpens a first forecast" not in today
    rounds = keeper.get("/").text.replace("\N{NO-BREAK SPACE}", " ")
    assert "You read ammonia 3.1 mg N/L" in rounds


def test_the_change_that_an_alarm_asks_for_is_recorded_by_one_tap(
    keeper: TestClient, fake: FakePorts, tank: str
) -> None:
    fish(fake)
    before = datetime.now(UTC) - timedelta(minutes=20)
    record(Person(), NAME, Line("reading", ("nitrite", "40 mg/L as N"), before), fake.ports())
    record(Person(), NAME, Line("reading", ("ph", "8.2"), before), fake.ports())
    (form,) = done_forms(keeper.get(f"/tank/{tank}").text)
    keeper.post(f"/tank/{tank}/done", data=form)
    told = section(keeper.get(f"/tank/{tank}").text, "do-today")
    assert re.search(r"Since then \d+ % of the water was changed", told)


def test_a_reading_that_no_judgement_knows_comes_before_the_judgement(
    keeper: TestClient, fake: FakePorts, known: str
) -> None:
    fish(fake)
    record(Person(), NAME, Line("reading", ("nitrite", "30 mg/L as N")), fake.ports())
    now = section(keeper.get(f"/tank/{known}").text, "wrong-now")
    assert now.index("You read nitrite 30 mg N/L") < now.index("What was judged before that")
    computed(fake, {NAME: sample_today()})
    after = section(keeper.get(f"/tank/{known}").text, "wrong-now")
    assert "You read nitrite 30" not in after, "a judgement that knows it takes its place"


def test_what_was_read_is_not_asked_for_again(
    keeper: TestClient, fake: FakePorts, tank: str
) -> None:
    asked = "sharpens a first forecast most"
    first = section(keeper.get(f"/tank/{tank}").text, "do-today")
    assert "Read nitrite and record it" in first
    assert asked in first
    record(Person(), NAME, Line("reading", ("nitrite", "0 mg/L")), fake.ports())
    for page in (section(keeper.get(f"/tank/{tank}").text, "do-today"), keeper.get("/").text):
        assert asked not in page
        assert "You read ammonia and nitrite" in page


def test_the_word_on_animals_stands_once(keeper: TestClient, fake: FakePorts, known: str) -> None:
    fish(fake)
    assert keeper.get(f"/tank/{known}").text.count("Animals come first") == 1
