"""The level of *settled* has one home: pictures, sentences and pages print what it says."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from sample_forecasts import sample_forecast, sample_tank

from watervane.app import picture_of
from watervane.records import SettledLevels
from watervane.wording import summary

ROOT = Path(__file__).parents[2]
LEVELS = SettledLevels()


@pytest.mark.parametrize("basis", ["usual", "n", "ion"])
def test_the_settled_line_stands_at_the_settled_level(basis: str) -> None:
    picture = picture_of(sample_forecast(), sample_tank(), basis=basis)
    for panel in picture.panels:
        marks = [mark.value for mark in panel.marks if "settled" in mark.label]
        if panel.quantity in ("ammonia", "nitrite"):
            assert marks == [LEVELS.of(panel.quantity) * panel.factor]
        else:
            assert marks == []


def test_the_keepers_own_levels_reach_picture_and_sentences() -> None:
    own = SettledLevels(0.35, 0.07)
    forecast = replace(sample_forecast(), settled_levels=own)
    for panel in picture_of(forecast, sample_tank()).panels:
        if panel.quantity in ("ammonia", "nitrite"):
            (mark,) = (mark for mark in panel.marks if "settled" in mark.label)
            assert mark.value == own.of(panel.quantity)
    assert "ammonia stays under 0.35 and nitrite under 0.07 mg" in " ".join(summary(forecast))


def test_sentences_and_pages_name_the_settled_levels() -> None:
    told = [" ".join(summary(sample_forecast()))]
    told += [(ROOT / name).read_text(encoding="utf-8") for name in ("README.md", "glossary.md")]
    pattern = re.compile(r"ammonia (?:stays )?under ([0-9.]+) and nitrite under ([0-9.]+) mg")
    for text in told:
        (found,) = pattern.findall(text)
        assert [float(level) for level in found] == [LEVELS.of("ammonia"), LEVELS.of("nitrite")]
