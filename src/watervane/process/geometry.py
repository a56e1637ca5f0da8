"""From a tank's glass, bed and machines to the numbers the rates need."""

from __future__ import annotations

import math
from dataclasses import dataclass

from watervane.chemistry.gas_transfer import (
    k600_cm_per_h,
    kla_of_bubbler_per_h,
    kla_of_surface_per_h,
    schmidt_number_oxygen,
    transfer_velocity_cm_per_h,
)
from watervane.chemistry.gases import standard_pressure_atm
from watervane.chemistry.heat import faces_of_box, heat_loss
from watervane.records import EquipmentChange, Finding, Media, Tank, as_fitted
from watervane.reference import media_surface_m2_per_m3

ASSUMED_VOLUME_L = 60.0
BED_POROSITY = 0.4
ACTIVE_BED_DEPTH_CM = {"gravel": 2.0, "sand": 1.0, "soil": 1.5, "coral sand": 1.5, "limestone": 2.0}
GRAIN_MM = {"gravel": 3.0, "sand": 1.0, "soil": 2.0, "coral sand": 1.5, "limestone": 3.0}
RIPPLED_CM_PER_H = 7.0  # of oxygen at 20 degC: house estimate for a gentle filter outlet
PLANT_UPTAKE_MG_N_PER_M2_D = {"none": 0.0, "few": 15.0, "many": 80.0}  # house estimate
ALGAL_CEILING_MG_N_PER_M2 = 60.0  # house estimate, eight hours of light
EVAPORATION_L_PER_M2_D_KPA = 0.089 * 0.74 / 2442.0 * 86400.0  # ashrae, quiet surface
LID_SHARE_OPEN = 0.2
HEATER_W_PER_L = 1.0  # common practice, no source
LIMESTONE = ("coral sand", "limestone")
STOCK_OF_LIMESTONE_MMOL_PER_L = 1000.0  # more than ever dissolves
PLANTED_SHARE = 0.5  # of what they can grow to, plants that were just planted
ASSUMED_MEDIA_SHARE = 0.006  # of the water, in sponge: common practice, no source


@dataclass(frozen=True, slots=True)
class WaterBody:
    """Size of the water, by statement, by measure or by guess.

    Parameters
    ----------
    volume_l
        Water in the full tank, the bed's grains taken off. [L]
    length_m, width_m, depth_m
        Inside; from the volume in customary proportions when not told. [m]
    """

    volume_l: float
    length_m: float
    width_m: float
    depth_m: float


def water_body(tank: Tank) -> tuple[WaterBody, list[Finding]]:
    """Work out how much water a tank holds, as it was filled.

    Returns
    -------
    body, findings
        What was assumed is listed in the findings.
    """
    return _described_body(as_fitted(tank, tank.filled))


def _described_body(tank: Tank) -> tuple[WaterBody, list[Finding]]:
    sides = _inside_m(tank)
    findings: list[Finding] = []
    if sides is not None:
        length, width, depth = sides
        round_share = math.pi / 4.0 if tank.shape and tank.shape.kind == "cylinder" else 1.0
        grains = _bed_depth_cm(tank) / 100.0 * (1.0 - BED_POROSITY) if tank.bed else 0.0
        volume = round_share * length * width * max(depth - grains, 0.3 * depth) * 1000.0
        return WaterBody(tank.volume_l or volume, length, width, depth), findings
    volume = ASSUMED_VOLUME_L if tank.volume_l is None else tank.volume_l
    if tank.volume_l is None:
        findings.append(Finding("assumed-volume", "caution", {"volume_l": volume}))
    edge = (volume / 1000.0 / 2.0) ** (1.0 / 3.0)
    return WaterBody(volume, 2.0 * edge, edge, edge), findings


def _inside_m(tank: Tank) -> tuple[float, float, float] | None:
    shape = tank.shape
    if shape is None or shape.length_cm is None:
        return None
    width = shape.width_cm if shape.kind != "cylinder" else shape.length_cm
    depth = shape.water_depth_cm
    if depth is None and shape.height_cm is not None:
        depth = 0.92 * shape.height_cm
    if width is None or depth is None:
        return None
    glass = 2.0 * (shape.glass_mm or 6.0) / 10.0 if shape.measured == "outside" else 0.0
    return (shape.length_cm - glass) / 100.0, (width - glass) / 100.0, depth / 100.0


def _bed_depth_cm(tank: Tank) -> float:
    if tank.bed is None or tank.bed.material == "none":
        return 0.0
    return 3.0 if tank.bed.depth_cm is None else tank.bed.depth_cm


def tank_geometry(tank: Tank) -> tuple[dict[str, float], list[Finding]]:
    """Compute the constants of one tank, as it is made at the end of the day it was filled.

    Returns
    -------
    geometry, findings
        Numbers by name, units in the names, and what had to be assumed.
    """
    return described_geometry(as_fitted(tank, tank.filled))


def described_geometry(tank: Tank) -> tuple[dict[str, float], list[Finding]]:
    """The same of the description alone, whatever the log tells of bed, media and plants."""
    body, findings = _described_body(tank)
    floor = body.length_m * body.width_m
    glass = 2.0 * (body.length_m + body.width_m) * body.depth_m
    filter_area, flow, more = _filter(tank, body.volume_l)
    findings += more
    geometry = {
        "volume_l": body.volume_l,
        "bed_area_m2": _bed_area_m2(tank, floor, findings),
        "filter_area_m2": filter_area,
        "surface_area_m2": 1.3 * glass + 0.1 * floor,
        "filter_flow_l_per_d": flow * 24.0,
        "pressure_atm": float(standard_pressure_atm(tank.altitude_m)),
        "heater_power_w": _heater_power_w(tank, body.volume_l),
        "carbonate_dissolution_mmol_per_l_d": 0.3
        if tank.bed is not None and tank.bed.material in LIMESTONE
        else 0.0,
    }
    geometry |= _warmth(tank, body) | _gas(tank, body) | _green(tank, body, floor, glass)
    return geometry, findings


def _bed_area_m2(tank: Tank, floor_m2: float, findings: list[Finding]) -> float:
    if tank.bed is None:
        findings.append(Finding("assumed-bed", "info", {}))
        material, depth, grain = "gravel", 3.0, None
    else:
        material, depth, grain = tank.bed.material, _bed_depth_cm(tank), tank.bed.grain_mm
    if material == "none":
        return floor_m2
    active = min(depth, ACTIVE_BED_DEPTH_CM.get(material, 1.5)) / 100.0
    grain_m = (grain or GRAIN_MM.get(material, 3.0)) / 1000.0
    return floor_m2 * active * 6.0 * (1.0 - BED_POROSITY) / grain_m


def _heater_power_w(tank: Tank, volume_l: float) -> float:
    """The strongest heater the tank ever has; one of usual size where only a warmth is told. [W]"""
    later = [event.changes for event in tank.events if isinstance(event, EquipmentChange)]
    told = [tank.heater_power_w, *(each.get("heater_power_w") for each in later)]
    powers = [power for power in told if power is not None]
    if powers:
        return max(powers)
    set_points = [tank.heater_set_point_c, *(each.get("heater_set_point_c") for each in later)]
    return HEATER_W_PER_L * volume_l if any(each is not None for each in set_points) else 0.0


def assumed_media(volume_l: float) -> tuple[Media, ...]:
    """What a filter holds that nobody described."""
    return (Media("sponge", ASSUMED_MEDIA_SHARE * volume_l),)


def _filter(tank: Tank, volume_l: float) -> tuple[float, float, list[Finding]]:
    """Area of the media [m2], flow [L/h], and what was assumed."""
    if tank.filter is None:
        litres = ASSUMED_MEDIA_SHARE * volume_l
        area = litres / 1000.0 * media_surface_m2_per_m3("sponge")
        return area, 4.0 * volume_l, [Finding("assumed-filter", "info", {"media_l": litres})]
    media = tank.filter.media
    area = sum(m.volume_l / 1000.0 * media_surface_m2_per_m3(m.kind) for m in media)
    if not media:
        area = ASSUMED_MEDIA_SHARE * volume_l / 1000.0 * media_surface_m2_per_m3("sponge")
    return area, tank.filter.flow_l_per_h or 4.0 * volume_l, []


def _warmth(tank: Tank, body: WaterBody) -> dict[str, float]:
    glass_mm = (tank.shape.glass_mm if tank.shape else None) or 6.0
    faces = faces_of_box(body.length_m, body.width_m, body.depth_m, glass_mm)
    gap = 5.0
    lid = tank.lid is not False
    loss = heat_loss(faces, 25.0, 25.0 - gap, lid_closed=0.8 if lid else 0.0)
    dry = (loss.sides_w + loss.bottom_w + loss.surface_w) / gap
    open_share = LID_SHARE_OPEN if lid else 1.0
    return {
        "heat_loss_w_per_k": float(dry),
        "evaporation_l_per_d_per_kpa": open_share
        * EVAPORATION_L_PER_M2_D_KPA
        * body.length_m
        * body.width_m,
    }


def _gas(tank: Tank, body: WaterBody) -> dict[str, float]:
    """Transfer of oxygen at 20 degC; `gas_pace` moves it to the water's temperature."""
    velocity = float(transfer_velocity_cm_per_h(k600_cm_per_h(), schmidt_number_oxygen(20.0)))
    still = float(kla_of_surface_per_h(velocity, body.depth_m))
    ripple = float(kla_of_surface_per_h(RIPPLED_CM_PER_H - velocity, body.depth_m))
    per_l_per_h = float(
        kla_of_bubbler_per_h(
            1.0, transfer_efficiency=0.02, volume_l=body.volume_l, temperature_c=20.0
        )
    )
    total = still + ripple + per_l_per_h * (tank.air_flow_l_per_h or 0.0)
    return {
        "gas_transfer_per_h": total,
        "gas_share_still": still / total,
        "gas_share_filter": ripple / total,
        "gas_share_air": per_l_per_h * (tank.air_flow_l_per_h or 0.0) / total,
        "gas_share_per_l_per_h": per_l_per_h / total,  # of air, at whatever flow is in force
    }


def _green(tank: Tank, body: WaterBody, floor_m2: float, glass_m2: float) -> dict[str, float]:
    hours = 8.0 if tank.light_hours is None else tank.light_hours
    uptake = PLANT_UPTAKE_MG_N_PER_M2_D[tank.plants] * floor_m2 / body.volume_l
    algae = ALGAL_CEILING_MG_N_PER_M2 * (glass_m2 + floor_m2) / body.volume_l * hours / 8.0
    return {
        "plant_ceiling_mg_n_per_l": uptake / 0.0125,
        "algal_ceiling_mg_n_per_l": algae,
    }
