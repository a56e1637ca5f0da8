"""The marks of a terminal chart, distinct without any colour."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Glyphs:
    """One mark for each thing a cell can show."""

    outer: str
    inner: str
    median: str
    reading: str
    reading_late: str
    open_top: str
    limit: str
    now: str
    axis: str
    tick: str
    corner: str
    floor: str
    floor_tick: str
    bullet: str
    kept: str
    struck: str


BLOCKS = Glyphs("░", "▒", "━", "█", "▏", "▲", "╌", "┊", "│", "┤", "└", "─", "┬", "•", "○", "╳")
PLAIN = Glyphs(".", ":", "=", "#", "|", "^", "-", "!", "|", "+", "+", "-", "+", "*", "o", "x")


def glyphs_for(encoding: str | None) -> Glyphs:
    """Block marks where the terminal can print them all, else plain ASCII."""
    marks = "".join(getattr(BLOCKS, name) for name in Glyphs.__slots__)
    try:
        marks.encode(encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return PLAIN
    return BLOCKS
