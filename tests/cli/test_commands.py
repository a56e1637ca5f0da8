"""Every command, its output and its exit code, with stand-ins for the outside parts."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, replace
from pathlib import Path

import pytest
from fake_ports import FakePorts
from sample_forecasts import sample_forecast, sample_poor
from typer.testing import CliRunner

from watervane import __version__
from watervane.app import BadInput
from watervane.cli.program import program
from watervane.records import Finding


@dataclass
class Result:
    code: int
    out: str
    err: str


def call(fake: FakePorts, *arguments: str, columns: int = 80) -> Result:
    runner = CliRunner(env={"COLUMNS": str(columns), "TERM": "dumb"})
    result = runner.invoke(program, list(arguments), obj=fake.ports)
    return Result(result.exit_code, result.stdout, result.stderr)


def test_sentences_come_first_then_the_picture_then_the_numbers_then_why() -> None:
    result = call(FakePorts(), "forecast", "any.tank.toml", "--full")
    assert result.code == 0
    places = [
        result.out.index(text)
        for text in (
            "will most likely peak",
            "Nitrite, mg N/L",
            "The next seven days: nitrite",
            "The numbers",
            "What was taken for granted",
            "not a promise",
        )
    ]
    assert places == sorted(places)
    assert "\x1b[" not in result.out


def test_what_is_needed_first_fits_two_screens_and_the_rest_waits_behind_full() -> None:
    short = call(FakePorts(), "forecast", "any.tank.toml")
    full = call(FakePorts(), "forecast", "any.tank.toml", "--full")
    assert len(short.out.splitlines()) <= 66 < len(full.out.splitlines())
    for text in ("will most likely peak", "settled", "not a promise", "--full"):
        assert text in short.out
    drawn = [name for name in ("Ammonia, mg", "Nitrite, mg", "Nitrate, mg") if name in short.out]
    assert len(drawn) == 1
    assert "The numbers" not in short.out


@pytest.mark.parametrize("option", ["--full", "--seed=1"])
@pytest.mark.parametrize("columns", [40, 60, 80, 120])
def test_no_line_is_wider_than_the_terminal(columns: int, option: str) -> None:
    result = call(FakePorts(), "forecast", "any.tank.toml", option, columns=columns)
    assert max(len(line.rstrip()) for line in result.out.splitlines()) <= columns


def test_options_reach_the_request() -> None:
    fake = FakePorts()
    options = ["--at", "2026-03-10", "--days", "9", "--seed", "4", "--members", "50"]
    assert call(fake, "forecast", "x.tank.toml", *options, "--threads", "1").code == 0
    request, as_of = fake.asked[0]
    assert (request.horizon_days, request.seed, request.members, request.threads) == (9, 4, 50, 1)
    assert as_of is not None
    assert as_of.isoformat() == "2026-03-10T23:59:00+00:00"


def test_json_is_the_document_alone() -> None:
    result = call(FakePorts(), "forecast", "x.tank.toml", "--json")
    assert json.loads(result.out)["format"] == "watervane-forecast/1"
    assert result.err == ""


def test_progress_goes_to_stderr_as_plain_lines() -> None:
    result = call(FakePorts(), "forecast", "x.tank.toml")
    assert result.err.splitlines() == [
        "Reading the file",
        "Weighing imagined tanks by the readings",
    ]


@pytest.mark.slow
def test_charts_are_written_in_every_asked_form(tmp_path: Path) -> None:
    paths = [tmp_path / "a.svg", tmp_path / "b.html"]
    options = [part for path in paths for part in ("--chart", str(path))]
    result = call(FakePorts(), "forecast", "x.tank.toml", *options)
    assert result.code == 0
    assert all(path.stat().st_size > 10_000 for path in paths)
    assert str(paths[1]) in result.err


def test_an_unknown_picture_form_is_refused_before_any_work() -> None:
    fake = FakePorts()
    result = call(fake, "forecast", "x.tank.toml", "--chart", "a.bmp")
    assert result.code == 2
    assert "a.bmp: a picture must end in .svg, .png, .pdf or .html." in result.err
    assert fake.asked == []


def test_an_unwritable_picture_is_said_plainly(tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("x")
    result = call(FakePorts(), "forecast", "x.toml", "--chart", str(blocked / "a.svg"))
    assert result.code == 2
    assert "cannot be written" in result.err
    assert "Traceback" not in result.err


@pytest.mark.parametrize("at", ["yesterday", "2026-13-01", "2026-03-12T25:00"])
def test_an_unreadable_date_is_refused(at: str) -> None:
    result = call(FakePorts(), "forecast", "x.toml", "--at", at)
    assert result.code == 2
    assert f"--at '{at}' is not a date" in result.err


@pytest.mark.parametrize(
    ("key", "code", "words"),
    [
        ("deep-fit-agrees", 0, "The usual quick look agrees"),
        ("deep-fit-disagrees", 3, "most of all about how fast the nitrite bacteria grow"),
    ],
)
def test_a_deep_look_tells_whether_the_usual_one_agrees(key: str, code: int, words: str) -> None:
    told = {"members": 4000, "unknown": "nitrite_oxidiser_growth_per_d"}
    forecast = sample_forecast()
    found = replace(forecast.diagnostics, findings=(Finding(key, "caution", told),))
    fake = FakePorts(forecast=replace(forecast, diagnostics=found))
    result = call(fake, "forecast", "x.tank.toml", "--deep")
    assert result.code == code
    assert words in " ".join(result.out.split())
    assert [request.deep for request, _ in fake.asked] == [True]
    call(fake, "forecast", "x.tank.toml")
    assert not fake.asked[-1][0].deep


def test_too_few_members_end_in_their_own_exit_code() -> None:
    result = call(FakePorts(forecast=sample_poor()), "forecast", "x.tank.toml")
    assert result.code == 3
    assert "Take care: the 8,000 imagined tanks" in result.out


def test_all_problems_of_a_file_with_their_lines() -> None:
    problems = [Finding("odd-thing", "problem", {"value": "x"}, line=9), Finding("b", line=3)]
    fake = FakePorts(failure=BadInput(problems, "my.tank.toml"))
    for command in ("forecast", "check"):
        result = call(fake, command, "my.tank.toml")
        assert result.code == 2
        assert result.out == ""
        assert "my.tank.toml has 2 problems:" in result.err
        assert result.err.index("line 3") < result.err.index("line 9: Odd thing: value x.")


def test_an_inner_failure_is_one_line_without_traceback() -> None:
    result = call(FakePorts(failure=RuntimeError("the\nmatrix broke")), "forecast", "x.toml")
    assert result.code == 1
    message = result.err.strip().splitlines()[-1]
    assert "RuntimeError: the matrix broke" in message
    assert __version__ in message
    assert "Please report" in message
    assert "Traceback" not in result.err


def test_interruption_ends_cleanly() -> None:
    result = call(FakePorts(failure=KeyboardInterrupt()), "forecast", "x.toml")
    assert result.code == 130
    assert "Traceback" not in result.err


def test_scores_are_said_then_listed() -> None:
    fake = FakePorts()
    result = call(fake, "score", "x.tank.toml", "--every", "3 d", "--members", "60")
    assert result.code == 0
    places = [
        result.out.index(text)
        for text in ("Of 43 later readings", "closer than", "By quantity", "By day of the forecast")
    ]
    assert places == sorted(places)
    assert (fake.replayed[0].every_days, fake.replayed[0].members) == (3, 60)
    assert result.err.splitlines() == [
        "Reading the file",
        "Foretelling the log again from earlier days",
    ]
    document = call(FakePorts(), "score", "x.tank.toml", "--json")
    assert json.loads(document.out) == {"format": "watervane-scores/1"}
    assert document.err == ""


def test_scores_can_be_drawn(tmp_path: Path) -> None:
    out = tmp_path / "scores.svg"
    result = call(FakePorts(), "score", "x.tank.toml", "--chart", str(out))
    assert result.code == 0
    drawn = out.read_text(encoding="utf-8")
    for text in ("claimed, %", "days ahead", "Watervane", "the trend", "to 14"):
        assert text in drawn
    page = call(FakePorts(), "score", "x.tank.toml", "--chart", "scores.html")
    assert page.code == 2
    assert "must end in .svg, .png or .pdf" in page.err


def test_scores_of_forecasts_that_few_members_carry_warn() -> None:
    fake = FakePorts()
    poor = tuple(replace(moment, health="poor") for moment in fake.scores.moments)
    fake.scores = replace(fake.scores, moments=poor)
    assert call(fake, "score", "x.tank.toml").code == 3


@pytest.mark.parametrize("every", ["x", "0", "-1", "1.5"])
def test_odd_days_between_moments_are_refused(every: str) -> None:
    result = call(FakePorts(), "score", "x.tank.toml", f"--every={every}")
    assert result.code == 2
    assert "is no number of days" in result.err


def test_stored_forecasts_of_another_tank_or_moment_are_refused() -> None:
    fine = call(FakePorts(), "score", "x.tank.toml", "--stored", "a.json", "--stored", "b.json")
    assert fine.code == 0
    both = call(FakePorts(), "score", "x.tank.toml", "--stored", "a.json", "--every", "3")
    assert "goes neither with --stored nor with --kept" in both.err
    fake = FakePorts()
    fake.stored = replace(fake.stored, tank="Another")
    other = call(fake, "score", "x.tank.toml", "--stored", "a.json")
    assert other.code == 2
    assert "a.json is a forecast of Another" in other.err
    fake = FakePorts()
    fake.scores = replace(fake.scores, rows=())
    nothing = call(fake, "score", "x.tank.toml", "--stored", "a.json")
    assert nothing.code == 2
    assert "nothing to score" in nothing.err


def test_check_says_what_it_found() -> None:
    result = call(FakePorts(), "check", "x.tank.toml")
    assert result.code == 0
    assert " ".join(result.out.split()) == (
        "x.tank.toml is in order. Readings: 11. Events: 3. Habits (events with every): 2."
    )
    noted = call(
        FakePorts(findings=(Finding("basis-unknown", arguments={"quantities": ["nitrate"]}),)),
        "check",
        "x.tank.toml",
    )
    assert "as N or as the ion" in " ".join(noted.out.split())


def test_schema_is_json() -> None:
    assert json.loads(call(FakePorts(), "schema").out) == {"title": "tank file"}


def test_sources_all_one_and_none() -> None:
    assert "petersen1965" in call(FakePorts(), "sources").out
    one = call(FakePorts(), "sources", "flesch1948").out
    assert "1948" in one
    assert "petersen1965" not in one
    none = call(FakePorts(), "sources", "flesch1949")
    assert none.code == 2
    assert "Did you mean flesch1948?" in none.err


@pytest.mark.slow
def test_demo_foretells_twice_and_says_where_the_pictures_are(tmp_path: Path) -> None:
    fake = FakePorts()
    out = tmp_path / "pictures"
    result = call(fake, "demo", "--out", str(out))
    assert result.code == 0, result.err
    assert [as_of.date().isoformat() for _, as_of in fake.asked if as_of] == [
        "2026-03-12",
        "2026-03-24",
    ]
    assert re.search(r"day 24, .*\d+ days wide", " ".join(result.out.split()))
    names = {path.name for path in out.iterdir()}
    assert names == {f"demo-day{day}.{end}" for day in (12, 24) for end in ("svg", "png", "html")}
    assert str(out) in result.out.replace("\n", "")


def test_version_and_usage() -> None:
    assert call(FakePorts(), "--version").out.strip() == f"watervane {__version__}"
    assert call(FakePorts(), "forecast").code == 2
    assert call(FakePorts(), "forecast", "x.toml", "--days", "0").code == 2
