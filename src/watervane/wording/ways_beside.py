"""The ways through the next week side by side: what less risk costs in work."""

from __future__ import annotations

from collections.abc import Sequence

from watervane.records import Today, WeekPlan
from watervane.wording.amounts import brief_share, listed
from watervane.wording.tables import NumberTable
from watervane.wording.templates import phrase
from watervane.wording.today import TIERS, short_act

MOST_ROWS = 8


def ways_table(today: Today) -> NumberTable:
    """The frontier: what less risk costs in work."""
    rows = [
        (
            (listed([short_act(act) for act in way.acts]) or phrase("short-nothing"))
            + (" *" if today.chosen is not None and way.acts == today.chosen.acts else ""),
            f"{way.minutes:.0f}",
            *(brief_share(way.chances[tier]) for tier in TIERS),
        )
        for way in _spread(today)
    ]
    headers = (phrase("ways-what"), phrase("ways-minutes"))
    tiers = (phrase(f"ways-{tier}") for tier in TIERS)
    caption = phrase("ways-caption")
    if _as_good(today):
        caption = f"{caption} {phrase('ways-caption-as-good')}"
    return NumberTable(phrase("ways-table"), caption, (*headers, *tiers), tuple(rows))


def _as_good(today: Today) -> bool:
    """Whether a line of no more work leaves no more of any risk than the way that is advised."""
    own = today.chosen
    return own is not None and any(
        way.acts != own.acts
        and way.minutes <= own.minutes
        and all(way.chances[tier] <= own.chances[tier] for tier in TIERS)
        for way in today.frontier
    )


def _spread(today: Today) -> Sequence[WeekPlan]:
    """Not more than a table can hold: the first, the last and the chosen one among them."""
    ways = today.frontier
    if len(ways) <= MOST_ROWS:
        return ways
    places = {round(k * (len(ways) - 1) / (MOST_ROWS - 1)) for k in range(MOST_ROWS)}
    if today.chosen in ways:
        places.add(ways.index(today.chosen))
    return [ways[place] for place in sorted(places)]
