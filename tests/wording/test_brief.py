"""What was only assumed comes in one line; what needs the keeper stays whole."""

from __future__ import annotations

import tomllib
from importlib import resources

from watervane.records import Finding
from watervane.wording.brief import brief_findings
from watervane.wording.templates import templates


def test_assumptions_come_in_one_line_by_name_and_the_rest_whole() -> None:
    bed, room = Finding("assumed-bed", "info", {}), Finding("assumed-room-temperature", "info", {})
    log = Finding("few-members-agree", "caution", {})
    lines = brief_findings((bed, log, room, bed))
    assert len(lines) == 2
    assert "Few imagined tanks agree" in lines[0]
    assert "the bed and the warmth of the room" in lines[1]
    assert "--full" in lines[1]
    assert brief_findings((log,)) == lines[:1]
    assert "the bed." in brief_findings((bed,))[0]


def test_only_assumptions_are_shortened() -> None:
    place = resources.files("watervane.wording").joinpath("findings.toml")
    named = [key for key in tomllib.loads(place.read_text("utf-8")) if key.startswith("brief-")]
    keys = {key.removeprefix("brief-") for key in named} - {"assumed", "assumed-one"}
    assert keys <= templates().keys()
    assert all(key.startswith("assumed-") for key in keys)
