"""The emblem in characters: twenty marks a day, the broken ones struck."""

from __future__ import annotations

from watervane.charts import Emblem
from watervane.cli.glyphs import Glyphs

MARKS, ACROSS = 20, 5
GAP = 2


def emblem_lines(emblem: Emblem, width: int, glyphs: Glyphs) -> list[str]:
    """Seven blocks side by side, in two rows of blocks where the terminal is narrow."""
    blocks = [_block(day.label, day.struck, day.text, glyphs) for day in emblem.days]
    size = max(len(line) for block in blocks for line in block) + GAP
    across = max(1, min(len(blocks), (width + GAP) // size))
    lines: list[str] = []
    for start in range(0, len(blocks), across):
        row = blocks[start : start + across]
        lines += [_beside(parts, size) for parts in zip(*row, strict=True)]
        lines.append("")
    return lines


def _block(label: str, struck: int, text: str, glyphs: Glyphs) -> list[str]:
    marks = glyphs.kept * (MARKS - struck) + glyphs.struck * struck
    rows = [marks[start : start + ACROSS] for start in range(0, MARKS, ACROSS)]
    return [label, *rows, text]


def _beside(parts: tuple[str, ...], size: int) -> str:
    return "".join(part.ljust(size) for part in parts).rstrip()
