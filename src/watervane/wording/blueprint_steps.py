"""The steps of a plan, the shopping list and what a month takes, in words."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from watervane.records import (
    Blueprint,
    DayRange,
    PlanStep,
    Purchase,
    Timeline,
)
from watervane.units.conversions import NO3_PER_N
from watervane.wording.amounts import listed, number, out_of_twenty, plain
from watervane.wording.dates import short_date
from watervane.wording.tables import NumberTable
from watervane.wording.templates import phrase

STOCKED = ("animals-first", "seeded-animals", "planted-animals")
LITTLE_CHANGED = 0.02  # of the water a week: less is told to be little, house estimate


@dataclass(frozen=True, slots=True)
class StepList:
    """A heading, lines of when and what, and what to know of them all.

    ``to_do`` tells that each line is something to do, not to see.
    """

    title: str
    caption: str
    lines: tuple[tuple[str, str], ...]
    to_do: bool = True

    def whole(self) -> list[str]:
        """Each line as one text."""
        return [phrase("blueprint-line", when=when, what=what) for when, what in self.lines]


def step_lists(plan: Blueprint) -> list[StepList]:
    """What is done when, and what is normal meanwhile.

    Parameters
    ----------
    plan
        As planned.
    """
    timeline = plan.timeline
    return [] if timeline is None else [_steps(timeline), _meanwhile(timeline)]


def dated_steps(plan: Blueprint) -> list[tuple[PlanStep, str, str]]:
    """Each step with when and what, and then what is normal meanwhile; days, no dates.

    Parameters
    ----------
    plan
        As planned.
    """
    timeline = plan.timeline
    if timeline is None:
        return []
    done = [(each, _when(each.days, None), _told(each)) for each in timeline.steps]
    seen = [
        (each, _when(each.days, None), phrase(f"blueprint-normal-{each.key}"))
        for each in timeline.meanwhile
    ]
    return [*done, *seen]


def shopping_table(plan: Blueprint) -> NumberTable:
    """What is bought, and how much of it.

    Parameters
    ----------
    plan
        As planned.
    """
    headers = (phrase("blueprint-shopping-what"), phrase("blueprint-shopping-amount"))
    rows = tuple((_bought(each), _amount(each)) for each in plan.shopping)
    caption = phrase("blueprint-shopping-caption")
    return NumberTable(phrase("blueprint-shopping"), caption, headers, rows)


def upkeep_sentence(plan: Blueprint) -> str:
    """What a week and a month of the running tank take.

    Parameters
    ----------
    plan
        As planned.
    """
    told = plan.upkeep
    found = []
    if told.weekly_change_l is not None:
        key = "blueprint-upkeep-change" if told.weekly_change_l > 0.0 else "blueprint-upkeep-none"
        found.append(
            phrase(
                key,
                held=number(told.nitrate_held_mg_n_per_l * NO3_PER_N, 2),
                weekly=number(told.weekly_change_l, 2),
                share=number(100.0 * told.weekly_change_l / plan.volumes.net_l, 2),
                brought=number(told.nitrate_mg_n_per_d, 2),
                plants=number(told.plants_mg_n_per_d, 2),
                source=number(told.nitrate_of_source_mg_n_per_l * NO3_PER_N, 2),
            )
        )
        if 0.0 < told.weekly_change_l < LITTLE_CHANGED * plan.volumes.net_l:
            found.append(phrase("blueprint-upkeep-some"))
        found.append(
            phrase(
                "blueprint-upkeep-month",
                water=number(told.water_l_per_month, 2),
                conditioner=number(told.conditioner_g_per_month, 2),
                food=number(told.food_g_per_month, 2),
                evaporated=number(told.evaporated_l_per_month, 2),
            )
        )
    known = told.machines_kwh_per_month > 0.0
    heated = told.heater_kwh_coldest_month > 0.0
    heat = "blueprint-upkeep-heat" if heated else "blueprint-upkeep-unheated"
    found.append(
        phrase(
            "blueprint-upkeep-electricity" if known else heat,
            heater=number(told.heater_kwh_per_month, 2),
            coldest=number(told.heater_kwh_coldest_month, 2),
            machines=number(told.machines_kwh_per_month, 2),
        )
    )
    if told.cost_per_month is not None and told.cost_coldest_month is not None:
        cost = number(told.cost_per_month, 2)
        coldest = number(told.cost_coldest_month, 2)
        found.append(phrase("blueprint-upkeep-cost", cost=cost, cost_coldest=coldest))
    if told.water_cost_per_month is not None:
        water = number(told.water_cost_per_month, 2)
        found.append(phrase("blueprint-upkeep-water-cost", cost=water))
    for name, each in stock_costs(plan).items():
        what = phrase(f"blueprint-upkeep-stock-{name}")
        found.append(phrase("blueprint-upkeep-stock-cost", what=what, cost=number(each, 2)))
    if len(told.costs_told) > 1:
        found.append(phrase("blueprint-upkeep-all-costs", cost=number(sum(told.costs_told), 2)))
    return " ".join(found)


def stock_costs(plan: Blueprint) -> dict[str, float]:
    """What a month costs of what is used up by the gram, where it has a price.

    Parameters
    ----------
    plan
        As planned.
    """
    told = plan.upkeep
    costs = {
        "conditioner": told.conditioner_cost_per_month,
        "salt": told.salt_cost_per_month,
        "food": told.food_cost_per_month,
    }
    return {name: cost for name, cost in costs.items() if cost is not None}


def _steps(timeline: Timeline) -> StepList:
    start = timeline.start
    within = out_of_twenty(start.share_within)
    how = phrase(f"blueprint-steps-{'own' if start.own else 'prior'}", within=within)
    if not start.own:
        how = f"{how} {phrase('blueprint-steps-run')}"
    steps = sorted(timeline.steps, key=lambda each: each.days.usual)
    return StepList(
        phrase("blueprint-steps"),
        phrase("blueprint-steps-caption", how=how, later=phrase("blueprint-steps-later")),
        tuple((_when(each.days, timeline.filled), _told(each)) for each in steps),
    )


def _when(days: DayRange, filled: date | None) -> str:
    early, usual, late = (_day(each) for each in (days.early, days.usual, days.late))
    key = "blueprint-when-one"
    if early != late:
        key = "blueprint-when-open" if days.open_end else "blueprint-when-range"
    if days.open_end and days.usual >= days.late:
        key = "blueprint-when-late"
    day = phrase(key, early=early, usual=usual, late=late)
    if filled is None:
        return day
    dated = short_date(filled + timedelta(days=math.floor(days.usual)))
    return phrase("blueprint-when-dated", day=day, date=dated)


def _day(day: float) -> str:
    return str(math.floor(day)).replace("-", "\N{MINUS SIGN}")


def _told(step: PlanStep) -> str:
    told: dict[str, object] = {
        name: plain(value) if isinstance(value, float) else value
        for name, value in step.arguments.items()
    }
    key = f"blueprint-step-{step.key}"
    if step.key == "condition" and step.arguments["assumed"]:
        key = f"{key}-assumed"
    if step.key == "salts":
        return phrase(key, salts=_salts(step.arguments))
    if step.key == "start":
        way = str(step.arguments["way"])
        told["way"] = phrase(f"start-what-{way}", **_starters())
        dosed = "dose_g" in step.arguments
        key = f"{key}-stocked" if way in STOCKED else f"{key}-dosed" if dosed else key
    if step.key == "settled":
        told["share"] = out_of_twenty(_number(step.arguments["share"]))
    if "animals" in step.arguments:
        told["animals"] = _animals(step.arguments["animals"])
        told["share"] = number(100.0 * _number(step.arguments["share"]), 2)
    return phrase(key, **told)


def _starters() -> dict[str, str]:
    return {"animals": phrase("blueprint-a-few"), "species": phrase("blueprint-of-kind")}


def _number(value: object) -> float:
    return float(value) if isinstance(value, int | float) else 0.0


def _salts(salts: Mapping[str, object]) -> str:
    told = [
        phrase("water-grams", amount=number(_number(grams), 3), name=name.replace("-", " "))
        for name, grams in salts.items()
    ]
    return listed(told)


def _animals(animals: object) -> str:
    if not isinstance(animals, list | tuple) or not animals:
        return phrase("blueprint-some-animals")
    return listed([f"{count} {species}" for species, count in animals])


def _meanwhile(timeline: Timeline) -> StepList:
    lines = tuple(
        (_when(each.days, timeline.filled), phrase(f"blueprint-normal-{each.key}"))
        for each in timeline.meanwhile
    )
    caption = phrase("blueprint-meanwhile-caption")
    return StepList(phrase("blueprint-meanwhile"), caption, lines, to_do=False)


def _bought(item: Purchase) -> str:
    told = {
        name: plain(value, 2) if isinstance(value, float) else value
        for name, value in item.arguments.items()
    }
    key = f"blueprint-buy-{item.key}"
    if item.key == "conditioner" and item.arguments["assumed"]:
        key = f"{key}-assumed"
    if item.key == "food":
        told["protein"] = number(100.0 * _number(item.arguments["protein"]), 2)
    if item.key == "salt":
        told["name"] = str(item.arguments["name"]).replace("-", " ")
    return phrase(key, **told)


def _amount(item: Purchase) -> str:
    unit = item.unit.replace("/", "-")
    return phrase(f"blueprint-unit-{unit}", amount=_count(item))


def _count(item: Purchase) -> str:
    whole = item.unit in {"pieces", "sets", "bags"}
    return str(round(item.amount)) if whole else number(item.amount, 2)
