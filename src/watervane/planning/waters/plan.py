"""A source water from report to advice: as it is, whom it suits, a recipe where one is wanted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from watervane.chemistry.gases import co2_saturation_mg_per_l, standard_pressure_atm
from watervane.planning.waters.blending import Shelf
from watervane.planning.waters.fitting import suited
from watervane.planning.waters.ions import aired
from watervane.planning.waters.recipes import conditioned, recipe_for, usual_salts
from watervane.planning.waters.report import pure, read_report
from watervane.records import (
    Finding,
    IonWater,
    PouredWater,
    SaltAtHand,
    SharedWater,
    SourcePlan,
    SourceWater,
    Span,
    WaterReport,
    WaterTarget,
)

MEMBRANE_KEEPS = 0.03  # of the ions: house estimate for a membrane in good order
# In the keeper's money and minutes a litre: house estimates.
TAP_PRICE, MEMBRANE_PRICE, RAIN_PRICE = 0.004, 0.02, 0.0
MEMBRANE_MINUTES, RAIN_MINUTES = 0.3, 0.5
ONCE_MINUTES = 2.0
CROWDED_CO2_MG_PER_L = 5.0  # in a tank with animals and little air: house estimate
MEMBRANE, RAIN = "reverse osmosis", "rain"


@dataclass(frozen=True, slots=True)
class AtHand:
    """What a keeper may mix: other waters by name, salts by name, and what was told of rain."""

    waters: tuple[str, ...] = ()
    salts: tuple[SaltAtHand, ...] = ()
    rain: WaterReport | None = None


def shelf_of(tap: PouredWater, at_hand: AtHand) -> Shelf:
    """The tap and all else there is to mix."""
    waters = [tap, *(_other(name, tap, at_hand.rain) for name in at_hand.waters)]
    return Shelf(tuple(waters), at_hand.salts)


def _other(name: str, tap: PouredWater, rain: WaterReport | None) -> PouredWater:
    if name == RAIN:
        water = pure(RAIN) if rain is None else read_report(rain)
        return PouredWater(water, RAIN_PRICE, RAIN_MINUTES, ONCE_MINUTES)
    membrane = pure(MEMBRANE, MEMBRANE_KEEPS, tap.water)
    return PouredWater(membrane, MEMBRANE_PRICE, MEMBRANE_MINUTES, ONCE_MINUTES)


def source_plan(
    report: WaterReport, at_hand: AtHand, target: WaterTarget, price_per_l: float = TAP_PRICE
) -> SourcePlan:
    """Work a source water out.

    Parameters
    ----------
    report
        The tap or well.
    at_hand
        Waters and salts to change it with.
    target
        Ranges wanted; without any, no recipe is made.
    price_per_l
        Of the tap.

    Raises
    ------
    watervane.planning.waters.report.CannotRead
        Where the report contradicts itself.
    """
    water = read_report(report)
    tap = PouredWater(water, price_per_l)
    air = aired(water.ions, target.temperature_c, target.co2_ppm, target.altitude_m)
    tank_ph = Span(min(_crowded_ph(water, target), air.ph), air.ph)
    suits, not_suited = suited(SharedWater(tank_ph, air.gh_dgh, air.kh_dkh))
    shelf = shelf_of(tap, at_hand)
    more = Shelf(_missing_waters(tap, at_hand), usual_salts())
    return SourcePlan(
        report=report,
        water=water,
        aired=air,
        tank_ph=tank_ph,
        suits=suits,
        suits_not=not_suited,
        conditioned=conditioned([(water, 1.0)], target.batch_l),
        recipe=recipe_for(shelf, target, more) if target.ranges else None,
        findings=(*water.findings, *_read_ph(report, air.ph)),
    )


def _crowded_ph(water: IonWater, target: WaterTarget) -> float:
    """PH where animals and bacteria keep CO2 well above the air's."""
    pressure = float(standard_pressure_atm(target.altitude_m))
    air = float(co2_saturation_mg_per_l(target.temperature_c, 420.0, pressure))
    ppm = 420.0 * CROWDED_CO2_MG_PER_L / air
    return aired(water.ions, target.temperature_c, ppm, target.altitude_m).ph


def _missing_waters(tap: PouredWater, at_hand: AtHand) -> tuple[PouredWater, ...]:
    return () if MEMBRANE in at_hand.waters else (_other(MEMBRANE, tap, None),)


def _read_ph(report: WaterReport, aired_ph: float) -> Sequence[Finding]:
    """A report's pH is that of water under pressure, often with CO2 that air takes out."""
    if report.ph is None or abs(report.ph - aired_ph) < 0.3:
        return ()
    return (Finding("water-ph-moves", "caution", {"ph": report.ph, "aired": aired_ph}),)


def as_source_water(plan: SourcePlan) -> SourceWater:
    """The plan's water as a tank file tells it: the recipe's where there is one.

    Its pH is that after airing, which is how the tank will have it. What is only a guess is left
    out, so that a forecast carries the doubt.
    """
    recipe = plan.recipe
    air = plan.aired if recipe is None else recipe.made
    dosed = plan.conditioned if recipe is None else recipe.conditioned
    report, guessed = plan.report, "water-assumed" in {each.key for each in plan.findings}
    shares = [part for part in recipe.parts if part.name == plan.water.name] if recipe else []
    tapped = sum(part.measured for part in shares) / recipe.target.batch_l if recipe else 1.0
    ammonia = report.ammonia_mg_n_per_l
    disinfected = not dosed.assumed
    return SourceWater(
        ph=round(air.ph, 2),
        kh_dkh=_short(air.kh_dkh),
        gh_dgh=_short(air.gh_dgh),
        ammonia_mg_n_per_l=None if ammonia is None else _short(tapped * ammonia),
        nitrate_mg_n_per_l=_short(air.nitrate_mg_n_per_l) if _is_told(report) else None,
        chlorine_mg_per_l=_short(dosed.chlorine_mg_per_l) if disinfected else None,
        chloramine_mg_per_l=_short(dosed.chloramine_mg_per_l) if disinfected else None,
        chloride_mg_per_l=None if guessed else _short(air.chloride_mg_per_l),
        conductivity_us_per_cm=None if guessed else _short(air.conductivity_us_per_cm),
    )


def shared_water(plan: SourcePlan) -> SharedWater:
    """The water animals are to share: the recipe's where there is one, else the source's.

    In a tank CO2 takes pH down by as much in one water as in the other, near enough.
    """
    recipe = plan.recipe
    air = plan.aired if recipe is None else recipe.made
    down = plan.aired.ph - plan.tank_ph.low
    told = _is_told(plan.report) or recipe is not None
    return SharedWater(
        tank_ph=Span(air.ph - down, air.ph),
        gh_dgh=air.gh_dgh,
        kh_dkh=air.kh_dkh,
        nitrate_mg_n_per_l=air.nitrate_mg_n_per_l if told else None,
    )


def steady_water(
    shared: SharedWater, plan: SourcePlan, others: Sequence[SourcePlan]
) -> SharedWater:
    """The same water with the pH that it has at every temperature looked at.

    PH moves with temperature; a kind that suits what is left suits the water at each of them.

    Parameters
    ----------
    shared
        At the temperature of the plan.
    plan
        Its source water.
    others
        The same source water at other temperatures.
    """
    if shared.tank_ph is None:
        return shared
    low = max((0.0, *(each.tank_ph.low - plan.tank_ph.low for each in others)))
    high = min((0.0, *(each.tank_ph.high - plan.tank_ph.high for each in others)))
    low, high = shared.tank_ph.low + low, shared.tank_ph.high + high
    return replace(shared, tank_ph=Span(min(low, high), max(low, high)))


def _is_told(report: WaterReport) -> bool:
    return report.nitrate_mg_n_per_l is not None


def _short(level: float) -> float:
    """To three digits: no test kit tells more."""
    return float(f"{level:.3g}")
