"""Whether what is advised is all that could be done."""

from __future__ import annotations

from watervane.records import Today, WeekPlan

OF_HARM = ("acute", "chronic")
LEAST_CHANCE, LEAST_BURDEN = 0.01, 0.1  # of a chance, of a burden: less is not worth a sentence


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


def gains(way: WeekPlan, planned: WeekPlan) -> bool:
    """Whether a way leaves less of any risk than what is planned, in chance or in burden."""
    return any(
        way.chances[tier] <= planned.chances[tier] - LEAST_CHANCE
        or way.burden.get(tier, 0.0) < (1.0 - LEAST_BURDEN) * planned.burden.get(tier, 0.0)
        for tier in planned.chances
    )
