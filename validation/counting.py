"""Readings beside the forecast that did or did not see them, and how many it foretold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from watervane.engine import Hindsight
from watervane.forecast.scores import share_inside
from watervane.inference.kits import reading_interval
from watervane.records import COVERED, OWN, QUANTILES, Mark, Reading, ScoreRow, Tank

SCORED = ("ammonia", "nitrite", "nitrate", "ph", "kh")
WIDEST = 0.9  # of the ranges; what lies outside is a miss


@dataclass(frozen=True)
class Beside:
    """One reading and what was foretold for it, in the reading's canonical unit.

    Parameters
    ----------
    interval
        What the reading allows; open ends are infinite.
    quantiles
        At `QUANTILES`, of what the water holds.
    row
        Its scores; ``None`` where the forecast knew it, or where another of the same kit was
        read within hours.
    """

    reading: Reading
    interval: tuple[float, float]
    quantiles: tuple[float, ...]
    row: ScoreRow | None

    @property
    def mark(self) -> Mark | None:
        """What the forecast earned."""
        return None if self.row is None else self.row.marks[OWN]

    @property
    def side(self) -> int:
        """1 above the 90 % range, -1 below it, else 0; by the middle of a coarse step."""
        if self.mark is None:
            return 0
        middle = 0.5 * sum(self.mark.place)
        return int(middle > 0.5 * (1.0 + WIDEST)) - int(middle < 0.5 * (1.0 - WIDEST))

    @property
    def narrowest(self) -> float | None:
        """The narrowest of the `COVERED` ranges that holds the middle of its step."""
        if self.mark is None:
            return None
        middle = 0.5 * sum(self.mark.place)
        return next((c for c in COVERED if abs(middle - 0.5) <= 0.5 * c), None)


def beside(tank: Tank, made: Hindsight) -> list[Beside]:
    """Put readings of the scored quantities beside what the members held.

    Parameters
    ----------
    tank
        For its kits.
    made
        A forecast of its log.
    """
    scores = {(row.at, row.quantity, row.kit): row for row in made.rows}
    return [
        Beside(
            reading,
            reading_interval(reading, tank.kits.get(reading.kit) if reading.kit else None),
            tuple(float(q) for q in np.quantile(held, QUANTILES)),
            scores.get((reading.at, reading.quantity, reading.kit)),
        )
        for reading, held in zip(made.readings, made.levels, strict=True)
        if reading.quantity in SCORED
    ]


@dataclass(frozen=True)
class Tally:
    """How many readings lie inside the ranges of `COVERED`, and how many above or below."""

    count: int
    inside: tuple[float, ...]
    above: int
    below: int


def tally(rows: Sequence[Beside]) -> Tally:
    """Count scored readings inside each range, coarse steps in part."""
    marks = [row.mark for row in rows if row.mark is not None]
    return Tally(
        len(marks),
        tuple(sum(share_inside(m.place, level) for m in marks) for level in COVERED),
        sum(row.side > 0 for row in rows),
        sum(row.side < 0 for row in rows),
    )
