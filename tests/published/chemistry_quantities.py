"""What each published chemistry row is compared with: a name in the tables, a call in the code."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from watervane.chemistry import (
    ammonia,
    carbonate,
    carbonate_constants,
    conductivity,
    density,
    disinfectant,
    dissolved_carbon,
    gas_transfer,
    gases,
    hardness,
    heat,
    nitrite_chloride,
    periodic_changes,
    ph_scales,
    salts,
)
from watervane.chemistry.activity import log10_activity_davies

KCAL_OVER_RLN10_K = 1000.0 / (1.987204 * 2.302585092994046)


def ph_ideal(temperature_c: float, kh_dkh: float, co2_mg_per_l: float) -> float:
    """Give pH from KH and CO2 without activity correction."""
    alkalinity = hardness.alkalinity_from_kh(kh_dkh)
    return dissolved_carbon.ph_from_alkalinity_and_co2(alkalinity, co2_mg_per_l, temperature_c)


def ph_sodium(temperature_c: float, kh_dkh: float, co2_mg_per_l: float) -> float:
    """Give pH of sodium bicarbonate water, its ionic strength that of its ions."""
    alkalinity = hardness.alkalinity_from_kh(kh_dkh)
    return dissolved_carbon.ph_from_alkalinity_and_co2(
        alkalinity, co2_mg_per_l, temperature_c, 1e-3 * alkalinity
    )


def ph_calcium(temperature_c: float, kh_dkh: float, co2_mg_per_l: float) -> float:
    """Give pH of calcium bicarbonate water, with the bicarbonate that calcium binds."""
    alkalinity = hardness.alkalinity_from_kh(kh_dkh)
    return dissolved_carbon.ph_from_alkalinity_and_co2(
        alkalinity,
        co2_mg_per_l,
        temperature_c,
        1.5e-3 * alkalinity,
        calcium_mmol_per_l=0.5 * alkalinity,
    )


def ph_in_air(temperature_c: float, co2_ppm: float, kh_dkh: float) -> float:
    """Give pH of sodium bicarbonate water at rest with air."""
    return ph_sodium(temperature_c, kh_dkh, gases.co2_saturation_mg_per_l(temperature_c, co2_ppm))


def rule_factor_ideal(temperature_c: float, kh_dkh: float, co2_mg_per_l: float) -> float:
    """Give k of the rule CO2 = k KH 10^(7 - pH), no activity correction."""
    ph = ph_ideal(temperature_c, kh_dkh, co2_mg_per_l)
    return co2_mg_per_l / (kh_dkh * 10.0 ** (7.0 - ph))


def rule_factor_sodium(temperature_c: float, kh_dkh: float, co2_mg_per_l: float) -> float:
    """Give k of the rule CO2 = k KH 10^(7 - pH) in sodium bicarbonate water."""
    ph = ph_sodium(temperature_c, kh_dkh, co2_mg_per_l)
    return co2_mg_per_l / (kh_dkh * 10.0 ** (7.0 - ph))


def co2_at_partial_pressure(temperature_c: float, pco2_ppm: float) -> float:
    """Give dissolved CO2 [mg/L] at a partial pressure [1e-6 atm]."""
    henry = 10.0 ** carbonate_constants.log10_henry_co2(temperature_c)
    return 1e-3 * pco2_ppm * henry * 44.0095


def _sodium_water(
    temperature_c: float, alkalinity_meq_per_l: float, co2_mg_per_l: float
) -> tuple[float, carbonate.Speciation]:
    strength = 1e-3 * alkalinity_meq_per_l
    ph = dissolved_carbon.ph_from_alkalinity_and_co2(
        alkalinity_meq_per_l, co2_mg_per_l, temperature_c, strength
    )
    carbon = dissolved_carbon.inorganic_carbon_from_ph(
        ph, alkalinity_meq_per_l, temperature_c, strength
    )
    constants = carbonate_constants.carbonate_constants(temperature_c, strength)
    return ph, carbonate.speciate(constants, ph, carbon)


def sodium_water_ph(**water: float) -> float:
    """Give pH of sodium bicarbonate water of known CO2."""
    return _sodium_water(**water)[0]


def sodium_water_dic(**water: float) -> float:
    """Give inorganic carbon [mmol/L] of that water."""
    parts = _sodium_water(**water)[1]
    return parts.co2 + parts.bicarbonate + parts.carbonate


def sodium_water_hco3(**water: float) -> float:
    """Give bicarbonate [mmol/L] of that water."""
    return _sodium_water(**water)[1].bicarbonate


def nitrified_ph(
    temperature_c: float,
    alkalinity_meq_per_l: float,
    co2_mg_per_l: float,
    salt_meq_per_l: float,
) -> float:
    """Give pH of water whose sodium now partly pairs with nitrate."""
    return dissolved_carbon.ph_from_alkalinity_and_co2(
        alkalinity_meq_per_l, co2_mg_per_l, temperature_c, 1e-3 * salt_meq_per_l
    )


def sodium_water_ph_from_dic(
    temperature_c: float,
    alkalinity_meq_per_l: float,
    inorganic_carbon_mmol_per_l: float,
    salt_meq_per_l: float,
) -> float:
    """Give pH from alkalinity and inorganic carbon; `salt_meq_per_l` sets ionic strength."""
    return carbonate.ph_from_alkalinity(
        alkalinity_meq_per_l,
        inorganic_carbon_mmol_per_l,
        temperature_c,
        1e-3 * salt_meq_per_l,
    )


def free_ammonia_percent(ph: float, temperature_c: float, salinity: float = 0.0) -> float:
    """Un-ionised share of ammonia [%]."""
    return 100.0 * ammonia.free_ammonia_fraction(ph, temperature_c, salinity)


def free_ammonia_same_constant(
    ph: float, temperature_c: float, ionic_strength_mol_per_l: float
) -> float:
    """Give the un-ionised share with PHREEQC's own constant: log K -9.252, delta H 12.48 kcal."""
    kelvin = temperature_c + 273.15
    pka = 9.252 - 12.48 * KCAL_OVER_RLN10_K * (1.0 / 298.15 - 1.0 / kelvin)
    log_g1 = log10_activity_davies(temperature_c, ionic_strength_mol_per_l)
    return ammonia.fraction_deprotonated(ph, pka - log_g1)


def ammonium_pka_nbs(temperature_c: float, salinity: float) -> float:
    """Ammonium pKa in sea water on the scale of a buffered meter."""
    total = ammonia.ammonium_pka_clegg1995(temperature_c, salinity)
    return total + ph_scales.nbs_minus_total(temperature_c, salinity)


def oxygen_at_altitude(temperature_c: float, altitude_m: float) -> float:
    """Oxygen saturation [mg/L] of fresh water at a height."""
    pressure = gases.standard_pressure_atm(altitude_m)
    return gases.oxygen_saturation_mg_per_l(temperature_c, 0.0, pressure)


def oxygen_umol_per_kg(temperature_c: float, salinity: float) -> float:
    """Oxygen saturation [umol/kg]."""
    per_l = gases.oxygen_saturation_mg_per_l(temperature_c, salinity)
    return 1e3 * per_l / 31.998 / density.water_density_kg_per_l(temperature_c, salinity)


def chlorine_change_ammonia(chloramine_mg_per_l: float, fraction: float) -> float:
    """Ammonia [mg N/L] that a change with chloraminated water brings to the whole tank."""
    return fraction * disinfectant.ammonia_from_chloramine_mg_n_per_l(chloramine_mg_per_l)


def dechlorinator_dose(substance: str) -> float:
    """Dose per chlorine [mg/mg]."""
    return disinfectant.dechlorinator_mg_per_l(1.0, 0.0, substance)


def dose_per_degree_kh(salt: str, volume_l: float) -> float:
    """Give grams that raise KH by one degree."""
    return salts.dose_for_alkalinity_g(salts.SALTS[salt], hardness.MEQ_PER_DKH, volume_l)


def dose_per_degree_gh(salt: str, volume_l: float) -> float:
    """Give grams that raise GH by one degree."""
    return salts.dose_for_hardness_g(salts.SALTS[salt], hardness.MMOL_PER_DGH, volume_l)


def dose_per_caco3(salt: str, rise_mg_caco3_per_l: float, volume_l: float) -> float:
    """Give grams that raise alkalinity by so much, as calcium carbonate."""
    rise = hardness.alkalinity_from_kh(hardness.degrees_from_caco3(rise_mg_caco3_per_l))
    return salts.dose_for_alkalinity_g(salts.SALTS[salt], rise, volume_l)


def dose_per_nitrogen(salt: str) -> float:
    """Milligrams of salt per milligram of nitrogen."""
    return 1e3 * salts.dose_for_nitrogen_g(salts.SALTS[salt], 1.0, 1.0)


def dose_per_chloride(salt: str) -> float:
    """Milligrams of salt per milligram of chloride."""
    return 1e3 * salts.dose_for_chloride_g(salts.SALTS[salt], 1.0, 1.0)


def _budget(
    length_m: float,
    width_m: float,
    depth_m: float,
    glass_mm: float,
    room_c: float,
    water_c: float,
    surface_factor: float = heat.QUIET_SURFACE,
) -> heat.HeatLoss:
    faces = heat.faces_of_box(length_m, width_m, depth_m, glass_mm)
    return heat.heat_loss(faces, water_c, room_c, 0.5, surface_factor)


def bottom_conductance(glass_mm: float) -> float:
    """Conductance of a bottom pane [W/(m2 K)]."""
    return heat.pane_conductance_w_per_m2_k(glass_mm, heat.HEAT_DOWN_FILM_W_PER_M2_K)


def evaporation_coefficient(water_c: float, air_c: float) -> float:
    """Give kg/s per m2 and kPa times kJ/kg of the evaporation law in still air."""
    rate = heat.evaporation_kg_per_m2_h(water_c, air_c, 0.0, 1.0) / 3600.0
    return rate * heat.latent_heat_kj_per_kg(water_c) / heat.saturation_vapour_pressure_kpa(water_c)


def surface_kla_oxygen(temperature_c: float, depth_m: float) -> float:
    """Give oxygen transfer [1/h] of a still tank without wind."""
    velocity = gas_transfer.transfer_velocity_cm_per_h(
        gas_transfer.k600_cm_per_h(), gas_transfer.schmidt_number_oxygen(temperature_c)
    )
    return gas_transfer.kla_of_surface_per_h(velocity, depth_m)


def mineral_build_up(source: float, evaporating: float, share: float, interval: float) -> float:
    """Of a tank that is topped off with the water its changes are made with."""
    gain = periodic_changes.top_off_gain(source, evaporating)
    return float(periodic_changes.steady_peak(source, gain, share, interval))


def equivalent_conductance(cation: str, anion: str, meq_per_l: float) -> float:
    """Conductance per equivalent [S cm2/eq] of one salt at 25 degC."""
    amounts = {ion: meq_per_l / abs(conductivity.IONS[ion].charge) for ion in (cation, anion)}
    return conductivity.conductivity_us_per_cm_25(amounts) / meq_per_l


QUANTITIES: Mapping[str, Callable[..., float]] = {
    "ammonium_pka_emerson1975": ammonia.ammonium_pka_emerson1975,
    "ammonium_pka_clegg1995": ammonia.ammonium_pka_clegg1995,
    "ammonium_pka_nbs": ammonium_pka_nbs,
    "free_ammonia_percent": free_ammonia_percent,
    "free_ammonia_fraction": ammonia.free_ammonia_fraction,
    "free_ammonia_same_constant": free_ammonia_same_constant,
    "free_ammonia_anthonisen1976": ammonia.free_ammonia_anthonisen1976,
    "free_nitrous_acid_anthonisen1976": ammonia.free_nitrous_acid_anthonisen1976,
    "log10_k1": carbonate_constants.log10_k1,
    "log10_k2": carbonate_constants.log10_k2,
    "log10_henry_co2": carbonate_constants.log10_henry_co2,
    "log10_kw": carbonate_constants.log10_kw,
    "log10_solubility_calcite": carbonate_constants.log10_solubility_calcite,
    "log10_solubility_aragonite": carbonate_constants.log10_solubility_aragonite,
    "ph_ideal": ph_ideal,
    "ph_sodium": ph_sodium,
    "ph_calcium": ph_calcium,
    "ph_in_air": ph_in_air,
    "rule_factor_ideal": rule_factor_ideal,
    "rule_factor_sodium": rule_factor_sodium,
    "co2_saturation_mg_per_l": gases.co2_saturation_mg_per_l,
    "co2_at_partial_pressure": co2_at_partial_pressure,
    "nitrified_ph": nitrified_ph,
    "sodium_water_ph": sodium_water_ph,
    "sodium_water_dic": sodium_water_dic,
    "sodium_water_hco3": sodium_water_hco3,
    "sodium_water_ph_from_dic": sodium_water_ph_from_dic,
    "oxygen_saturation_mg_per_l": gases.oxygen_saturation_mg_per_l,
    "oxygen_at_altitude": oxygen_at_altitude,
    "oxygen_umol_per_kg": oxygen_umol_per_kg,
    "ammonia_solubility_mol_per_m3_pa": gases.ammonia_solubility_mol_per_m3_pa,
    "standard_pressure_atm": gases.standard_pressure_atm,
    "schmidt_number_oxygen": gas_transfer.schmidt_number_oxygen,
    "schmidt_number_co2": gas_transfer.schmidt_number_co2,
    "k600_cm_per_h": gas_transfer.k600_cm_per_h,
    "co2_over_oxygen_transfer": gas_transfer.co2_over_oxygen_transfer,
    "surface_kla_oxygen": surface_kla_oxygen,
    "kla_of_bubbler_per_h": gas_transfer.kla_of_bubbler_per_h,
    "kla_at_temperature": gas_transfer.kla_at_temperature,
    "oxygen_deficit_mg_per_l": gas_transfer.oxygen_deficit_mg_per_l,
    "equivalent_conductance": equivalent_conductance,
    "buffering_spent_caco3": periodic_changes.buffering_spent_mg_caco3_per_l,
    "buffering_spent_dkh": periodic_changes.buffering_spent_dkh,
    "steady_peak": periodic_changes.steady_peak,
    "share_for_peak": periodic_changes.share_for_peak,
    "mineral_build_up": mineral_build_up,
    "conductivity_at_25": conductivity.conductivity_at_25,
    "water_density_kg_per_l": density.water_density_kg_per_l,
    "dechlorinator_dose": dechlorinator_dose,
    "ammonia_from_chloramine_mg_n_per_l": disinfectant.ammonia_from_chloramine_mg_n_per_l,
    "chlorine_change_ammonia": chlorine_change_ammonia,
    "dose_per_degree_kh": dose_per_degree_kh,
    "dose_per_degree_gh": dose_per_degree_gh,
    "dose_per_caco3": dose_per_caco3,
    "dose_per_nitrogen": dose_per_nitrogen,
    "dose_per_chloride": dose_per_chloride,
    "chloride_wanted_mg_per_l": nitrite_chloride.chloride_wanted_mg_per_l,
    "sodium_chloride_wanted_mg_per_l": nitrite_chloride.sodium_chloride_wanted_mg_per_l,
    "saturation_vapour_pressure_kpa": heat.saturation_vapour_pressure_kpa,
    "side_conductance": heat.pane_conductance_w_per_m2_k,
    "bottom_conductance": bottom_conductance,
    "evaporation_coefficient": evaporation_coefficient,
    "budget_evaporation_kg_per_d": lambda **tank: _budget(**tank).evaporation_kg_per_d,
    "budget_evaporation_w": lambda **tank: _budget(**tank).evaporation_w,
    "budget_sides_w": lambda **tank: _budget(**tank).sides_w,
    "budget_bottom_w": lambda **tank: _budget(**tank).bottom_w,
    "budget_surface_w": lambda **tank: _budget(**tank).surface_w,
    "budget_total_w": lambda **tank: _budget(**tank).total_w,
}
