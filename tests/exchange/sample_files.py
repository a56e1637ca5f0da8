"""A tank file with every table in it, and ways to spoil it."""

from __future__ import annotations

import string
from pathlib import Path

from watervane.exchange import TankFileErrors, parse_tank_text
from watervane.records import Finding
from watervane.wording import finding_text
from watervane.wording.templates import templates

DATA = Path(__file__).parent / "data"
FULL = (DATA / "full.tank.toml").read_text("utf-8")


def line_of(text: str, needle: str) -> int:
    """Line of the first place of ``needle``, counted from 1."""
    return text[: text.index(needle)].count("\n") + 1


def problems_in(text: str) -> tuple[Finding, ...]:
    """Problems of a text; each must have a sentence that uses what it is told."""
    try:
        parse_tank_text(text)
    except TankFileErrors as error:
        for problem in error.problems:
            assert_well_said(problem)
        return error.problems
    return ()


def assert_well_said(finding: Finding) -> None:
    """The finding has a template, and every argument the template wants."""
    template = templates()[finding.key]
    wanted = {field for _, field, _, _ in string.Formatter().parse(template) if field}
    assert wanted <= finding.arguments.keys(), (finding.key, wanted - finding.arguments.keys())
    text = finding_text(finding)
    assert not any("{" + field + "}" in text for field in wanted)
    assert text.endswith((".", "?"))
