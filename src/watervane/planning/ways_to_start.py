"""Which ways there are to start a tank, what each takes, and which of them to prefer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime

from watervane.planning.start_kinds import LODGED
from watervane.process.colony_care import seed_action
from watervane.records import AllowedRisk, Finding, Seed, SeedAmount, StartWay

AS_SOON_DAYS = 7.0  # nearer together than that, other things count for more
_ANY = datetime(2000, 1, 1, tzinfo=UTC)  # the moment of an amount that has none
MATERIALS = (
    ("media", "sponge"),
    ("media", "ceramic"),
    ("bed", "gravel"),
    ("water", "tank water"),
)
# Minutes of one task, house estimates: two tests read side by side, weighing, a bucket carried.
MINUTES: Mapping[str, float] = {
    "test": 8.0,
    "dose": 3.0,
    "soda": 3.0,
    "change": 10.0,
    "seed": 45.0,
    "bottle": 2.0,
    "plant": 60.0,
    "lodge": 120.0,  # there and back
}
MINUTES_PER_L_CHANGED = 0.4  # house estimate: a bucket of ten litres is four minutes


def seed_area_m2(amount: SeedAmount) -> float:
    """Surface of mature medium that the material stands for, fresh. [m2]"""
    event = Seed(
        at=_ANY,
        source=amount.source,
        kind=amount.kind if amount.source == "media" else "sponge",
        volume_l=amount.volume_l,
    )
    return float(sum(seed_action(0.0, event, 1.0).habitats["seed_area_per_l"]))


def seed_amounts(area_m2: float) -> tuple[SeedAmount, ...]:
    """How much of each material brings the colony of so much mature surface."""
    found = []
    for source, kind in MATERIALS:
        one = SeedAmount(source, kind, 1.0)
        found.append(SeedAmount(source, kind, area_m2 / seed_area_m2(one)))
    return tuple(found)


def ranked(ways: Sequence[StartWay], allowed: AllowedRisk) -> tuple[StartWay, ...]:
    """Ways in the order to prefer them.

    First those that hurt no animal, by when three of four futures are settled and ready for the
    whole load; where two are as soon, the one that risks no animal, then the one with less
    work. Then the others, by the hours their animals spend above limits. ``allowed`` is the chance
    of any hour above a limit that counts as none.
    """
    gentle = sorted((w for w in ways if humane(w, allowed)), key=_soon)
    harsh = sorted((w for w in ways if not humane(w, allowed)), key=_hours)
    return (*gentle, *harsh)


def humane(way: StartWay, allowed: AllowedRisk) -> bool:
    """Whether a way keeps its animals below limits, at the risk accepted of each tier."""
    return all(way.harmed[tier] <= allowed.of(tier) for tier in ("acute", "chronic"))


def _soon(way: StartWay) -> tuple[float, float, bool, float]:
    ends = (way.settled_days.p75, way.ready_days.p75)
    step = max(float("inf") if days is None else days // AS_SOON_DAYS for days in ends)
    never = round(1.0 - way.settled_within, 1) if step == float("inf") else 0.0
    return step, never, way.animals > 0 or way.key == LODGED, way.work_minutes.p50 or 0.0


def _hours(way: StartWay) -> tuple[float, float]:
    return way.mean_animal_hours["acute"], way.mean_animal_hours["chronic"]


def reasons_for(
    first: StartWay, ways: Sequence[StartWay], allowed: AllowedRisk, *, occupied: bool
) -> list[Finding]:
    """Why the first of the ways is to be preferred."""
    told: dict[str, object] = {"way": first.key}
    if all(way.settled_days.p50 is None for way in ways):
        best = max(way.settled_within for way in ways)
        return [Finding("ways-none-settles", "caution", {**told, "chance": best})]
    if occupied:
        return _for_the_animals(first, ways, allowed)
    if first.animals == 0:
        found = [Finding("ways-no-animals-in-it", "info", told)]
    else:
        found = [Finding("ways-animals-below-limits", "info", told)]
    sooner = [w for w in ways if not humane(w, allowed) and _sooner(w, first)]
    if sooner:
        fastest = min(sooner, key=_soon)
        about = {"way": fastest.key, "hours": fastest.mean_animal_hours["chronic"]}
        found.append(Finding("ways-sooner-at-a-price", "info", about))
    return found


def _for_the_animals(
    first: StartWay, ways: Sequence[StartWay], allowed: AllowedRisk
) -> list[Finding]:
    plan = next((w for w in ways if w.key == "as-planned"), first)
    told: dict[str, object] = {
        "way": first.key,
        "hours": first.mean_animal_hours["chronic"],
        "planned_hours": plan.mean_animal_hours["chronic"],
        "acute_hours": first.mean_animal_hours["acute"],
        "planned_acute_hours": plan.mean_animal_hours["acute"],
    }
    key = "ways-help-the-animals"
    if first is plan:
        key = "ways-plan-will-do" if humane(plan, allowed) else "ways-plan-harms-least"
    return [Finding(key, "info", told)]


def _sooner(one: StartWay, other: StartWay) -> bool:
    return _soon(one)[:2] < _soon(other)[:2]
