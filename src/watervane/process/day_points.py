"""Moments of a day at which a row of the model begins."""

from __future__ import annotations

from watervane.process.day_program import Action

TINY_D = 1e-9
# Points of a day, in their order where they fall on one moment.
CUT, STOP, DONE = range(3)
Point = tuple[float, int, Action | None]


def apart(points: list[Point]) -> list[Point]:
    """Points without those that would only make a row of no length.

    A row costs as much whether time passes in it or not. What is looked at before something is
    done needs one; of cuts and looks that fall together one is enough, and none of cuts beside
    what is done.
    """
    kept: list[Point] = []
    for point in points:
        if kept and point[0] - kept[-1][0] < TINY_D:
            before, now = kept[-1][1], point[1]
            if now == CUT or before == now == STOP:
                continue
            if before == CUT:
                kept.pop()
        kept.append(point)
    return kept
