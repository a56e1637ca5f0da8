"""The way with least work that keeps every tier's risk; else the least bad, and that it is so."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from watervane.limits import TIERS
from watervane.records import AllowedRisk, WeekPlan

# What so many members tell apart by chance: a way is not called better for less.
SLACK: Mapping[str, float] = {"acute": 0.005, "chronic": 0.02, "comfort": 0.05}


# Minutes a week that the whole chance of harm is worth; a small chance is worth little of it.
WORTH_MIN: Mapping[str, float] = {"acute": 1500.0, "chronic": 600.0}
NEARLY = 0.1  # of what the best way gains may be left
TRIFLE_H = 2.0  # of a burden
EASE_MIN = 90.0  # a week, that taking away all of what is uncomfortable is worth
PUT_OFF_MIN = 5.0  # that a step of a later day, which has to be remembered, must save at least
AS_MUCH_AGAIN, LITTLE_MIN = 1.5, 40.0  # work for comfort over that for harm, and at least
# Not every keeper can: what takes another tank or a purchase is nobody's first step.
HELPED = frozenset({"seed", "move-out", "zeolite"})


@dataclass(frozen=True)
class Choice:
    """What was chosen, the next best, and which tiers are kept under their risk."""

    chosen: WeekPlan
    runner_up: WeekPlan | None
    good_enough: tuple[str, ...]
    allowed: Mapping[str, float]
    at_best: Mapping[str, float]


def choose(ways: Sequence[WeekPlan], risk: AllowedRisk) -> Choice:
    """Choose among ways; the first is doing only what is planned.

    Tiers are taken one after the other, acute first, and never put together. Where no way keeps
    a tier's risk, only ways count that gain nearly as much as the best one does, in chance and,
    where all pass the limit, in how long and how far. Work is bounded by the chance, or the share
    of what is sure to come, that it takes away at best: a tank in little danger is not turned
    over day by day. For comfort nobody is asked to do more than half as much again as harm asks
    for, or forty minutes a week; where that does not bring it under its risk, ways count that
    make it no worse than planned. Among what is left the least work wins.

    Parameters
    ----------
    ways : sequence of WeekPlan
        At least one.
    risk : AllowedRisk
    """
    own = [way for way in ways if not any(act.kind in HELPED for act in way.acts)]
    left, allowed = _kept(own, risk)
    chosen = left[0]
    good = tuple(tier for tier in TIERS if chosen.chances[tier] <= risk.of(tier))
    at_best = {tier: min(way.chances[tier] for way in own) for tier in TIERS}
    other = _another(chosen, left[1:], own)
    if len(good) < len(TIERS):
        helped, _ = _kept(ways, risk)
        other = helped[0] if helped[0] is not chosen else other
    return Choice(chosen, other, good, allowed, at_best)


def _kept(
    ways: Sequence[WeekPlan], risk: AllowedRisk
) -> tuple[list[WeekPlan], Mapping[str, float]]:
    """Ways that keep what can be kept, least work first, and what each tier was allowed."""
    left = list(ways)
    allowed: dict[str, float] = {}
    for tier in TIERS:
        worth_it = left
        if tier != "comfort":
            most = LITTLE_MIN + WORTH_MIN[tier] * _gain(left, ways[0], tier)
            worth_it = [way for way in left if way.minutes <= most] or left
        if tier == "comfort":
            most = max(AS_MUCH_AGAIN * min(way.minutes for way in left), LITTLE_MIN)
            worth_it = [way for way in left if way.minutes <= most]
        best = min(way.chances[tier] for way in worth_it)
        if best <= risk.of(tier):
            allowed[tier] = risk.of(tier)
        elif tier == "comfort":
            allowed[tier] = max(ways[0].chances[tier], best) + SLACK[tier]
        else:
            gained = max(ways[0].chances[tier] - best, 0.0)
            allowed[tier] = best + max(SLACK[tier], NEARLY * gained)
        left = [way for way in worth_it if way.chances[tier] <= allowed[tier]]
        if best > risk.of(tier):
            least = _eased if tier == "comfort" else _least_burden
            left = least(left, ways[0], tier)
    left.sort(key=_least_first)
    return left, allowed


def _least_first(way: WeekPlan) -> tuple[float, ...]:
    return _effort(way), way.minutes, way.hours["acute"], way.hours["chronic"]


def _effort(way: WeekPlan) -> float:
    """Minutes, with what it costs to put off: nobody is asked to wait for nothing."""
    return way.minutes + PUT_OFF_MIN * any(act.wait_d for act in way.acts)


def serves_as(other: WeekPlan, chosen: WeekPlan, risk: AllowedRisk) -> bool:
    """Whether another way keeps every tier that the chosen one keeps, and adds nothing to others.

    Parameters
    ----------
    other, chosen : WeekPlan
        On the same members.
    risk : AllowedRisk
    """
    return all(
        other.chances[tier] <= risk.of(tier)
        if chosen.chances[tier] <= risk.of(tier)
        else other.chances[tier] <= chosen.chances[tier] + SLACK[tier]
        and _burden(other, tier) <= (1.0 + NEARLY) * _burden(chosen, tier) + TRIFLE_H
        for tier in TIERS
    )


def _gain(ways: Sequence[WeekPlan], planned: WeekPlan, tier: str) -> float:
    """What is won at best: chance taken away or, where the limit is passed anyway, of its burden.

    Half the burden of what is sure to come is worth as much as half the chance of it.
    """
    before, burden = planned.chances[tier], _burden(planned, tier)
    taken = before - min(way.chances[tier] for way in ways)
    least = min(_burden(way, tier) for way in ways)
    lighter = before * (1.0 - least / burden) if burden > 0.0 else 0.0
    return max(taken, lighter, 0.0)


def _eased(ways: Sequence[WeekPlan], planned: WeekPlan, tier: str) -> list[WeekPlan]:
    """Where comfort is missed anyway: the way that eases most for its work, or all with least.

    A tank whose buffering is nearly gone is out of comfort whatever is done in a week, and yet a
    bucket is worth its minutes; water that does not suit its animals by the tap is not.
    """
    burden = _burden(planned, tier)
    if burden <= 0.0:
        return list(ways)

    def worth(way: WeekPlan) -> float:
        eased = (burden - _burden(way, tier)) / burden
        return EASE_MIN * eased - _effort(way)

    best = max(ways, key=worth)
    idle = min(_effort(way) for way in ways)
    return [best] if worth(best) > max(worth(w) for w in ways if _effort(w) == idle) else list(ways)


def _least_burden(ways: Sequence[WeekPlan], planned: WeekPlan, tier: str) -> list[WeekPlan]:
    """Of ways that all pass a limit, those that come near to the shortest and least far."""
    least = min(_burden(way, tier) for way in ways)
    allowed = least + NEARLY * max(_burden(planned, tier) - least, 0.0)
    return [way for way in ways if _burden(way, tier) <= allowed + 1e-9]


def _burden(way: WeekPlan, tier: str) -> float:
    return way.burden.get(tier, 0.0)


def _another(
    chosen: WeekPlan, left: Sequence[WeekPlan], ways: Sequence[WeekPlan]
) -> WeekPlan | None:
    """The next best of another kind: not the same acts in another size."""
    kinds = _kinds(chosen)
    other = next((way for way in left if _kinds(way) != kinds and way.acts), None)
    if other is not None or not chosen.acts:
        return other
    lighter = [w for w in ways if w.acts and w.minutes < chosen.minutes and _kinds(w) != kinds]
    key = lambda w: tuple(w.chances[tier] for tier in TIERS)  # noqa: E731 - an order
    return min(lighter, key=key, default=None)


def _kinds(way: WeekPlan) -> frozenset[str]:
    return frozenset(f"{act.kind} {act.times}" for act in way.acts)


def frontier(ways: Sequence[WeekPlan]) -> tuple[WeekPlan, ...]:
    """Ways that none with less work comes near to in every tier, least work first.

    Parameters
    ----------
    ways : sequence of WeekPlan
    """
    kept: list[WeekPlan] = []
    for way in sorted(ways, key=lambda w: (w.minutes, *(w.chances[t] for t in TIERS))):
        if not any(_no_worse(other, way) for other in kept):
            kept.append(way)
    return tuple(kept)


def _no_worse(one: WeekPlan, other: WeekPlan) -> bool:
    """Whether one is as good in every tier as far as chance can tell; it takes no more work."""
    return all(
        one.chances[tier] <= other.chances[tier] + SLACK[tier]
        and _burden(one, tier) <= (1.0 + NEARLY) * _burden(other, tier) + TRIFLE_H
        for tier in TIERS
    )
