"""What stands in the way of more food is told with the level it has in the tank's own water."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from watervane.engine.told_rooms import told_rooms
from watervane.limits import limits_for
from watervane.process.read_water import known_water
from watervane.records import (
    DatedRoom,
    NumberQuantiles,
    OtherRisk,
    SourceWater,
    Tank,
    TierRoom,
)


def room(limit: str) -> TierRoom:
    none = NumberQuantiles(None, None, None, None, None)
    return TierRoom(
        "acute", 0.01, 0.2, 0.0, 0.0, 0.0, none, "nitrite", limit, ("guppy",), "dolezelova2011", 0
    )


@pytest.mark.parametrize("chloride", [5.0, 19.0])
def test_the_level_is_that_of_this_tanks_water(chloride: float) -> None:
    tank = Tank("shelf", date(2026, 3, 1), source_water=SourceWater(chloride_mg_per_l=chloride))
    key = "nitrite_acute_sensitive"
    other = OtherRisk("comfort", "nitrite", key, ("guppy",), "dolezelova2011", 0.9)
    dated = DatedRoom(0, datetime(2026, 4, 1, tzinfo=UTC), {"acute": room(key)}, 0.1, (other,))
    (told,) = told_rooms([dated], limits_for(("guppy",)), known_water(tank, 1))
    level = told.tiers["acute"].told_limit
    assert level is not None
    assert level.level == pytest.approx(3.065 * min(chloride / 19.0, 1.0), rel=0.01)
    assert told.elsewhere[0].told_limit == level


def test_a_limit_nobody_listed_is_not_made_up() -> None:
    dated = DatedRoom(0, datetime(2026, 4, 1, tzinfo=UTC), {"acute": room("of_nobody")}, 0.1)
    water = known_water(Tank("shelf", date(2026, 3, 1)), 1)
    (told,) = told_rooms([dated], limits_for(("guppy",)), water)
    assert told.tiers["acute"].told_limit is None
