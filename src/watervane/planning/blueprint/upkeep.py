"""What a month of the running tank takes: water, conditioner, salts, food and electricity."""

from __future__ import annotations

from watervane.chemistry.disinfectant import dechlorinator_mg_per_l
from watervane.planning.blueprint.breath import plants_take_mg_n_per_d
from watervane.planning.blueprint.filters import Load
from watervane.planning.blueprint.heating import heat_of_days_kwh, loss_of
from watervane.planning.blueprint.shapes import Vessel
from watervane.planning.waters.recipes import THIOSULFATE
from watervane.planning.waters.report import PLAUSIBLE_CHLORAMINE_MG_PER_L
from watervane.records import BlueprintWish, Recipe, Upkeep
from watervane.reference import sourced, value

DAYS_PER_MONTH = 365.25 / 12.0
NITRATE_HELD = "limit_nitrate_comfort"
UNKNOWN_NITRATE_MG_N_PER_L = 2.0  # of a tap nobody measured: house estimate


@sourced("timmons_ebeling2007", where="0.16 of protein is nitrogen")
def nitrate_of_food_mg_n_per_d(food_g_per_d: float, protein: float) -> float:
    """Nitrate a day that food ends as in a tank whose animals keep their weight. [mg N/d]

    All of its nitrogen, that of dirt too: less where dirt is taken out before it rots.

    Parameters
    ----------
    food_g_per_d
        [g/d]
    protein
        Share of it. [-]
    """
    return 160.0 * protein * food_g_per_d


def nitrate_held_mg_n_per_l() -> float:
    """Nitrate that is kept to just before a water change. [mg N/L]"""
    return value(NITRATE_HELD).value


def weekly_change_l(left_mg_n_per_d: float, source_mg_n_per_l: float) -> float | None:
    """Water to change a week so that nitrate never passes its level; ``None``: no change does it.

    Steady state: a change of W litres takes W (held - source) away, a week brings seven days' load.

    Parameters
    ----------
    left_mg_n_per_d
        Nitrogen brought in, less what plants take. [mg N/d]
    source_mg_n_per_l
        [mg N/L]
    """
    if left_mg_n_per_d <= 0.0:
        return 0.0
    room = nitrate_held_mg_n_per_l() - source_mg_n_per_l
    return 7.0 * left_mg_n_per_d / room if room > 0.0 else None


def source_nitrate_mg_n_per_l(wish: BlueprintWish) -> float:
    """Of the source water, a guess where nobody told. [mg N/L]"""
    told = wish.source_water.nitrate_mg_n_per_l
    return UNKNOWN_NITRATE_MG_N_PER_L if told is None else told


def thiosulfate_mg_per_l(wish: BlueprintWish, recipe: Recipe | None) -> tuple[float, bool]:
    """Conditioner for a litre of source water, and whether its chloramine is assumed. [mg/L]"""
    if recipe is not None:
        told = recipe.conditioned
        return 1000.0 * told.thiosulfate_g / recipe.target.batch_l, told.assumed
    water = wish.source_water
    chlorine, chloramine = water.chlorine_mg_per_l, water.chloramine_mg_per_l
    assumed = chlorine is None and chloramine is None
    worst = PLAUSIBLE_CHLORAMINE_MG_PER_L if assumed else 0.0
    dose = dechlorinator_mg_per_l(chlorine or 0.0, chloramine or worst, THIOSULFATE)
    return float(dose), assumed


def upkeep_of(
    wish: BlueprintWish, vessel: Vessel, load: Load, net_l: float, recipe: Recipe | None = None
) -> Upkeep:
    """All that a month takes.

    Parameters
    ----------
    wish, vessel, load
        What is planned.
    net_l
        [L]
    recipe
        Of the source water, where it is mixed.
    """
    brought = nitrate_of_food_mg_n_per_d(load.food_g_per_d, wish.protein)
    plants = plants_take_mg_n_per_d(wish.plants, 1e-4 * vessel.inner.area_cm2)
    source = source_nitrate_mg_n_per_l(wish)
    if recipe is not None:
        source = recipe.made.nitrate_mg_n_per_l
    weekly = weekly_change_l(brought - plants, source)
    water = DAYS_PER_MONTH / 7.0 * (weekly or 0.0)
    dose, assumed = thiosulfate_mg_per_l(wish, recipe)
    heat = heat_of_days_kwh(wish, vessel, lid=wish.lid)
    mean, coldest = float(heat.sum()) / 12.0, float(heat[:15].sum() + heat[-15:].sum())
    machines = 0.024 * DAYS_PER_MONTH * wish.machines_w
    price = wish.price_per_kwh
    room = 0.5 * (wish.coldest_c + wish.warmest_c)
    lost = loss_of(wish, vessel, wish.water_c, room, lid=wish.lid)
    evaporated = DAYS_PER_MONTH * max(float(lost.evaporation_kg_per_d), 0.0)
    return Upkeep(
        nitrate_mg_n_per_d=brought,
        plants_mg_n_per_d=min(plants, brought),
        nitrate_held_mg_n_per_l=nitrate_held_mg_n_per_l(),
        nitrate_of_source_mg_n_per_l=source,
        weekly_change_l=weekly,
        water_l_per_month=water,
        evaporated_l_per_month=evaporated,
        conditioner_first_g=1e-3 * dose * net_l,
        conditioner_g_per_month=1e-3 * dose * water,
        disinfectant_assumed=assumed,
        salts_first_g=_salts(recipe, net_l),
        salts_g_per_month=_salts(recipe, water),
        food_g_per_month=DAYS_PER_MONTH * load.food_g_per_d,
        heater_kwh_per_month=mean,
        heater_kwh_coldest_month=coldest,
        machines_kwh_per_month=machines,
        cost_per_month=None if price is None else price * (mean + machines),
        cost_coldest_month=None if price is None else price * (coldest + machines),
        water_cost_per_month=_cost(wish.water_price, water + evaporated, 1000.0),
        conditioner_cost_per_month=_cost(wish.conditioner_price, 1e-3 * dose * water),
        salt_cost_per_month=_cost(wish.salt_price, sum(_salts(recipe, water).values())),
        food_cost_per_month=_cost(wish.food_price, DAYS_PER_MONTH * load.food_g_per_d),
    )


def _cost(price: float | None, amount: float, priced: float = 100.0) -> float | None:
    """Money for an amount, where `priced` of it has a price."""
    return None if price is None else price * amount / priced


def _salts(recipe: Recipe | None, litres: float) -> dict[str, float]:
    """Grams of each salt for so much of the mixed water."""
    if recipe is None:
        return {}
    batches = litres / recipe.target.batch_l
    return {
        part.name: part.measured * batches
        for part in recipe.parts
        if part.kind == "salt" and part.measured > 0.0
    }
