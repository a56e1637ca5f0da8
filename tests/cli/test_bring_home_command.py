"""``watervane bring-home``: in the order of the work, and every wrong option at once."""

from __future__ import annotations

import json

import pytest
from fake_ports import FakePorts
from test_commands import call

GOOD = ("bring-home", "x.tank.toml", "--animals", "6 Danio rerio", "--hours", "2")


def test_the_bag_comes_first_then_the_work_in_order() -> None:
    result = call(FakePorts(), *GOOD)
    assert result.code == 0
    places = [
        result.out.index(text)
        for text in ("most likely holds", "dripping in", "1. Before", "Never pour", "quarantine")
    ]
    assert places == sorted(places)
    assert "{" not in result.out
    assert "bring-" not in result.out


def test_json_holds_the_trip_and_the_advice() -> None:
    document = json.loads(call(FakePorts(), *GOOD, "--json", "--gas", "oxygen").out)
    assert document["format"] == "watervane-homecoming/1"
    assert (document["trip"]["count"], document["trip"]["gas"]) == (6, "oxygen")
    assert document["advice"][-1]["key"] == "bring-rest"
    assert document["arriving"]["oxygen_mg_per_l"]["p50"] > 20.0


def test_every_wrong_option_is_named_at_once() -> None:
    result = call(
        FakePorts(), "bring-home", "x", "--animals", "guppies", "--hours", "999", "--ph", "2"
    )
    assert result.code == 2
    for text in ("'guppies'", "--hours 999", "--ph 2"):
        assert text in result.err
    assert "Traceback" not in result.err


@pytest.mark.parametrize("hours", ["nan", "inf", "-1", "soon"])
def test_impossible_hours_are_refused(hours: str) -> None:
    assert call(FakePorts(), *GOOD[:-1], hours).code == 2
