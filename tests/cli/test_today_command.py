"""``watervane today``: verdict first, then the steps, then why; with a file or with a few words."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest
from fake_ports import FakePorts
from sample_today import AT, LIMIT, reading_day, sample_today
from test_commands import call
from typer.testing import CliRunner

from watervane.cli.program import program
from watervane.records import AnimalsIn, AtOnce, Finding, ReadAlarm


def test_the_verdict_comes_first_then_the_steps_their_order_and_the_table() -> None:
    result = call(FakePorts(), "today", "x.tank.toml")
    assert result.code == 0
    places = [
        result.out.index(text)
        for text in (
            "too much if it stays so",
            "Most likely now",
            "What to do",
            "Change 35 % of the water today (21 L)",
            "Changing water, in order",
            "Work against risk",
            "\nas planned  ",
        )
    ]
    assert places == sorted(places)


def test_one_document_and_nothing_else_with_json() -> None:
    result = call(FakePorts(), "today", "x.tank.toml", "--json")
    document = json.loads(result.out)
    assert document["format"] == "watervane-today/1"
    assert document["chosen"]["acts"][0]["kind"] == "change"
    assert document["verdict"]["leading"]["limit"]["key"] == "free_ammonia_chronic_hardy"
    assert set(document["chosen"]["chances"]) == {"acute", "chronic", "comfort"}
    assert result.err == ""


def test_a_few_words_do_for_a_file() -> None:
    fake = FakePorts()
    result = call(fake, "today", "--reading", "ammonia 0.7", "--reading", "pH=8,1",
                  "--animals", "6 Danio rerio 4 cm", "--animals", "1 snail",
                  "--volume", "15 US gal", "--days-old", "12")  # fmt: skip
    assert result.code == 0, result.err
    assert {r.quantity for r in fake.tank.readings} == {"ammonia", "ph"}
    assert [e.count for e in fake.tank.events if isinstance(e, AnimalsIn)] == [6, 1]
    assert fake.tank.volume_l == pytest.approx(56.8, abs=0.1)
    assert "[tank]" not in result.out, "there is no file to write into"


def test_what_had_to_be_assumed_for_want_of_a_file_is_said() -> None:
    result = call(FakePorts(), "today", "--reading", "nitrite 1")
    assert "60 L was taken" in result.out
    assert "21 days were taken" in result.out
    assert "--animals" in result.out
    assert "six small fish of the most sensitive kind" in " ".join(result.out.split())


@pytest.mark.parametrize(
    ("told", "warmth"),
    [(("--reading", "temperature 22,5"), 22.5), (("--reading", "temperature=19 degC"), 19.0),
     (("--animals", "3 goldfish"), None), (("--reading", "pH 7"), 25.0)],
)  # fmt: skip
def test_warmth_is_as_read_else_as_the_animals_like_it(
    told: tuple[str, ...], warmth: float | None
) -> None:
    fake = FakePorts()
    assert call(fake, "today", *told).code == 0
    found = fake.tank.heater_set_point_c
    assert found is not None
    if warmth is None:
        assert 14.0 < found < 23.0, "goldfish like it cool"
    else:
        assert found == warmth


def test_what_had_to_be_assumed_of_food_names_no_log_where_there_is_none() -> None:
    fed = Finding("assumed-feeding", "caution", {"mass_g": "0.02 to 0.04"})
    day = replace(sample_today(), remarks=(fed,))
    out = call(FakePorts(day=day), "today", "--reading", "pH 7").out
    assert "A tank file can tell it" in " ".join(out.split())
    assert "Write feed events" not in out
    assert "Write feed events" in " ".join(call(FakePorts(day=day), "today", "x.toml").out.split())


@pytest.mark.parametrize(
    ("told", "word"),
    [
        ((), "Nothing to judge"),
        (("x.tank.toml", "--reading", "pH 7"), "stand in for a file"),
        (("--reading", "ammonia"), "is no reading"),
        (("--animals", "some fish"), "is no stock"),
        (("--reading", "pH 7", "--volume", "9**9**9"), "9**9**9"),
        (("--reading", "wisdom 3 mg/L"), "wisdom"),
        (("x.tank.toml", "--risk", "acute=200"), "is no accepted risk"),
        (("x.tank.toml", "--risk", "luck=1"), "is no accepted risk"),
    ],
)
def test_what_cannot_be_used_is_told_with_its_remedy(told: tuple[str, ...], word: str) -> None:
    result = call(FakePorts(), "today", *told)
    assert result.code == 2
    assert word in result.err
    assert "Traceback" not in result.err
    assert "line " not in result.err, "a command line has no lines"


def test_the_keepers_own_risk_is_passed_on() -> None:
    fake = FakePorts()
    call(fake, "today", "x.tank.toml", "--risk", "acute=0.5", "--risk", "comfort=40%")
    allowed = fake.judged[0][0].allowed
    assert allowed == {"acute": 0.005, "comfort": 0.4}, "the tank's own stands for the third"


def test_a_reading_taken_at_its_word_is_acted_on_though_it_fits_nothing_else() -> None:
    fake = FakePorts()
    fake.day = reading_day()
    out = " ".join(call(fake, "today", "x.tank.toml").out.split())
    assert "You read ammonia 2.3 mg N/L" in out
    assert "Act as if it were right: change about 55 % of the water now" in out
    assert "in place of this one, not besides it" in out
    assert "Nothing measured points to harm" not in out


def test_words_that_cannot_be_read_are_told_by_their_option_all_at_once() -> None:
    result = call(FakePorts(), "today", "--reading", "NO2 0.5", "--reading", "temp 25",
                  "--reading", "nitrite 2 mgg/L", "--volume", "60 lll")  # fmt: skip
    assert result.code == 2
    assert "--reading: 'NO2' is not known here. Did you mean 'nitrite'?" in result.err
    assert "Did you mean 'temperature'?" in result.err
    assert "--reading: the unit 'mgg/L'" in result.err
    assert "--volume: the unit 'lll'" in result.err
    assert "[[" not in result.err, "there is no file"
    assert "mg/L' in '25" not in result.err, "a temperature has its own usual unit"


def test_a_reading_that_fits_nothing_is_told_with_the_verdict_and_once() -> None:
    day = sample_today()
    told = {"day": AT.date(), "readings": [{"quantity": "ph", "value": "7.0"}]}
    odd = replace(day.diagnostics, findings=(Finding("day-contradicts", "caution", told),))
    out = call(FakePorts(day=replace(day, diagnostics=odd)), "today", "x.tank.toml").out
    assert out.count("fits no course of this") == 1
    assert out.index("fits no course of this") < out.index("What to do")


def test_what_to_know_of_the_steps_stands_between_them_and_the_order_of_a_change() -> None:
    note = Finding("note-warmth", "caution", {"now_c": 20.0, "per_hour_c": 2.0, "hours": 3})
    out = call(FakePorts(day=replace(sample_today(), notes=(note,))), "today", "x.tank.toml").out
    places = [out.index(t) for t in ("What to do", "Before you begin", "2 °C an hour", "in order")]
    assert places == sorted(places)


def test_what_is_said_of_the_steps_stands_apart_from_them() -> None:
    lines = call(FakePorts(), "today", "x.tank.toml").out.splitlines()
    place = next(k for k, line in enumerate(lines) if line.startswith("With that, of all"))
    assert lines[place - 1] == ""
    assert any(line.startswith("2. ") for line in lines[:place])


ALARMING = ("today", "--reading", "ammonia 4 mg/L as N", "--reading", "pH 8.2",
            "--animals", "6 Danio rerio")  # fmt: skip


def test_a_reading_that_alarms_is_answered_before_any_model_is_run() -> None:
    """Somebody with a worrying reading has a sentence and a bucket to carry within seconds."""
    told: list[str] = []
    judged = FakePorts().ports()

    def late(*args: object) -> object:
        told.append("model")
        return judged.today(*args)

    def told_at_once(*args: Any) -> AtOnce:
        told.append("readings")
        return judged.pages.at_once(*args)

    pages = replace(judged.pages, at_once=told_at_once)
    runner = CliRunner(env={"COLUMNS": "80", "TERM": "dumb"})
    ports = replace(judged, today=late, pages=pages)
    result = runner.invoke(program, list(ALARMING), obj=lambda: ports)
    assert told == ["readings", "model"]
    said = " ".join(result.stderr.split())
    assert "You read ammonia 4.0 mg N/L" in said
    assert "of the water now, with conditioner" in said
    assert "takes the place of this" in said
    assert "takes the place of this" not in result.stdout


def test_steps_with_more_water_than_the_buffering_read_bears_say_so_first() -> None:
    judged = FakePorts().ports()
    kh = AtOnce((ReadAlarm("kh", 1.0, LIMIT, 1.0, 0.1),), bounded_by="kh", most_share=0.1)
    ports = replace(judged, pages=replace(judged.pages, at_once=lambda *_: kh))
    told = ("today", "--reading", "KH 1", "--animals", "1 goldfish")
    out = " ".join(CliRunner().invoke(program, list(told), obj=lambda: ports).stdout.split())
    assert out.index("no more than 10 %") < out.index("1. Change 35 %")
    document = CliRunner().invoke(program, [*told, "--json"], obj=lambda: ports).stdout
    assert json.loads(document)["bounded"] == {
        "reading": "kh",
        "most_share": 0.1,
        "steps_share": 0.35,
    }


def test_what_alarms_nobody_is_not_answered_twice_and_a_document_stays_alone() -> None:
    calm = call(FakePorts(), "today", "--reading", "ammonia 0.1 mg/L as N", "--animals", "2 guppy")
    assert "takes the place" not in calm.err
    assert call(FakePorts(), *ALARMING, "--json").err == ""


def test_what_to_do_stays_where_the_verdict_takes_a_reading_for_a_slip() -> None:
    kh = AtOnce(
        (ReadAlarm("kh", 1.0, replace(LIMIT, tier="comfort", subject="alkalinity"), 1.0, 0.1),)
    )
    day = sample_today()
    odd = Finding("day-contradicts", "caution", {"day": AT.date(), "readings": ["KH 1 dKH"]})
    calm = replace(
        day,
        verdict=replace(day.verdict, key="nothing-points-to-harm"),
        diagnostics=replace(day.diagnostics, findings=(odd,)),
    )
    judged = FakePorts(day=calm).ports()
    ports = replace(judged, pages=replace(judged.pages, at_once=lambda *_: kh))
    told = " ".join(
        CliRunner().invoke(program, ["today", "x.tank.toml"], obj=lambda: ports).stdout.split()
    )
    assert "Nothing measured points to harm" not in told
    assert "If the next test shows the same: With so little buffering" in told
    calmer = replace(
        ports, today=FakePorts(day=replace(calm, diagnostics=day.diagnostics)).ports().today
    )
    told = CliRunner().invoke(program, ["today", "x.tank.toml"], obj=lambda: calmer).stdout
    assert "If the next test" not in told
