"""The tank the animals are to share: sizes, water, and the rooms it has at a temperature.

A room is what all share and each takes a part of: water changed a week, filter media, flow, air on
the hottest night, floor that is defended. All are linear in the numbers of animals.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import partial

from watervane.chemistry.gases import oxygen_saturation_mg_per_l, standard_pressure_atm
from watervane.planning.blueprint.breath import (
    bacteria_mg_per_h,
    breathed_mg_per_h,
    gas_transfer_rates,
    plants_breathe_mg_per_h,
    plants_take_mg_n_per_d,
    wanted_mg_per_l,
)
from watervane.planning.blueprint.filling import bed_parts, volumes_of
from watervane.planning.blueprint.filters import (
    BREEDS_UNASKED,
    ammonia_of_food_mg_n_per_d,
    flow_carries_mg_n_per_d,
    media_carry_mg_n_per_l_d,
)
from watervane.planning.blueprint.glazing import glazed
from watervane.planning.blueprint.heating import check_warmth, loss_of, resting_temperature_c
from watervane.planning.blueprint.shapes import CannotPlan, longest_cm
from watervane.planning.blueprint.upkeep import (
    UNKNOWN_NITRATE_MG_N_PER_L,
    nitrate_held_mg_n_per_l,
    nitrate_of_food_mg_n_per_d,
)
from watervane.process.food_need import food_need_g_per_d
from watervane.records import BlueprintWish, ChoiceWish, Finding, SharedWater
from watervane.reference import CatalogueAnimal

USUAL_CHANGE_SHARE = 0.25  # of the water a week: common practice, no source
FLOOR = ("bottom", "all")  # territories against all comers


@dataclass(frozen=True, slots=True)
class Scene:
    """The tank, worked out as far as no animal and no temperature matters."""

    plan: BlueprintWish
    water: SharedWater
    net_l: float
    length_cm: float
    floor_cm2: float
    unheated_c: float  # water of the warmest day, no heater
    change_l_per_week: float

    def hottest_c(self, temperature_c: float) -> float:
        """Water of the warmest day. [degC]"""
        return max(self.unheated_c, temperature_c)

    @property
    def nitrate_room_mg_n_per_l(self) -> float:
        """Between the source water's nitrate and what is kept to. [mg N/L]"""
        told = self.water.nitrate_mg_n_per_l
        source = UNKNOWN_NITRATE_MG_N_PER_L if told is None else told
        return nitrate_held_mg_n_per_l() - source


@dataclass(frozen=True, slots=True)
class Room:
    """One room: each animal's cost in its own measure, and how a keeper is told of it.

    Told is ``scale * (raw - offset)`` in ``unit``, never less than nothing.
    """

    name: str
    unit: str
    limit: float
    costs: Mapping[str, float]
    offset: float = 0.0
    scale: float = 1.0

    def told(self, raw: float) -> float:
        """A use in the keeper's unit."""
        return max(self.scale * (raw - self.offset), 0.0)

    def lacking(self, raw: float) -> float:
        """What a use asks beyond the limit, in the keeper's unit."""
        return max(self.told(raw) - self.told(self.limit), 0.0) if raw > self.limit else 0.0


@dataclass(frozen=True, slots=True)
class AnimalLoad:
    """What one grown animal takes and leaves, young that come unasked counted in."""

    food_g_per_d: float
    nitrate_mg_n_per_d: float
    ammonia_mg_n_per_d: float
    oxygen_mg_per_h: float  # on the hottest night, its share of the bacteria's too


def scene_of(wish: ChoiceWish) -> Scene:
    """Work the tank out.

    Parameters
    ----------
    wish
        With the tank's plan; its animals do not count.

    Raises
    ------
    CannotPlan
        Where the tank contradicts itself, or the source water holds too much nitrate for anyone.
    """
    plan = wish.plan
    settled = plan.water_c if wish.temperature_c is None else wish.temperature_c
    check_warmth(replace(plan, water_c=settled))
    vessel = glazed(plan.box)
    net = volumes_of(plan, vessel, bed_parts(plan, vessel)).net_l

    def lost(water_c: float) -> float:
        return float(loss_of(plan, vessel, water_c, plan.warmest_c, lid=plan.lid).total_w)

    change = wish.change_l_per_week
    scene = Scene(
        plan=plan,
        water=wish.water,
        net_l=net,
        length_cm=longest_cm(vessel.inner)[0],
        floor_cm2=vessel.inner.area_cm2,
        unheated_c=resting_temperature_c(lost, plan.machines_w, plan.warmest_c),
        change_l_per_week=USUAL_CHANGE_SHARE * net if change is None else change,
    )
    if scene.nitrate_room_mg_n_per_l <= 0.0:
        held = nitrate_held_mg_n_per_l()
        told = {"source_mg_n_per_l": wish.water.nitrate_mg_n_per_l, "held_mg_n_per_l": held}
        raise CannotPlan([Finding("choose-source-nitrate", "problem", told, source="camargo2005")])
    return scene


def load_of_one(animal: CatalogueAnimal, scene: Scene, temperature_c: float) -> AnimalLoad:
    """What one grown animal takes and leaves at a temperature.

    Parameters
    ----------
    animal
        With its usual adult length; unknown, it counts as the law of its form at five centimetres.
    scene
        The tank.
    temperature_c
        [degC]
    """
    mass = animal.adult_mass_g or 1.0
    factor = BREEDS_UNASKED if animal.breeds == "unasked" else 1.0
    food = factor * food_need_g_per_d(mass, temperature_c).centre
    protein = scene.plan.protein
    breathes = factor * breathed_mg_per_h((mass,), scene.hottest_c(temperature_c))
    return AnimalLoad(
        food_g_per_d=food,
        nitrate_mg_n_per_d=nitrate_of_food_mg_n_per_d(food, protein),
        ammonia_mg_n_per_d=ammonia_of_food_mg_n_per_d(food, protein),
        oxygen_mg_per_h=breathes + bacteria_mg_per_h(food, protein),
    )


def rooms_of(
    scene: Scene, animals: Mapping[str, CatalogueAnimal], temperature_c: float
) -> tuple[Room, ...]:
    """Every room at a temperature; filter and flow only where a filter is at hand.

    Parameters
    ----------
    scene
        The tank.
    animals
        By scientific name.
    temperature_c
        [degC]
    """
    loads = {name: load_of_one(each, scene, temperature_c) for name, each in animals.items()}
    return (
        _change(scene, loads),
        _oxygen(scene, loads, temperature_c),
        *_filter(scene, loads, temperature_c),
        _floor(scene, animals),
    )


def _change(scene: Scene, loads: Mapping[str, AnimalLoad]) -> Room:
    per_mg = 7.0 / scene.nitrate_room_mg_n_per_l
    plants = per_mg * plants_take_mg_n_per_d(scene.plan.plants, 1e-4 * scene.floor_cm2)
    costs = {name: per_mg * load.nitrate_mg_n_per_d for name, load in loads.items()}
    return Room("change", "L", scene.change_l_per_week + plants, costs, plants)


def _oxygen(scene: Scene, loads: Mapping[str, AnimalLoad], temperature_c: float) -> Room:
    plan, floor_m2, net = scene.plan, 1e-4 * scene.floor_cm2, scene.net_l
    hottest = scene.hottest_c(temperature_c)
    pressure = float(standard_pressure_atm(plan.altitude_m))
    saturation = float(oxygen_saturation_mg_per_l(hottest, 0.0, pressure))
    spare = saturation - wanted_mg_per_l(saturation)
    rates = partial(gas_transfer_rates, 1e-3 * net / floor_m2, net, where=(hottest, pressure))
    bare, one, planned = (rates(air)[1] for air in (0.0, 1.0, plan.air_flow_l_per_h))
    plants = plants_breathe_mg_per_h(plan.plants, floor_m2)
    costs = {name: load.oxygen_mg_per_h for name, load in loads.items()}
    surface = bare * net * spare - plants
    per_air = (one - bare) * net * spare
    return Room("oxygen", "L/h", planned * net * spare - plants, costs, surface, 1.0 / per_air)


def _filter(scene: Scene, loads: Mapping[str, AnimalLoad], temperature_c: float) -> list[Room]:
    plan = scene.plan
    target = plan.target_ammonia_mg_n_per_l
    costs = {name: load.ammonia_mg_n_per_d for name, load in loads.items()}
    found = []
    if plan.media_l is not None:
        litre = media_carry_mg_n_per_l_d(plan.media, target, temperature_c)
        found.append(Room("filter", "L", plan.media_l * litre, costs, scale=1.0 / litre))
    if plan.flow_l_per_h is not None:
        pressure = float(standard_pressure_atm(plan.altitude_m))
        saturation = oxygen_saturation_mg_per_l(scene.hottest_c(temperature_c), 0.0, pressure)
        brings = flow_carries_mg_n_per_d(target, wanted_mg_per_l(float(saturation)))
        found.append(Room("flow", "L/h", plan.flow_l_per_h * brings, costs, scale=1.0 / brings))
    return found


def _floor(scene: Scene, animals: Mapping[str, CatalogueAnimal]) -> Room:
    costs = {name: claim_cm2(each) for name, each in animals.items() if each.territory in FLOOR}
    return Room("floor", "cm2", scene.floor_cm2, {name: costs.get(name, 0.0) for name in animals})


def claim_cm2(animal: CatalogueAnimal) -> float:
    """Floor that one animal claims, half of a pair's where it lives in company. [cm2]

    Parameters
    ----------
    animal
        Of the catalogue.
    """
    if animal.territory in {"none", "unknown"} or animal.territory_cm2 is None:
        return 0.0
    return animal.territory_cm2 / (2.0 if (animal.least_group or 1) > 1 else 1.0)
