"""The conversions that are printed as a table are those the parsers use."""

from __future__ import annotations

import pytest

from watervane.reference import load_table
from watervane.units import conversions as c

IN_CODE = {
    "meq_per_l_per_dkh": c.MEQ_PER_L_PER_DKH,
    "mg_caco3_per_l_per_dkh": c.MG_CACO3_PER_DEGREE,
    "mg_hco3_per_l_per_dkh": c.MG_HCO3_PER_DKH,
    "dgh_per_mg_caco3_per_l": 1 / c.MG_CACO3_PER_DEGREE,
    "mmol_per_l_per_dgh": c.MMOL_PER_L_PER_DGH,
    "mg_ca_per_l_per_dgh": c.MMOL_PER_L_PER_DGH * c.CALCIUM,
    "mg_mg_per_l_per_dgh": c.MMOL_PER_L_PER_DGH * c.MAGNESIUM,
    "dgh_per_french_degree": c.MG_CACO3_PER_FRENCH_DEGREE / c.MG_CACO3_PER_DEGREE,
    "mg_caco3_per_english_degree": c.MG_CACO3_PER_ENGLISH_DEGREE,
    "mg_caco3_per_grain_us_gal": c.MG_CACO3_PER_GRAIN_PER_US_GALLON,
    "no3_per_n": c.NO3_PER_N,
    "no2_per_n": c.NO2_PER_N,
    "nh3_per_n": c.NH3_PER_N,
    "nh4_per_n": c.NH4_PER_N,
    "po4_per_p": c.PO4_PER_P,
    "l_per_us_gallon": c.L_PER_US_GALLON,
    "l_per_imperial_gallon": c.L_PER_IMPERIAL_GALLON,
    "ml_per_us_fluid_ounce": c.ML_PER_US_FLUID_OUNCE,
    "cm_per_inch": c.CM_PER_INCH,
    "g_per_pound": c.G_PER_POUND,
    "l_per_cubic_foot": c.L_PER_CUBIC_FOOT,
    "mg_nacl_per_mg_cl": (c.SODIUM + c.CHLORINE) / c.CHLORINE,
    "mg_tan_per_mg_chloramine": c.NITROGEN / c.DICHLORINE,
}
MEASURED = {"tds_per_conductivity", "conductivity_temperature_coefficient"}


def test_the_table_is_complete_and_agrees() -> None:
    rows = {row.id: row for row in load_table("conversions")}
    assert set(rows) == {*IN_CODE, *MEASURED}
    for name, factor in IN_CODE.items():
        assert rows[name].value == pytest.approx(factor, rel=4e-5), name
