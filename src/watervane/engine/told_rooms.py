"""What stands in the way of more food, told with the level it has in this tank's water."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from watervane.limits import Limit, Water
from watervane.limits.told import told_limit
from watervane.records import DatedRoom


def told_rooms(
    dates: Iterable[DatedRoom], limits: Iterable[Limit], water: Water
) -> tuple[DatedRoom, ...]:
    """The rooms with their limits told.

    Parameters
    ----------
    dates
        Rooms, each with the key of what stands in its way.
    limits
        All that may.
    water
        Of the tank, as last read or told.
    """
    told = {limit.key: told_limit(limit, water) for limit in limits}
    return tuple(
        replace(
            dated,
            tiers={
                tier: replace(room, told_limit=told.get(room.limit))
                for tier, room in dated.tiers.items()
            },
            elsewhere=tuple(replace(o, told_limit=told.get(o.limit)) for o in dated.elsewhere),
        )
        for dated in dates
    )
