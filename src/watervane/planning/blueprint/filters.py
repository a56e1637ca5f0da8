"""Media and flow from the daily food: published rates of settled biofilms a square metre.

A litre rating on a box is no measure of either: what counts is area, and what flows past it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from watervane.planning.blueprint.shapes import CannotPlan
from watervane.process.food_need import food_need_g_per_d
from watervane.records import BlueprintWish, FilterPlan, Finding, Span
from watervane.reference import (
    CatalogueAnimal,
    Row,
    UnknownAnimalError,
    UnknownNameError,
    find_animal,
    media_surface,
    own_catalogued,
    sourced,
    wet_mass_g,
)
from watervane.units.conversions import DIOXYGEN, NITROGEN

STUDIED_C = 27.2
THRESHOLD_MG_N_PER_L = 0.07  # no film keeps itself below this: zhu_chen1999
HIGHEST_RATE_MG_N_PER_M2_D = 690.0  # however much ammonia: nijhof_bovendeur1990
LITTER_SHARE = 0.7  # of the clean rate, with organic carbon about: michaud2006
TAN_OF_PROTEIN = 0.092  # of food, from memory: timmons_ebeling2007
TAKEN_A_PASS = 1.0 / 3.0  # of the ammonia: more in one pass would starve the far end of the filter
OXYGEN_LEFT_MG_PER_L = 2.0  # behind the filter: house estimate
USUAL_TURNOVER_PER_H = 4.0  # common practice, no source
MG_O2_PER_MG_N = 2.0 * DIOXYGEN / NITROGEN
BUCKET_L_S_PER_H = 36_000.0  # ten litres times the seconds of an hour
ASSUMED_L_PER_G = 10.0  # water for each gram of small fish where nobody is named: house estimate
BREEDS_UNASKED = 1.5  # load to plan for where young come by themselves: house estimate


@sourced("zhu_chen1999", where="R = 1859 (S - 0.07)/(S + 1.93) at 27.2 degC")
@sourced("zhu_chen2002", where="1.1 to 4.3 % a degree")
@sourced("michaud2006", where="C/N 0.5 takes 30 % off")
@sourced("nijhof_bovendeur1990", where="0.69 g/m2/d at the most, 24 degC")
def areal_rate_mg_n_per_m2_d(ammonia_mg_n_per_l: float, temperature_c: float) -> Span:
    """Ammonia that a square metre of settled medium takes a day.

    Parameters
    ----------
    ammonia_mg_n_per_l
        Of the water that flows past. [mg N/L]
    temperature_c
        [degC]

    Returns
    -------
    Span
        From careful to kind. [mg N/(m2 d)]
    """
    above = ammonia_mg_n_per_l - THRESHOLD_MG_N_PER_L
    clean = 1859.0 * above / (ammonia_mg_n_per_l + 1.93)
    colder = min(temperature_c - STUDIED_C, 0.0)
    kind = min(clean * 1.011**colder, HIGHEST_RATE_MG_N_PER_M2_D)
    careful = LITTER_SHARE * min(clean * 1.043**colder, HIGHEST_RATE_MG_N_PER_M2_D)
    return Span(careful, kind)


@sourced("timmons_ebeling2007", where="P = feed x protein x 0.092")
def ammonia_of_food_mg_n_per_d(food_g_per_d: float, protein: float) -> float:
    """Ammonia a day that eaten food leaves. [mg N/d]

    Parameters
    ----------
    food_g_per_d
        [g/d]
    protein
        Share of it. [-]
    """
    return 1e3 * TAN_OF_PROTEIN * protein * food_g_per_d


@dataclass(frozen=True, slots=True)
class Load:
    """Animals and their food: masses of single animals, and whether any of it is assumed.

    ``counted`` is how often each counts: half as much again where its young come unasked.
    """

    animals_g: tuple[float, ...]
    food_g_per_d: float
    assumed: bool
    counted: tuple[float, ...] = ()

    @property
    def of_each(self) -> tuple[float, ...]:
        """How often each animal counts."""
        return self.counted or (1.0,) * len(self.animals_g)

    @property
    def with_young(self) -> bool:
        """Whether young are planned for."""
        return any(each > 1.0 for each in self.counted)


def load_of(wish: BlueprintWish, net_l: float) -> Load:
    """Who is to be fed, and how much; a gram of small fish for ten litres where nobody is named.

    Young of kinds that breed unasked count, as they do in a choice.
    """
    own = own_catalogued(wish.own_animals)
    each_of = []
    for each in wish.animals:
        mass = wet_mass_g(each.species, each.length_cm, wish.own_animals)
        each_of += [(mass, counted_as(each.species, own))] * each.count
    masses = tuple(mass for mass, _ in each_of)
    counted = tuple(share for _, share in each_of)
    assumed = not masses and wish.food_g_per_d is None
    if not masses:
        of_gram = food_need_g_per_d(1.0, wish.water_c).centre
        food = net_l / ASSUMED_L_PER_G * of_gram if assumed else wish.food_g_per_d or 0.0
        masses = (1.0,) * max(round(food / of_gram), 0)
        return Load(masses, food, assumed)
    needed = sum(share * food_need_g_per_d(mass, wish.water_c).centre for mass, share in each_of)
    food = needed if wish.food_g_per_d is None else wish.food_g_per_d
    return Load(masses, food, assumed=False, counted=counted)


def counted_as(species: str, own: Sequence[CatalogueAnimal] = ()) -> float:
    """How often an animal counts towards a load: more where its young come unasked.

    Parameters
    ----------
    species
        By any of its names; nobody knows of young of a stranger.
    own
        The keeper's own rows.
    """
    try:
        animal = find_animal(species, own)
    except UnknownAnimalError:
        return 1.0
    return BREEDS_UNASKED if animal.breeds == "unasked" else 1.0


def filter_plan(
    wish: BlueprintWish, load: Load, net_l: float, oxygen_mg_per_l: float
) -> FilterPlan:
    """Area, media and flow.

    Parameters
    ----------
    wish
        With the target.
    load
        See `load_of`.
    net_l
        [L]
    oxygen_mg_per_l
        In the water that flows in. [mg/L]

    Raises
    ------
    CannotPlan
        For a target no film can hold, or a medium no table knows.
    """
    target = wish.target_ammonia_mg_n_per_l
    surface = _surface(wish)
    ammonia = ammonia_of_food_mg_n_per_d(load.food_g_per_d, wish.protein)
    rate = areal_rate_mg_n_per_m2_d(target, wish.water_c)
    area = Span(ammonia / rate.high, ammonia / rate.low)
    poorest = surface.value if surface.low is None else surface.low
    litres = Span(1e3 * area.low / surface.value, 1e3 * area.high / poorest)
    ammonia_flow = ammonia / 24.0 / (TAKEN_A_PASS * target)
    spare = max(oxygen_mg_per_l - OXYGEN_LEFT_MG_PER_L, 0.5)
    oxygen_flow = MG_O2_PER_MG_N * ammonia / 24.0 / spare
    usual = USUAL_TURNOVER_PER_H * net_l
    least = max(ammonia_flow, oxygen_flow)
    return FilterPlan(
        food_g_per_d=load.food_g_per_d,
        food_assumed=load.assumed,
        young_counted=load.with_young and wish.food_g_per_d is None,
        ammonia_mg_n_per_d=ammonia,
        areal_mg_n_per_m2_d=rate,
        area_m2=area,
        media=surface.extra["kind"],
        media_l=litres,
        ammonia_flow_l_per_h=ammonia_flow,
        oxygen_flow_l_per_h=oxygen_flow,
        turnover_per_h=None if wish.flow_l_per_h is None else wish.flow_l_per_h / net_l,
        usual_flow_l_per_h=usual,
        bucket_seconds=BUCKET_L_S_PER_H / (wish.flow_l_per_h or usual),
        slowest_bucket_seconds=BUCKET_L_S_PER_H / least if least > 0.0 else math.inf,
        enough=_enough(wish, litres, least),
    )


def _surface(wish: BlueprintWish) -> Row:
    """The medium's surface, once its name and the target can be planned with."""
    problems = check_filter(wish)
    if problems:
        raise CannotPlan(problems)
    return media_surface(wish.media)


def check_filter(wish: BlueprintWish) -> list[Finding]:
    """What is wrong with medium and target, if anything."""
    found = []
    if wish.target_ammonia_mg_n_per_l <= THRESHOLD_MG_N_PER_L:
        told = {"target": wish.target_ammonia_mg_n_per_l, "least": THRESHOLD_MG_N_PER_L}
        found.append(Finding("blueprint-target-low", "problem", told))
    try:
        media_surface(wish.media)
    except UnknownNameError:
        found.append(Finding("blueprint-media-unknown", "problem", {"media": wish.media}))
    return found


def media_carry_mg_n_per_l_d(media: str, target_mg_n_per_l: float, temperature_c: float) -> float:
    """Ammonia that a litre of medium takes a day, by the most careful of published rates.

    Parameters
    ----------
    media
        Kind of medium.
    target_mg_n_per_l
        Ammonia that is held. [mg N/L]
    temperature_c
        [degC]

    Returns
    -------
    float
        [mg N/(L d)]
    """
    surface = media_surface(media)
    poorest = surface.value if surface.low is None else surface.low
    return 1e-3 * poorest * areal_rate_mg_n_per_m2_d(target_mg_n_per_l, temperature_c).low


def flow_carries_mg_n_per_d(target_mg_n_per_l: float, oxygen_mg_per_l: float) -> float:
    """Ammonia that each L/h of flow brings to the filter a day, with the oxygen it takes.

    Parameters
    ----------
    target_mg_n_per_l
        Ammonia that is held. [mg N/L]
    oxygen_mg_per_l
        In the water that flows in. [mg/L]

    Returns
    -------
    float
        [mg N/d]
    """
    spare = max(oxygen_mg_per_l - OXYGEN_LEFT_MG_PER_L, 0.5)
    return 24.0 * min(TAKEN_A_PASS * target_mg_n_per_l, spare / MG_O2_PER_MG_N)


def _enough(wish: BlueprintWish, litres: Span, flow_l_per_h: float) -> bool | None:
    if wish.media_l is None and wish.flow_l_per_h is None:
        return None
    media = wish.media_l is None or wish.media_l >= litres.high
    flow = wish.flow_l_per_h is None or wish.flow_l_per_h >= flow_l_per_h
    return media and flow
