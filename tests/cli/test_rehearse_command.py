"""``watervane rehearse``: what it says, in what order, and what it refuses."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from fake_ports import FakePorts
from sample_rehearsals import sample_rehearsals
from test_commands import call

from watervane.cli.rehearse import MEANT
from watervane.engine import MISHAP_KINDS
from watervane.records import Extreme, Mishap, NumberQuantiles, Rehearsal, ToldLimit
from watervane.wording import rehearsal_sentences, rehearsal_table
from watervane.wording.rehearsals import rehearsal_advice


def test_the_mishap_comes_first_then_what_is_worse_then_what_to_do_then_the_table() -> None:
    result = call(FakePorts(), "rehearse", "x.tank.toml", "--what", "power-cut=8")
    assert result.code == 0
    places = [
        result.out.index(text)
        for text in (
            "Suppose the power is off for 8 hours",
            "Oxygen would then be under 3 mg/L",
            "about 50 %",
            "touch",
            "with it",
            "1.0 (0.50–1.5)",
        )
    ]
    assert places == sorted(places)
    assert "pH would then" not in result.out, "two more of a hundred are not worth a sentence"


@pytest.mark.parametrize("kind", list(MISHAP_KINDS))
def test_every_kind_has_its_words_and_its_usual_size(kind: str) -> None:
    fake = FakePorts()
    result = call(fake, "rehearse", "x.tank.toml", "--what", kind)
    assert result.code == 0
    (request,) = fake.rehearsed
    assert request.mishaps[0].size == MISHAP_KINDS[kind].usual
    assert "mishap-" not in result.out
    assert "{" not in result.out


def test_without_a_mishap_the_kinds_are_listed_and_nothing_is_run() -> None:
    fake = FakePorts()
    result = call(fake, "rehearse", "x.tank.toml")
    assert result.code == 0
    assert all(kind in result.out for kind in MISHAP_KINDS)
    assert fake.rehearsed == []


def test_every_wrong_mishap_is_named_at_once() -> None:
    result = call(FakePorts(), "rehearse", "x.tank.toml", "--what", "flood", "--what", "no-food=99")
    assert result.code == 2
    assert "'flood'" in result.err
    assert "from 1 to 60 days" in result.err
    assert "Traceback" not in result.err


@pytest.mark.parametrize("text", ["power-cut=abc", "power-cut=", "=8", "power-cut=nan"])
def test_what_cannot_be_read_is_refused(text: str) -> None:
    code = call(FakePorts(), "rehearse", "x.tank.toml", "--what", text).code
    assert code == (0 if text == "power-cut=" else 2)


def test_json_holds_both_futures() -> None:
    result = call(FakePorts(), "rehearse", "x.tank.toml", "--what", "food-spilt=5", "--json")
    document = json.loads(result.out)
    assert document["format"] == "watervane-rehearsals/1"
    (one,) = document["rehearsals"]
    assert (one["mishap"], one["size"]) == ("food-spilt", 5.0)
    oxygen = next(e for e in one["extremes"] if e["series"] == "oxygen_mg_per_l")
    assert oxygen["side"] == "lowest"
    assert oxygen["as_planned"]["p50"] == 2.0 * oxygen["with_mishap"]["p50"]
    assert one["chance_passed"]["oxygen_below_3_mg_per_l"]["with_mishap"] == 0.4


def one_of(kind: str, **told: object) -> Rehearsal:
    (one,) = sample_rehearsals([Mishap(kind, 1.0)]).rehearsed
    return replace(one, **told)


NITRITE = ToldLimit(
    "nitrite_chronic_tolerant", "chronic", "nitrite", "nitrite_mg_n_per_l", "above", 2.0, 1.0,
    "tolerant", ("guppy",), "bc_nitrite", "", "published",
)  # fmt: skip


def test_a_limit_passed_from_the_start_is_told_with_how_long_and_how_far() -> None:
    middles = (NumberQuantiles(*(level,) * 5) for level in (3.0, 4.5))
    told = one_of(
        "filter-under-tap",
        passed={"nitrite_chronic": (0.9, 0.91)},
        days_beyond={"nitrite_chronic": (12.0, 17.0)},
        limits={"nitrite_chronic": NITRITE},
        extremes=(Extreme("nitrite_mg_n_per_l", True, *middles),),
    )
    every = sample_rehearsals([told.mishap])
    text = " ".join(rehearsal_sentences(told, every))
    assert "Nitrite is over 2.0 mg N/L already as planned, in 18 of 20" in text
    assert "17 of the 21 days instead of 12" in text
    assert "up to 4.5 mg N/L instead of 3.0 mg N/L" in text
    still = replace(told, days_beyond={"nitrite_chronic": (12.0, 12.1)}, extremes=())
    text = " ".join(rehearsal_sentences(still, every))
    assert "neither longer nor farther with this: nitrite over 2.0 mg N/L (18 of 20)" in text
    assert "instead of" not in text


@pytest.mark.parametrize("kind", list(MISHAP_KINDS))
def test_every_kind_says_what_to_do(kind: str) -> None:
    assert len(rehearsal_advice(one_of(kind))) > 60
    assert "{" not in rehearsal_advice(one_of(kind))


def test_warmth_comes_back_at_the_rate_those_in_the_tank_bear() -> None:
    assert "by no more than 1.5 °C an hour" in rehearsal_advice(
        one_of("heater-stuck", warmth_change_c_per_h=1.5)
    )
    assert "°C an hour" not in rehearsal_advice(one_of("heater-stuck"))


@pytest.mark.parametrize("columns", [40, 80])
def test_the_table_shows_what_changes_and_all_with_full(columns: int) -> None:
    call_of = ("rehearse", "x.tank.toml", "--what", "power-cut")
    short = call(FakePorts(), *call_of, columns=columns)
    full = call(FakePorts(), *call_of, "--full", columns=columns)
    assert "temperature" not in short.out, "the same both times"
    assert "temperature" in full.out
    assert "lowest pH" in short.out
    for told in (short, full):
        assert max(len(line) for line in told.out.splitlines()) <= columns
        assert not any(line != line.rstrip() for line in told.out.splitlines())


@pytest.mark.parametrize(
    ("told", "near"), [("holiday=9", "no-food"), ("powercut", "power-cut"), ("fry", "young-fish")]
)
def test_keepers_own_words_lead_to_the_kind(told: str, near: str) -> None:
    result = call(FakePorts(), "rehearse", "x.tank.toml", "--what", told)
    assert result.code == 2
    assert f"Did you mean {near}?" in result.err
    assert set(MEANT.values()) <= set(MISHAP_KINDS)


def test_a_step_of_rounding_has_no_row_of_its_own() -> None:
    ends = [NumberQuantiles(0.02, 0.04, 0.06, 0.2, high) for high in (0.40, 0.39, 0.6)]
    mishap = sample_rehearsals([Mishap("no-changes", 14.0)])
    for changed, rows in ((ends[1], 0), (ends[2], 1)):
        extremes = (Extreme("ammonia_mg_n_per_l", True, ends[0], changed),)
        one = replace(mishap.rehearsed[0], extremes=extremes, passed={})
        assert len(rehearsal_table(one, mishap.horizon_days, full=False).rows) == rows
        assert len(rehearsal_table(one, mishap.horizon_days).rows) == 1
