"""``watervane quarantine``: words in, a plan out; what cannot be read is refused at once."""

from __future__ import annotations

import json

import pytest
from fake_ports import FakePorts
from test_commands import call

BASE = ("quarantine", "--volume", "20 L", "--animals", "6 Danio rerio 3 cm")


def test_how_long_comes_first_then_the_load_then_ways_then_what_to_know() -> None:
    more = ("--seeded", "0.05 L", "--treated", "--temperature", "72 degF", "--ph", "8.8")
    result = call(FakePorts(), *BASE, *more)
    assert result.code == 0, result.err
    text = " ".join(result.out.split())
    places = [
        text.index(told)
        for told in ("A bare tank of 20", "Keep them apart", "they weigh about",
                     "By water changes alone",
                     "from a settled tank", "treatment hurts", "A bath of half an hour",
                     "Ichthyophthirius", "veterinarian", "free ammonia")
    ]  # fmt: skip
    assert places == sorted(places)


def test_the_document_holds_every_number() -> None:
    document = json.loads(call(FakePorts(), *BASE, "--json").out)
    assert document["format"] == "watervane-quarantine/1"
    assert document["days"] == 28
    assert [each["way"] for each in document["ways"]] == ["changes"]
    assert len(document["parasites"]) == 7


@pytest.mark.parametrize(
    ("told", "text"),
    [
        (("quarantine", "--animals", "6 Danio rerio"), "volume"),
        (("quarantine", "--volume", "20 L"), "animals in it"),
        (("quarantine", "--volume", "20 kg", "--animals", "6 Danio rerio"), "20 kg"),
        (("quarantine", "--volume", "0 L", "--animals", "6 Danio rerio"), "from 0.5 to 5000 L"),
        ((*BASE, "--food", "1 pinch"), "pinch"),
        ((*BASE, "--medium", "moon dust"), "moon dust"),
    ],
)
def test_what_cannot_be_read_is_refused_in_one_message(told: tuple[str, ...], text: str) -> None:
    result = call(FakePorts(), *told)
    assert result.code == 2, result.out
    assert text in " ".join(result.err.split())
