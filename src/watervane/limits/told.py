"""A limit with its level in the waters it is told for."""

from __future__ import annotations

import numpy as np

from watervane.limits.limit import Limit
from watervane.limits.water import Water
from watervane.records import ToldLimit


def told_limit(limit: Limit, water: Water) -> ToldLimit:
    """A limit with its level in the middle member's water.

    Parameters
    ----------
    limit : Limit
    water : Water
        Of the days it is told for.
    """
    level = float(np.median(limit.level(water)))
    total = None
    if limit.quantity == "free_ammonia_mg_n_per_l":
        total = level / float(np.median(water.free_ammonia_fraction))
    return ToldLimit(
        key=limit.key,
        tier=limit.tier,
        subject=limit.subject,
        quantity=limit.quantity,
        side=limit.side,
        level=level,
        hours=limit.exposure_hours,
        group=limit.group,
        animals=limit.animals,
        source=limit.source,
        where=limit.where,
        quality=limit.quality,
        note=limit.note,
        edited=limit.edited,
        total_mg_n_per_l=total,
        varies=limit.varies,
    )
