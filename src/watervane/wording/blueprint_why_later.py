"""Where the figures of the running tank, the shopping list and the steps of a plan come from."""

from __future__ import annotations

from watervane.records import Blueprint, PlanStep
from watervane.units.conversions import NO3_PER_N
from watervane.wording.amounts import listed, number
from watervane.wording.blueprint_steps import stock_costs
from watervane.wording.templates import phrase
from watervane.wording.whys import Why, why


def upkeep_whys(plan: Blueprint) -> list[Why]:
    """Sums of the weekly change, and of what a month takes.

    Parameters
    ----------
    plan
        As planned.
    """
    told, wish = plan.upkeep, plan.wish
    brought, plants = number(told.nitrate_mg_n_per_d, 2), number(told.plants_mg_n_per_d, 2)
    found = [
        why(
            "why-upkeep-nitrogen",
            *("timmons_ebeling2007", "house-estimate"),
            food=number(plan.filter.food_g_per_d, 2),
            protein=number(wish.protein, 2),
            brought=brought,
            plants=plants,
        )
    ]
    if told.weekly_change_l is not None:
        found += _water(plan, brought, plants)
    found.append(
        why(
            "why-upkeep-power" if told.machines_kwh_per_month > 0.0 else "why-upkeep-heat",
            heater=number(told.heater_kwh_per_month, 2),
            coldest=number(told.heater_kwh_coldest_month, 2),
            machines=number(told.machines_kwh_per_month, 2),
        )
    )
    if told.cost_per_month is not None and told.cost_coldest_month is not None:
        price, cost = number(wish.price_per_kwh or 0.0, 3), number(told.cost_per_month, 2)
        coldest = number(told.cost_coldest_month, 2)
        found.append(why("why-upkeep-cost", price=price, cost=cost, coldest_cost=coldest))
    if told.water_cost_per_month is not None:
        price, cost = number(wish.water_price or 0.0, 3), number(told.water_cost_per_month, 2)
        found.append(why("why-upkeep-water-cost", price=price, cost=cost))
    prices = {
        "conditioner": (wish.conditioner_price, told.conditioner_g_per_month),
        "salt": (wish.salt_price, sum(told.salts_g_per_month.values())),
        "food": (wish.food_price, told.food_g_per_month),
    }
    for name, spent in stock_costs(plan).items():
        paid, grams = prices[name]
        found.append(
            why(
                "why-upkeep-stock-cost",
                what=phrase(f"blueprint-upkeep-stock-{name}"),
                amount=number(grams, 2),
                price=number(paid or 0.0, 3),
                cost=number(spent, 2),
            )
        )
    if len(told.costs_told) > 1:
        costs = listed([number(each, 2) for each in told.costs_told])
        together = number(sum(told.costs_told), 2)
        found.append(why("why-upkeep-all-costs", costs=costs, cost=together))
    return found


def _water(plan: Blueprint, brought: str, plants: str) -> list[Why]:
    told = plan.upkeep
    weekly, source = told.weekly_change_l or 0.0, told.nitrate_of_source_mg_n_per_l
    mixed = plan.water is not None and plan.water.recipe is not None
    known = mixed or plan.wish.source_water.nitrate_mg_n_per_l is not None
    return [
        why(
            "why-upkeep-change",
            "camargo2005",
            brought=brought,
            plants=plants,
            held_n=number(told.nitrate_held_mg_n_per_l, 2),
            held=number(told.nitrate_held_mg_n_per_l * NO3_PER_N, 2),
            source_n=number(source, 2),
            source=number(source * NO3_PER_N, 2),
            weekly=number(weekly, 2),
            share=number(100.0 * weekly / plan.volumes.net_l, 2),
            guess="" if known else phrase("why-upkeep-change-guess"),
        ),
        why(
            "why-upkeep-month",
            "exact-arithmetic",
            water=number(told.water_l_per_month, 2),
            food_month=number(told.food_g_per_month, 2),
            evaporated=number(told.evaporated_l_per_month, 2),
            conditioner=number(told.conditioner_g_per_month, 2),
        ),
    ]


def shopping_whys(plan: Blueprint) -> list[Why]:
    """Sums behind the shopping list.

    Parameters
    ----------
    plan
        As planned.
    """
    bought = {each.key: each for each in plan.shopping}
    found = [why("why-shop-glass", "en16612"), why("why-shop-machines", "house-estimate")]
    conditioner = bought.get("conditioner")
    if conditioner is not None:
        first, monthly = (
            number(each, 2)
            for each in (plan.upkeep.conditioner_first_g, plan.upkeep.conditioner_g_per_month)
        )
        found.append(why("why-shop-conditioner", "exact-arithmetic", first=first, monthly=monthly))
    if "ammonia" in bought:
        found.append(why("why-shop-ammonia", "prior-predictive"))
    return found


def step_whys(plan: Blueprint) -> list[Why]:
    """What the days of the steps rest on.

    Parameters
    ----------
    plan
        As planned.
    """
    start = plan.timeline.start if plan.timeline is not None else None
    found = [why("why-steps-days")]
    soil = next((each for each in _steps(plan) if each.key == "soil"), None)
    if soil is not None:
        most = soil.arguments["most"]
        found.append(why("why-steps-soil", "house-estimate", most=most))
    if start is not None and not start.own:
        found.append(why("why-steps-start", "prior-predictive"))
    if start is not None and any("dose_g" in each.arguments for each in _steps(plan)):
        found.append(why("why-steps-dose", "exact-arithmetic"))
    return [*found, why("why-steps-batches", "house-estimate")]


def _steps(plan: Blueprint) -> tuple[PlanStep, ...]:
    return () if plan.timeline is None else plan.timeline.steps
