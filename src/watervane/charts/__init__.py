"""Forecasts as pictures: one specification for page, SVG, PNG and PDF."""

from watervane.charts.picture import Emblem, EmblemDay, Flag, Mark, Panel, Picture, Words, WordTable
from watervane.charts.readings import ReadingBar, reading_bars
from watervane.charts.render import ENDINGS, render, write_picture

__all__ = [
    "ENDINGS",
    "Emblem",
    "EmblemDay",
    "Flag",
    "Mark",
    "Panel",
    "Picture",
    "ReadingBar",
    "WordTable",
    "Words",
    "reading_bars",
    "render",
    "write_picture",
]
