"""``watervane trouble``: words and a log in, causes, checks and an hour out."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, timedelta

import pytest
from fake_ports import FakePorts
from test_commands import call

from watervane.advice.trouble_log import told_by_log
from watervane.bootstrap import real_ports
from watervane.records import (
    AnimalsIn,
    Clean,
    Feed,
    Habit,
    Outage,
    Reading,
    ReadingValue,
    Span,
    Tank,
    TopOff,
    Treatment,
    WaterChange,
)
from watervane.reference.first_aid import aid_tables
from watervane.reference.trouble import trouble_tables
from watervane.wording.templates import templates

AT = datetime(2026, 5, 10, 21, tzinfo=UTC)


def document(*told: str) -> dict:
    result = call(FakePorts(), "trouble", *told, "--json")
    assert result.code == 0, result.err
    return json.loads(result.out)


def test_signs_alone_are_answered_and_it_says_how_little_it_knows() -> None:
    out = " ".join(call(FakePorts(), "trouble", "--see", "gasping").out.split())
    assert "this knows little" in out
    assert "Move the surface, now." in out
    assert "Never release animals" in out
    assert "Read nitrite." in out
    assert "Read oxygen." not in out, "hardly anybody has a test"


def test_nothing_told_is_answered_too() -> None:
    assert "You told nothing yet" in call(FakePorts(), "trouble").out


def test_signs_that_fit_an_illness_are_no_diagnosis() -> None:
    out = " ".join(call(FakePorts(), "trouble", "--see", "white-spots").out.split())
    assert "signs that fit parasites" in out
    assert "no diagnosis" in out
    assert "veterinarian who knows water animals before you treat" in out


def test_the_document_holds_what_the_sentences_rest_on() -> None:
    found = document("--see", "lying", "--reading", "nitrite 2 mg/L", "--days-old", "20",
                     "--who", "all", "--since", "days", "--after", "none")  # fmt: skip
    assert found["format"] == "watervane-trouble/1"
    assert found["causes"][0]["cause"] == "nitrite"
    assert sum(each["probability"] for each in found["causes"]) == pytest.approx(1.0, abs=1e-4)
    assert found["open_bits"] < found["asked_bits"]
    assert found["meanwhile"]["acts"][0]["act"] == "mains"
    assert {each["kind"] for each in found["checks"]} == {"test", "look"}


@pytest.mark.parametrize(
    ("told", "said"),
    [
        (("--see", "rubing"), "Nearest: rubbing"),
        (("--see", "zzzz"), "Nearest: gasping, fast-breathing"),
        (("--who", "al"), "'al' is none of the answers to --who"),
        (("--since", "yesterday"), "--since"),
        (("--after", "water change raw"), "Nearest: water-change"),
        (("--reading", "ph 19"), "out of range for pH"),
        (("--reading", "moon 3"), "moon"),
        (("--reading", "conductivity 400"), "does not weigh 'conductivity 400'"),
        (("--reading", "ph 7", "--reading", "ph 8"), "told twice"),
        (("--see", "fuzz", "--not-seen", "fuzz"), "as seen and as not seen"),
        (("--animals", "many"), "no stock"),
        (("--at", "2999-01-01"), "after now"),
    ],
)
def test_bad_words_get_one_clear_message(told: tuple[str, ...], said: str) -> None:
    result = call(FakePorts(), "trouble", *told)
    assert result.code == 2
    assert said in " ".join(result.err.split())
    assert "Traceback" not in result.err


def test_every_mistake_is_told_at_once() -> None:
    err = call(FakePorts(), "trouble", "--see", "x1", "--reading", "ph 19", "--animals", "z").err
    assert "3 problems" in err


def _tank(**more: object) -> Tank:
    return Tank(name="t", filled=date(2025, 1, 1), volume_l=60.0, **more)


def _read(quantity: str, value: float, days_ago: float) -> Reading:
    basis = "n" if quantity == "ammonia" else "none"
    shown = ReadingValue("exact", value, value, basis)
    return Reading(AT - timedelta(days=days_ago), quantity, shown)


def test_a_log_tells_deeds_readings_warmth_and_age() -> None:
    ago = {hours: AT - timedelta(hours=hours) for hours in (3, 20, 60)}
    events = (
        AnimalsIn(at=ago[60], species="Danio rerio", count=6),
        WaterChange(at=ago[3], fraction=0.3, conditioner=False),
        Clean(at=ago[20], part="filter", how="tap water"),
        Outage(at=ago[20], hours=5.0, what="filter"),
        Treatment(at=ago[20], substance="medicine"),
    )
    readings = (_read("gh", 5.0, 9.0), _read("gh", 16.0, 0.1), _read("ammonia", 1.0, 80.0))
    told = told_by_log(_tank(events=events, readings=readings), AT)
    assert set(told.done) == {"water-raw", "filter-cleaned", "stopped", "treated"}
    assert told.partly
    assert told.age_days == pytest.approx(494.875)
    assert [r.value.low for r in told.readings] == [16.0]
    assert [r.value.low for r in told.before] == [5.0]
    assert told.liked_c is not None
    assert 15.0 < told.liked_c[0] < told.liked_c[1] < 32.0


def test_a_habit_counts_where_it_falls_into_the_two_days_and_months_without_a_change_do() -> None:
    def told(start: date) -> tuple[str, ...]:
        change = WaterChange(at=datetime(2025, 1, 1, 10, tzinfo=UTC), fraction=0.2)
        habit = Habit(template=change, every_days=7, start=start)
        return told_by_log(_tank(habits=(habit,)), AT).done

    assert told(date(2026, 5, 2)) == ("water-change",)
    assert told(date(2026, 5, 4)) == ()
    meal = Feed(at=AT - timedelta(hours=4), mass_g=Span.exact(0.1))
    assert told_by_log(_tank(events=(meal,)), AT).done == ("months",)
    pure = TopOff(at=AT - timedelta(hours=4), pure=True, conditioner=False)
    assert "water-raw" not in told_by_log(_tank(events=(pure,)), AT).done


def test_every_answer_cause_and_look_has_its_words() -> None:
    tables, said = trouble_tables(), templates()
    wanted = [f"trouble-see-{key}" for key in tables.signs]
    wanted += [f"trouble-look-{key}" for key in tables.signs]
    wanted += [f"trouble-cause-{key}" for key in tables.causes]
    wanted += [f"trouble-who-{key}" for key in tables.who]
    wanted += [f"trouble-since-{key}" for key in tables.since]
    wanted += [f"trouble-group-{sign.look}" for sign in tables.signs.values()]
    wanted += [f"trouble-vet-{key}" for key in ("signs", "dying", "suffering", "usual")]
    assert [key for key in wanted if key not in said] == []
    assert set(real_ports().care.trouble_questions().done) == set(aid_tables().done)
