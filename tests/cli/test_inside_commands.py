"""``watervane ledger`` and ``colonies``: what they say, print, draw and refuse."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from fake_ports import FakePorts
from sample_inside import FakeInside, sample_colonies, sample_ledger
from test_commands import call

from watervane.exchange.inside_json import (
    colonies_document,
    colonies_from,
    ledger_document,
    ledger_from,
)

FILE = "x.tank.toml"


def test_the_ledger_sums_up_in_its_first_sentence_and_adds_up_in_its_table() -> None:
    result = call(FakePorts(), "ledger", FILE)
    words = " ".join(result.out.split())
    assert result.code == 0
    said = "Since filling on Sunday 1 March, 510 mg of nitrogen came in"
    assert words.index(said) < words.index("In the next seven days") < words.index("Came in")
    assert "food 243" in words
    assert "150 mg left (water drained 138 and escaped as gas 12)" in words
    assert "with the 101 mg that were there at the beginning the tank now holds 461 mg" in words
    assert "nitrate rises by 0.92 mg N/L" in words
    assert "{" not in result.out
    assert "ledger-" not in result.out


def test_the_colonies_lead_with_whether_they_carry_their_load() -> None:
    result = call(FakePorts(), "colonies", FILE)
    words = " ".join(result.out.split())
    assert result.code == 0
    first = words.index("The ammonia eaters carry what is offered to them in more than 19 of 20")
    assert first < words.index("could turn over 68 mg of nitrogen a day (41 to 102)")
    assert "nitrite stands higher than it should" in words
    assert "60 % of them live in the bed, 20 % in the filter" in words
    assert "leave the filter alone" in words
    assert "Nitrite eaters, filter" in words
    assert "{" not in result.out
    assert "colonies-" not in result.out


def test_where_both_carry_their_load_what_a_cleaning_leaves_is_told() -> None:
    fake = FakePorts(inside=FakeInside(colonies=sample_colonies(nitrite_chance=0.95)))
    words = " ".join(call(fake, "colonies", FILE).out.split())
    assert "Both colonies carry what is offered" in words
    assert "leave the filter alone" not in words
    assert "What stays would carry today's load in 18 of 20, 17 of 20 and 15 of 20" in words


@pytest.mark.parametrize("command", ["ledger", "colonies"])
def test_options_reach_the_engine(command: str) -> None:
    fake = FakePorts()
    call(fake, command, FILE, "--members", "80", "--seed", "7", "--threads", "1")
    (request,) = fake.inside.asked
    assert (request.members, request.seed, request.threads) == (80, 7, 1)
    assert request.as_of is None


def test_days_ahead_are_asked_of_the_colonies() -> None:
    fake = FakePorts()
    call(fake, "colonies", FILE, "--days", "9")
    assert fake.inside.asked[0].horizon_days == 9


def test_documents_are_printed_whole_and_read_back() -> None:
    for command, document, read, sample in (
        ("ledger", ledger_document, ledger_from, sample_ledger()),
        ("colonies", colonies_document, colonies_from, sample_colonies()),
    ):
        result = call(FakePorts(), command, FILE, "--json")
        told = json.loads(result.out)
        assert told == json.loads(json.dumps(document(sample)))
        assert told["format"] == f"watervane-{command}/1"
        assert json.loads(json.dumps(document(read(told)))) == told


@pytest.mark.parametrize("command", ["ledger", "colonies"])
def test_pictures_are_written_in_every_form_and_others_refused(
    command: str, tmp_path: Path
) -> None:
    heads = {".svg": b"<svg", ".png": b"\x89PNG", ".pdf": b"%PDF"}
    for ending, head in heads.items():
        target = tmp_path / f"out{ending}"
        assert call(FakePorts(), command, FILE, "--chart", str(target)).code == 0
        assert target.read_bytes().startswith(head)
    fake = FakePorts()
    refused = call(fake, command, FILE, "--chart", "x.html", "--chart", "y.gif")
    assert refused.code == 2
    assert "x.html" in refused.err
    assert "y.gif" in refused.err
    assert not fake.inside.asked


def test_a_document_of_another_format_is_refused() -> None:
    told = ledger_document(sample_ledger())
    with pytest.raises(ValueError, match="format"):
        colonies_from(told)
    with pytest.raises(KeyError):
        ledger_from({**told, "stretches": [{"key": "since"}]})
