"""The level of *settled* has one home: pictures, sentences and pages print what it says."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from sample_forecasts import sample_forecast, sample_tank
from sample_today import LIMIT

from watervane.app import picture_of
from watervane.app.pictures import MOST_LETTERS, panel_of
from watervane.records import SettledLevels, ToldLimit
from watervane.wording import summary
from watervane.wording.shown import shown_series

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


def limit(tier: str, level: float, *animals: str) -> ToldLimit:
    return replace(
        LIMIT,
        key=f"nitrite_{tier}",
        tier=tier,
        subject="nitrite",
        quantity="nitrite_mg_n_per_l",
        level=level,
        animals=animals,
        total_mg_n_per_l=None,
    )


def labels(*limits: ToldLimit) -> list[str]:
    told = {f"nitrite_{each.tier}": each for each in limits}
    risk = dict.fromkeys(told, (0.1,) * 7)
    forecast = replace(sample_forecast(), limits=told, risk=risk)
    shown = next(each for each in shown_series() if each.quantity == "nitrite")
    return [mark.label for mark in panel_of(shown, forecast).marks if "settled" not in mark.label]


def test_lines_of_different_animals_say_whose_they_are() -> None:
    tetra, snail = limit("acute", 0.11, "neon tetra"), limit("comfort", 0.2, "nerite snail")
    assert labels(tetra, snail) == [
        "may harm at once over 0.11: neon tetra",
        "comfort ends over 0.2: nerite snail",
    ]
    assert labels(tetra) == ["may harm at once over 0.11"], "one animal, nothing to tell apart"
    many = limit("comfort", 0.2, "nerite snail", "guppy", "cherry shrimp", "zebra danio")
    told = labels(tetra, many)
    assert told[1] == "comfort ends over 0.2: nerite snail, 3 more"
    assert all(len(each) <= MOST_LETTERS for each in told)
    long = limit("comfort", 0.2, "an animal with a name that no label has room for")
    assert labels(tetra, long)[1] == "comfort ends over 0.2"
