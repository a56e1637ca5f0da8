"""A code for cameras (ISO/IEC 18004) as the path of one drawing."""

from __future__ import annotations

from dataclasses import dataclass

import segno

QUIET = 4  # modules of paper around it, as the standard asks


@dataclass(frozen=True, slots=True)
class Square:
    """Path data in a box of ``side`` modules."""

    side: int
    path: str


def square_of(text: str) -> Square:
    """The drawing of a text: each run of dark modules is one stroke."""
    rows = tuple(segno.make(text, error="m", micro=False).matrix)
    strokes = []
    for y, row in enumerate(rows):
        x = 0
        while x < len(row):
            run = x
            while run < len(row) and row[run]:
                run += 1
            if run > x:
                strokes.append(f"M{x + QUIET} {y + QUIET}h{run - x}v1h-{run - x}z")
            x = max(run, x + 1)
    return Square(len(rows) + 2 * QUIET, "".join(strokes))
