"""A tank that does not exist yet: what was worked out."""

from __future__ import annotations

from dataclasses import dataclass

from watervane.records.blueprint import BlueprintWish
from watervane.records.blueprint_section import TankSection
from watervane.records.blueprint_steps import DayRange, Purchase, Timeline, Upkeep
from watervane.records.findings import Finding
from watervane.records.spans import Span
from watervane.records.waters import SourcePlan


@dataclass(frozen=True, slots=True)
class Volumes:
    """Room inside the glass, and the water in it once bed and decor are in."""

    brimful_l: float
    filled_l: float  # to the water line, empty of bed and decor
    grains_l: float  # taken by the grains of the bed
    decor_l: float
    net_l: float


@dataclass(frozen=True, slots=True)
class PartMass:
    """One part and its mass."""

    part: str
    mass_kg: float


@dataclass(frozen=True, slots=True)
class Pane:
    """One pane under the water of a brimful tank.

    ``way`` is how it was worked out: ``plate``, ``curved`` (as if flat) or ``ring``. The two
    thicknesses are the least for the standard's and for the builders' stress.
    """

    part: str  # front, side, bottom, wall
    way: str
    length_cm: float
    height_cm: float
    thickness_mm: float
    top_held: bool
    stress_mpa: float
    deflection_mm: float
    strength_factor: float  # characteristic strength of the glass over the stress
    standard_mm: float
    custom_mm: float
    thin_plate: bool  # whether it bends little enough for the theory of thin plates


@dataclass(frozen=True, slots=True)
class FloorShare:
    """One way to stand the tank: share of what the floor was made for, by bending and by shear."""

    placing: str  # across-at-wall, along-at-wall, across-in-the-middle, along-in-the-middle
    bending_share: float
    shear_share: float
    width_cm: float  # of floor that carries it


@dataclass(frozen=True, slots=True)
class FloorPlan:
    """What the floor bears; ``asked`` is the placing asked about."""

    total_kg: float
    pressure_kpa: float  # under the tank's own footprint
    design_kpa: float
    span_cm: float
    span_assumed: bool
    asked: str | None
    shares: tuple[FloorShare, ...]
    engineer: bool  # whether to ask one in any case


@dataclass(frozen=True, slots=True)
class BedBlend:
    """Two grains stirred together in one layer.

    ``fine_share`` is that of the finer of all grains, by their volume. ``porosity_between`` runs
    from grains so fine that they only fill gaps to grains that lie apart.
    """

    coarse_material: str
    coarse_mm: float
    fine_material: str
    fine_mm: float
    fine_share: float
    porosity: float
    porosity_between: Span


@dataclass(frozen=True, slots=True)
class BedPart:
    """One material of the bed; one of a blend has its share of the layer by volume."""

    material: str
    bulk_l: float
    mass_kg: float
    bags: int
    porosity: float
    area_m2: float  # for bacteria, of the grains that fresh water reaches
    grain_mm: float
    blend: BedBlend | None = None


@dataclass(frozen=True, slots=True)
class SoilPlan:
    """What a soil of the kind that binds lime does to the water above it, and for how long.

    ``fills`` are fillings of the tank with its source water, and ``lasts_weeks`` the time at the
    weekly change of the plan, until it is spent; ``None`` where KH or change is not known.
    ``given_mg_n_per_l`` is all the ammonia that fresh soil gives off, were no water changed.
    """

    mass_kg: float
    binds_meq: Span
    fills: Span | None
    lasts_weeks: Span | None
    held_kh_dkh: Span
    held_ph: Span
    given_mg_n_per_l: Span
    given_days: DayRange


@dataclass(frozen=True, slots=True)
class BedPlan:
    """The bed; a calcareous one lifts KH to ``kh_ceiling_dkh`` at the most.

    ``ph_ceiling`` is the pH that goes with it: low where CO2 is high, high in well aired water.
    """

    parts: tuple[BedPart, ...]
    area_m2: float
    kh_ceiling_dkh: Span | None
    ph_ceiling: Span | None = None
    soil: SoilPlan | None = None


@dataclass(frozen=True, slots=True)
class FilterPlan:
    """Media and flow that hold ammonia at the target.

    Ranges run from the kinder published rates to the more careful; the bed's area is not counted.
    """

    food_g_per_d: float
    food_assumed: bool
    young_counted: bool  # of kinds that breed unasked
    ammonia_mg_n_per_d: float
    areal_mg_n_per_m2_d: Span
    area_m2: Span
    media: str
    media_l: Span
    ammonia_flow_l_per_h: float
    oxygen_flow_l_per_h: float
    turnover_per_h: float | None
    usual_flow_l_per_h: float
    bucket_seconds: float  # to fill ten litres at the flow at hand, else at the usual one
    slowest_bucket_seconds: float  # at the least flow that still carries the plan
    enough: bool | None  # of the filter at hand


@dataclass(frozen=True, slots=True)
class OxygenPlan:
    """Oxygen towards the end of the hottest night, all demand going on."""

    temperature_c: float
    saturation_mg_per_l: float
    animals_mg_per_h: float
    filter_mg_per_h: float
    plants_mg_per_h: float
    still_mg_per_l: float  # nothing moves the surface
    stirred_mg_per_l: float  # the filter's outlet ripples it, air as planned
    wanted_mg_per_l: float
    air_needed_l_per_h: float


@dataclass(frozen=True, slots=True)
class LightPlan:
    """Hours of light a day for the plants wanted; fewer while they take root."""

    hours_per_d: float
    first_hours_per_d: float
    first_days: float


@dataclass(frozen=True, slots=True)
class HeatDay:
    """Heat a tank loses on one day."""

    room_c: float
    lid: bool
    evaporation_w: float
    glass_w: float
    surface_w: float
    total_w: float
    evaporation_l_per_d: float


@dataclass(frozen=True, slots=True)
class HeatPlan:
    """Heater, its failures, cooling and a year's energy.

    ``one_stuck_c`` is the water with one heater for all that never switches off, on the warmest
    day; ``two_stuck_c`` the same with one of two half as large. ``two_failed_c`` is the coldest
    day's water with one of two left. ``unheated_c`` is the warmest day's water with no heater.
    """

    days: tuple[HeatDay, ...]
    heater_w: float
    half_heater_w: float
    duty: float
    one_stuck_c: float
    two_stuck_c: float
    one_failed_c: float
    two_failed_c: float
    unheated_c: float
    unheated_open_c: float
    bearable_c: float  # above which the water is to be cooled
    cooling_w: float
    energy_kwh_per_year: float
    energy_other_lid_kwh_per_year: float
    cost_per_year: float | None
    enough: bool | None


@dataclass(frozen=True, slots=True)
class Blueprint:
    """A plan for setting a tank up, with what to mind."""

    wish: BlueprintWish
    volumes: Volumes
    masses: tuple[PartMass, ...]
    panes: tuple[Pane, ...]
    floor: FloorPlan
    bed: BedPlan
    filter: FilterPlan
    oxygen: OxygenPlan
    light: LightPlan
    heat: HeatPlan
    section: TankSection
    upkeep: Upkeep
    findings: tuple[Finding, ...]
    timeline: Timeline | None = None
    shopping: tuple[Purchase, ...] = ()
    water: SourcePlan | None = None

    @property
    def total_kg(self) -> float:
        """Mass of all parts together. [kg]"""
        return sum(part.mass_kg for part in self.masses)

    @property
    def carried_kg(self) -> float:
        """Mass of all that stands on the stand, or on what is in its place. [kg]"""
        return sum(part.mass_kg for part in self.masses if part.part != "stand")
