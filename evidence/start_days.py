"""Days to settled of a tank nobody has read yet: the prior's answer, for plans.

``python -m evidence.start_days`` rewrites `src/watervane/reference/data/starts.csv`.
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Iterator
from datetime import date
from pathlib import Path

from watervane.engine import ways
from watervane.records import (
    Bed,
    Filter,
    Media,
    NumberQuantiles,
    Shape,
    SourceWater,
    Span,
    StartWay,
    Tank,
)
from watervane.reference import STARTS_COLUMNS

FILE = Path(__file__).resolve().parents[1] / "src/watervane/reference/data/starts.csv"
TEMPERATURES_C = (20.0, 24.0, 28.0)
MEMBERS, HORIZON_DAYS = 400, 120
BASIS = "days from the start; 54 L, KH 6, pH 7.6, meant for 0.16 g of food a day"
FOOD_G_PER_D = 0.16  # ten grown zebrafish


def tank_at(temperature_c: float) -> Tank:
    """The tank of the table: empty, filled, made for ten small fish.

    Parameters
    ----------
    temperature_c
        Of the water. [degC]
    """
    return Tank(
        name="plan",
        filled=date(2026, 3, 1),
        shape=Shape("rectangular", 60.0, 30.0, 36.0, glass_mm=6.0, measured="outside"),
        bed=Bed("gravel", 3.0, 3.0),
        filter=Filter((Media("sponge", 0.12),), 200.0),
        heater_power_w=50.0,
        heater_set_point_c=temperature_c,
        room_temperature_c=20.0,
        light_hours=6.0,
        lid=True,
        normal_food_g_per_d=Span.exact(FOOD_G_PER_D),
        source_water=SourceWater(
            ph=7.6, kh_dkh=6.0, gh_dgh=8.0, nitrate_mg_n_per_l=1.1, chlorine_mg_per_l=0.2
        ),
    )


def rows(temperature_c: float, members: int = MEMBERS) -> Iterator[dict[str, str]]:
    """Every way of one temperature.

    Parameters
    ----------
    temperature_c
        Of the water. [degC]
    members
        Tanks drawn from the prior.
    """
    found = ways(tank_at(temperature_c), horizon_days=HORIZON_DAYS, members=members)
    for way in sorted(found.ways, key=lambda each: each.key):
        yield _row(way, "settled", way.settled_days, way.settled_within, temperature_c)
        yield _row(way, "ready", way.ready_days, way.ready_within, temperature_c)
        if way.dose_plan is not None:
            yield _dosed(way, found.volume_l, temperature_c)


def _row(
    way: StartWay, what: str, days: NumberQuantiles, within: float, temperature_c: float
) -> dict[str, str]:
    most = float(HORIZON_DAYS)
    middle, late = days.p50 or most, days.p95 or most
    early = most if days.p05 is None else days.p05
    return {
        "id": f"start_{what}_{way.key.replace('-', '_')}_{temperature_c:g}",
        "quantity": f"days to {what}",
        "value": f"{middle:g}",
        "low": f"{early:g}",
        "high": f"{late:g}",
        "unit": "d",
        "basis": BASIS,
        "source": "prior-predictive",
        "where": f"{temperature_c:g} degC, 5, 50 and 95 of a hundred tanks",
        "quality": "computed",
        "note": f"figures of {HORIZON_DAYS} d are that or later" if late >= most else "",
        "way": way.key,
        "temperature_c": f"{temperature_c:g}",
        "share_within": f"{within:.3f}",
    }


def _dosed(way: StartWay, volume_l: float, temperature_c: float) -> dict[str, str]:
    """Grams until settled, by the litre: doses follow what tests show, not the load."""
    plan = way.dose_plan
    if plan is None:
        raise ValueError("nothing is dosed this way")
    early, middle, late = (
        1000.0 * (grams or 0.0) / volume_l
        for grams in (plan.dosed_g.p05, plan.dosed_g.p50, plan.dosed_g.p95)
    )
    told = _row(way, "dosed", way.settled_days, way.settled_within, temperature_c)
    return {
        **told,
        "quantity": "dosed until settled",
        "value": f"{middle:.3g}",
        "low": f"{early:.3g}",
        "high": f"{late:.3g}",
        "unit": "mg/L",
        "basis": f"{plan.first.substance}; {BASIS.partition('; ')[2]}",
        "note": "",
    }


def main() -> None:
    """Run all, write the table."""
    found: list[dict[str, str]] = []
    for temperature in TEMPERATURES_C:
        found += rows(temperature)
        sys.stderr.write(f"{temperature:g} degC\n")
    with FILE.open("w", encoding="utf-8", newline="") as out:
        writer = csv.DictWriter(out, STARTS_COLUMNS, lineterminator="\n")
        writer.writeheader()
        writer.writerows(found)


if __name__ == "__main__":
    main()
