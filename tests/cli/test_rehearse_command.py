"""``watervane rehearse``: what it says, in what order, and what it refuses."""

from __future__ import annotations

import json

import pytest
from fake_ports import FakePorts
from test_commands import call

from watervane.engine import MISHAP_KINDS


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
            "as planned",
            "1.0 (0.50 to 1.5)",
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
