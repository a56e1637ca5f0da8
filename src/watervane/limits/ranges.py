"""Temperature, pH and hardness an animal wants, and how far outside harm begins."""

from __future__ import annotations

from collections.abc import Iterator

from watervane.limits.limit import Constant, Limit
from watervane.reference import AnimalValue, Needs, value

# quantity of the table -> name in the water
QUANTITIES = {"temperature": "temperature_c", "ph": "ph", "hardness": "gh_dgh"}
# Of comfort, of harm over time, of harm at once. [h]
HOURS = {"comfort": 24.0, "chronic": 168.0, "acute": 1.0}
_SIDES = ("below", "above")


def range_limits(needs: Needs) -> Iterator[Limit]:
    """Limits of one animal's ranges; none of what is not known of it.

    Comfort ends outside the wider of both passes over the table, so that a doubt about a range
    is no alarm; harm over time begins a margin beyond, harm at once a wider margin beyond, or a
    margin short of what was measured to cripple or kill.
    """
    for quantity in QUANTITIES:
        found = needs.values.get(quantity)
        if found is None:
            continue
        for side in _SIDES:
            yield _comfort(needs, found, side)
            if quantity != "hardness":
                yield _outside(needs, found, side)
                yield _at_once(needs, found, side)


def _comfort(needs: Needs, found: AnimalValue, side: str) -> Limit:
    level = _end(found.widest_low, found.widest_high, side)
    return _limit(needs, found, side, "comfort", level)


def _outside(needs: Needs, found: AnimalValue, side: str) -> Limit:
    return _limit(needs, found, side, "chronic", _beyond(found, side, "chronic"))


def _at_once(needs: Needs, found: AnimalValue, side: str) -> Limit:
    level = _beyond(found, side, "acute")
    measured = needs.values.get(f"measured {found.quantity}")
    deadly = None if measured is None else measured.low if side == "below" else measured.high
    if measured is None or deadly is None:
        return _limit(needs, found, side, "acute", level)
    margin = value(f"{found.quantity}_measured_margin").value
    short = deadly + margin if side == "below" else deadly - margin
    if (short > level) if side == "below" else (short < level):
        return _limit(needs, measured, side, "acute", short, found.quantity)
    return _limit(needs, found, side, "acute", level)


def _beyond(found: AnimalValue, side: str, tier: str) -> float:
    margin = value(f"{found.quantity}_{tier}_margin").value
    edge = _end(found.widest_low, found.widest_high, side)
    return edge - margin if side == "below" else edge + margin


def _end(low: float | None, high: float | None, side: str) -> float:
    end = low if side == "below" else high
    if end is None:  # the table refuses such a range when it loads
        raise ValueError("a range without ends")
    return end


def _limit(
    needs: Needs, row: AnimalValue, side: str, tier: str, level: float, quantity: str = ""
) -> Limit:
    quantity = quantity or row.quantity
    return Limit(
        key=f"{quantity}_{tier}_{side}_{needs.name.lower().replace(' ', '_')}",
        quantity=QUANTITIES[quantity],
        tier=tier,
        side=side,
        exposure_hours=HOURS[tier],
        level=Constant(level),
        source=row.source,
        where=row.where,
        quality=row.quality,
        note=row.note,
        group=needs.name,
        animals=(needs.asked,),
    )
