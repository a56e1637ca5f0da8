"""The emblem as drawing commands: twenty circles in rows of five, the broken ones struck."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

MARKS, ACROSS = 20, 5
STEP, RADIUS, REACH = 12, 4, 5.5


@dataclass(frozen=True, slots=True)
class MarkedPaths:
    """Path data in a box of 60 by 48."""

    circles: str
    strokes: str


@cache
def marked_paths(struck: int) -> MarkedPaths:
    """The marks of a day with so many of them struck, the last ones first."""
    centres = [
        (STEP // 2 + STEP * (mark % ACROSS), STEP // 2 + STEP * (mark // ACROSS))
        for mark in range(MARKS)
    ]
    circles = "".join(
        f"M{x - RADIUS} {y}a{RADIUS} {RADIUS} 0 1 0 {2 * RADIUS} 0"
        f"a{RADIUS} {RADIUS} 0 1 0 -{2 * RADIUS} 0"
        for x, y in centres
    )
    broken = centres[MARKS - struck :] if struck else []
    strokes = "".join(
        f"M{x - REACH:g} {y + REACH:g}L{x + REACH:g} {y - REACH:g}" for x, y in broken
    )
    return MarkedPaths(circles, strokes)
