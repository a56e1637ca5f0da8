"""What a soil that binds lime does to the water above it: KH, pH, ammonia, and for how long.

Soils of fields are measured by the thousand, soils of tanks hardly ever: what binds is taken from
the first, what is held and given off from memory, with wide bounds. Some soils do nothing of it.
"""

from __future__ import annotations

from collections.abc import Sequence

from watervane.chemistry.dissolved_carbon import alkalinity_from_ph_and_co2
from watervane.chemistry.gases import co2_saturation_mg_per_l, standard_pressure_atm
from watervane.chemistry.hardness import MEQ_PER_DKH
from watervane.planning.blueprint.limestone import RICH_CO2_MG_PER_L
from watervane.records import BedPart, BlueprintWish, DayRange, SoilPlan, Span
from watervane.reference import bed_row, sourced

SOIL = "soil"
GIVEN_DAYS = DayRange(7.0, 21.0, 42.0)  # ammonia from fresh soil: house estimate, from memory


def is_of_soil(wish: BlueprintWish) -> bool:
    """Whether any layer holds soil, alone or stirred in.

    Parameters
    ----------
    wish
        With its layers.
    """
    return any(SOIL in layer.materials for layer in wish.layers)


def soil_plan(
    wish: BlueprintWish,
    parts: Sequence[BedPart],
    net_l: float,
    weekly_change_l: float | None,
) -> SoilPlan | None:
    """Bounds of what the soil of a bed does; ``None`` where it has none.

    Parameters
    ----------
    wish
        Warmth, height, and the KH of the water it is filled and changed with.
    parts
        Of the bed.
    net_l
        [L]
    weekly_change_l
        As planned. [L]
    """
    mass = sum(part.mass_kg for part in parts if part.material == SOIL)
    if mass <= 0.0:
        return None
    binds = _span("bound alkalinity", mass)
    source_kh_dkh = wish.source_water.kh_dkh
    fills = weeks = None
    if source_kh_dkh is not None and source_kh_dkh > 0.0:
        a_litre = MEQ_PER_DKH * source_kh_dkh
        fills = Span(binds.low / (net_l * a_litre), binds.high / (net_l * a_litre))
        if weekly_change_l:
            left = [max(each - net_l * a_litre, 0.0) for each in (binds.low, binds.high)]
            weeks = Span(*(each / (weekly_change_l * a_litre) for each in left))
    held = _span("held ph", 1.0)
    given = _span("given ammonia", mass)
    return SoilPlan(
        mass_kg=mass,
        binds_meq=binds,
        fills=fills,
        lasts_weeks=weeks,
        held_kh_dkh=held_kh_dkh(held, wish),
        held_ph=held,
        given_mg_n_per_l=Span(given.low / net_l, given.high / net_l),
        given_days=GIVEN_DAYS,
    )


@sourced("plummer_busenberg1982", where="alkalinity of a held pH, CO2 held too")
def held_kh_dkh(held_ph: Span, wish: BlueprintWish) -> Span:
    """KH that goes with the pH a soil holds, from well aired water to water rich in CO2. [dKH]

    Parameters
    ----------
    held_ph
        By the soil. [-]
    wish
        Warmth, height and source water, whose KH is the most: no soil of this kind gives any.
    """
    pressure = standard_pressure_atm(wish.altitude_m)
    aired = float(co2_saturation_mg_per_l(wish.water_c, pressure_atm=pressure))
    told = wish.source_water.kh_dkh
    most = float("inf") if told is None else told
    ends = [
        float(alkalinity_from_ph_and_co2(ph, co2, wish.water_c)) / MEQ_PER_DKH
        for ph, co2 in ((held_ph.low, aired), (held_ph.high, RICH_CO2_MG_PER_L))
    ]
    return Span(*(min(max(each, 0.0), most) for each in ends))


def _span(quantity: str, mass_kg: float) -> Span:
    row = bed_row(SOIL, quantity)
    low, high = (row.value if end is None else end for end in (row.low, row.high))
    return Span(mass_kg * low, mass_kg * high)
