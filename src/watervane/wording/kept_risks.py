"""Whether what is advised is all that could be done."""

from __future__ import annotations

from watervane.records import Today, WeekPlan

OF_HARM = ("acute", "chronic")


def least_that_keeps(today: Today) -> WeekPlan | None:
    """The way of more work that keeps harm under the risks accepted; ``None`` where none does.

    A judgement may advise less: work is weighed against what it gains.
    """
    advised = 0.0 if today.chosen is None else today.chosen.minutes
    ways = [
        way
        for way in today.frontier
        if way.minutes > advised
        and all(way.chances[tier] <= today.allowed.of(tier) for tier in OF_HARM)
    ]
    return min(ways, key=lambda way: way.minutes, default=None)
