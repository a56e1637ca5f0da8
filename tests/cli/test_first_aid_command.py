"""``watervane first-aid``: words in, the hour out; the page and the sheet in files."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from fake_ports import FakePorts
from test_commands import call

from watervane.reference.first_aid import aid_tables
from watervane.wording.templates import templates


def test_gasping_is_answered_without_any_file() -> None:
    result = call(FakePorts(), "first-aid", "--see", "gasping")
    assert result.code == 0, result.err
    places = [
        result.out.index(text)
        for text in ("In this order", "1. Dry your hands", "2. Move the surface, now",
                     "Not in this hour", "No bleach", "What it may be", "veterinarian")
    ]  # fmt: skip
    assert places == sorted(places)


def test_no_answer_at_all_still_gets_an_hour() -> None:
    result = call(FakePorts(), "first-aid")
    assert result.code == 0
    assert "1. Dry your hands" in result.out


def test_the_document_tells_what_each_act_does_under_each_open_cause() -> None:
    told = ("--see", "usual", "--done", "water-raw", "--test", "ph 7.8", "--json")
    document = json.loads(call(FakePorts(), "first-aid", *told).out)
    assert document["format"] == "watervane-first-aid/1"
    assert document["answers"]["tests"] == {"ph": "high"}
    assert [act["act"] for act in document["acts"]][:2] == ["mains", "dechlorinate"]
    left_open = {cause["cause"] for cause in document["causes"] if cause["open"]}
    assert "ammonium-acid" not in left_open
    for act in document["acts"]:
        assert {effect["cause"] for effect in act["effects"]} == left_open
        assert "harms" not in {effect["effect"] for effect in act["effects"]}
    assert sum(cause["share"] for cause in document["causes"]) == pytest.approx(1.0, abs=1e-4)


@pytest.mark.parametrize(
    ("text", "level"),
    [
        ("ammonia 0.05 mg/L", "none"),
        ("ammonia 1", "some"),
        ("nitrite some", "some"),
        ("pH=6.4", "low"),
        ("ph 7.2", "middle"),
        ("temperature 31 degC", "high"),
        ("temperature 88 F", "high"),
        ("temperature 15", "low"),
        ("chlorine < 0.02 mg/L", "none"),
        ("ammonia > 5 mg/L", "some"),
    ],
)
def test_readings_become_levels(text: str, level: str) -> None:
    result = call(FakePorts(), "first-aid", "--test", text, "--json")
    assert list(json.loads(result.out)["answers"]["tests"].values()) == [level]


@pytest.mark.parametrize("done", [[], ["--done", "water-raw"], ["--done", "none"]])
def test_conditioner_is_one_dose_whichever_step_comes_first(done: list[str]) -> None:
    out = call(FakePorts(), "first-aid", "--see", "gasping", *done).out
    told = " ".join(out.split())
    bind, chlorine = "Take ammonia away", "onditioner for the"
    if bind in told and chlorine in told:
        assert told.count("do not dose again") == 1
        step = re.search(r"(?:dose|conditioner) of step (\d+)", told)
        assert step
        first = told[told.index(f"{step[1]}. ") :]
        assert first.index("once") < first.index("do not dose again") or "Once" in first
    else:
        assert "do not dose again" not in told


def test_acid_water_is_told_which_air_to_take() -> None:
    sentence = "Your pH is under 7: air lifts it"
    told = [
        " ".join(call(FakePorts(), "first-aid", "--see", "gasping", "--test", ph).out.split())
        for ph in ("ph 6.4", "ph 7.2", "ph 8")
    ]
    assert [sentence in each for each in told] == [True, False, False]
    unread = " ".join(call(FakePorts(), "first-aid", "--see", "gasping").out.split())
    for each in (unread, *told[1:]):  # one order: the air is on, and stays on
        assert "poisonous" not in each
        assert "he air stays on" in each or "Keep the air on full" in each


@pytest.mark.parametrize(
    ("done", "counted", "partly"),
    [
        (["none", "heat"], ["heat"], False),
        (["unsure", "heat"], ["heat"], True),
        (["heat", "none", "unsure"], ["heat"], True),
        (["none", "unsure"], [], False),
        (["unsure"], [], False),
        (["none"], ["none"], False),
    ],
)
def test_no_answer_cancels_another(done: list[str], counted: list[str], partly: bool) -> None:
    told = [word for each in done for word in ("--done", each)]
    answers = json.loads(call(FakePorts(), "first-aid", *told, "--json").out)["answers"]
    assert (answers["done"], answers["done_in_part"]) == (counted, partly)


def test_everything_misunderstood_is_told_at_once() -> None:
    told = ("--see", "gaspin", "--done", "moon", "--done", "treated")
    result = call(FakePorts(), "first-aid", *told, "--test", "pH abc", "--test", "moon 3")
    assert result.code == 2
    assert "4 problems" in result.err
    assert "Say one of: gasping." in result.err
    twice = call(FakePorts(), "first-aid", "--test", "ph 7", "--test", "ph 8")
    assert twice.code == 2
    assert "twice" in twice.err


def test_the_page_is_one_file_with_an_answer_under_every_pair(tmp_path: Path) -> None:
    file = tmp_path / "aid.html"
    result = call(FakePorts(), "first-aid", "--page", str(file))
    assert result.code == 0
    assert result.out == ""
    html = file.read_text(encoding="utf-8")
    pairs = len(aid_tables().seen) * (len(aid_tables().done) + 2)
    signs = len(aid_tables().seen)  # each with what to do before more is answered
    assert html.count("<ol ") == pairs + signs
    assert html.count("Dry your hands") == pairs + signs
    assert not re.search(r'(?:src|href|action)="', html)


def test_the_sheet_is_one_page_of_pdf(tmp_path: Path) -> None:
    file = tmp_path / "aid.pdf"
    assert call(FakePorts(), "first-aid", "--sheet", str(file)).code == 0
    data = file.read_bytes()
    assert data.startswith(b"%PDF-")
    assert len(re.findall(rb"/Type\s*/Page\b", data)) <= 1


def test_a_file_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    result = call(FakePorts(), "first-aid", "--page", str(tmp_path / "none" / "aid.html"))
    assert result.code == 2
    assert "cannot be written" in result.err


def test_every_key_of_the_tables_has_its_words() -> None:
    tables = aid_tables()
    wanted = [f"aid-see-{key}" for key in tables.seen]
    wanted += [f"aid-done-{key}" for key in (*tables.done, "none", "unsure")]
    wanted += [f"aid-cause-{key}" for key in tables.causes]
    kinds = {"do": "act", "leave": "left"}
    wanted += [f"aid-{kinds[act.kind]}-{act.key}" for act in tables.acts.values()]
    for test, levels in tables.levels.items():
        wanted += [f"aid-test-{test}", *(f"aid-level-{test}-{level}" for level in levels)]
    assert [key for key in wanted if key not in templates()] == []
