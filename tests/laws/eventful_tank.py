"""A tank to which every kind of event happens within a year."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from watervane.records import (
    AnimalsIn,
    AnimalsOut,
    Bed,
    Clean,
    Died,
    Dose,
    EquipmentChange,
    Feed,
    Filter,
    Habit,
    Media,
    MediaMoved,
    Note,
    Outage,
    Seed,
    SourceWater,
    Span,
    Tank,
    TopOff,
    Treatment,
    WaterChange,
)

ZONE = ZoneInfo("Europe/Lisbon")  # its two clock changes fall into the year
FILLED = date(2026, 3, 1)


def at(day: int, hour: float) -> datetime:
    """A local moment, days counted from the fill date."""
    moment = datetime.combine(FILLED + timedelta(days=day), time(), ZONE)
    return moment.replace(hour=int(hour), minute=round(60 * (hour % 1)))


def eventful_tank() -> Tank:
    """Every kind of event, densest in the first weeks."""
    return Tank(
        name="busy corner",
        filled=FILLED,
        time_zone="Europe/Lisbon",
        volume_l=57.0,
        bed=Bed("gravel", 3.0, 3.0),
        filter=Filter((Media("sponge", 0.4),), 300.0),
        heater_power_w=75.0,
        heater_set_point_c=25.0,
        air_flow_l_per_h=30.0,
        light_hours=8.0,
        plants="few",
        lid=True,
        source_water=SourceWater(
            ph=7.6, kh_dkh=5.0, gh_dgh=8.0, nitrate_mg_n_per_l=1.1, chloramine_mg_per_l=1.5
        ),
        events=(
            Dose(at=at(0, 12), substance="conditioner"),
            Dose(at=at(1, 12), substance="ammonium chloride", target_mg_n_per_l=2.0),
            Dose(at=at(2, 12), substance="ammonium chloride", added_mg_n_per_l=0.5),
            Dose(at=at(2, 13), substance="baking soda", mass_g=Span(1.5, 2.5)),
            Seed(at=at(2, 15), source="media", volume_l=0.2, condition="rinsed in tank water"),
            Seed(at=at(2, 15), source="bed", volume_l=0.5, hours_out_of_water=2.0),
            AnimalsIn(at=at(5, 18), species="Danio rerio", count=6, length_cm=3.0),
            AnimalsIn(at=at(20, 18), species="Neritina natalensis", count=2, length_cm=2.0),
            Died(at=at(22, 3), species="Danio rerio", count=1, removed=False),
            Died(at=at(24, 3), species="Danio rerio", count=1, removed=True),
            AnimalsOut(at=at(26, 12), species="Neritina natalensis", count=1),
            MediaMoved(at=at(25, 12.25), fraction=0.3),
            Clean(at=at(27, 11), part="filter", how="tap water"),
            Clean(at=at(27, 11.25), part="bed", how="tank water"),
            Clean(at=at(27, 11.5), part="glass", how="tank water"),
            Outage(at=at(28, 20), hours=9.0, what="all"),
            Outage(at=at(40, 1), hours=30.0, what="filter"),
            Treatment(at=at(45, 12), substance="dye", colony_kill=Span(0.1, 0.4)),
            EquipmentChange(at=at(50, 12), changes={"heater_set_point_c": 27.0}),
            EquipmentChange(at=at(150, 12), changes={"light_hours": 12.0}),
            WaterChange(at=at(30, 17), fraction=0.5, conditioner=False, temperature_c=16.0),
            WaterChange(
                at=at(36, 17), fraction=0.3, water={"kh_dkh": 1.0, "chlorine_mg_per_l": 0.5}
            ),
            Feed(at=at(60, 18.5), mass_g=Span.exact(0.0)),
            TopOff(at=at(33, 9), volume_l=1.0, pure=True),
            Note(at=at(34, 9), text="all well"),
        ),
        habits=(
            Habit(
                template=Feed(at=at(5, 18.5), mass_g=Span(0.03, 0.09)),
                every_days=1,
                start=FILLED + timedelta(days=5),
            ),
            Habit(
                template=WaterChange(at=at(12, 12), fraction=0.2),
                every_days=7,
                start=FILLED + timedelta(days=12),
            ),
            Habit(template=TopOff(at=at(3, 9)), every_days=3, start=FILLED + timedelta(days=3)),
        ),
    )
