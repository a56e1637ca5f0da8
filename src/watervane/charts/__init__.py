"""Forecasts as pictures: one specification for page, SVG, PNG and PDF."""

from watervane.charts.picture import Emblem, EmblemDay, Flag, Mark, Panel, Picture, Words, WordTable
from watervane.charts.readings import ReadingBar, reading_bars
from watervane.charts.render import (
    ENDINGS,
    SCORE_ENDINGS,
    render,
    write_picture,
    write_score_picture,
)
from watervane.charts.score_spec import ScorePicture

__all__ = [
    "ENDINGS",
    "SCORE_ENDINGS",
    "Emblem",
    "EmblemDay",
    "Flag",
    "Mark",
    "Panel",
    "Picture",
    "ReadingBar",
    "ScorePicture",
    "WordTable",
    "Words",
    "reading_bars",
    "render",
    "write_picture",
    "write_score_picture",
]
