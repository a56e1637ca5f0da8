"""Every published conversion and dose, one row each, through the functions keepers' texts take.

A tolerance is half a unit of the last printed digit (of the input, where the input is the
printed number). A row that ``differs`` must stay outside it, at the value recorded beside it.
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from pathlib import Path

import pytest

from watervane import units
from watervane.reference import sources, substance
from watervane.units import conversions as c

CSV = Path(__file__).with_name("conversions.csv")
COLUMNS = (
    *("id", "quantity", "inputs", "expected", "tolerance"),
    *("source", "where", "status", "measured", "note"),
)
LITRES = 100.0


def _reading(quantity: str) -> Callable[[str], float]:
    def read(text: str) -> float:
        value = units.parse_reading(text, quantity)
        assert value.low == value.high
        assert value.low is not None
        return value.low

    return read


def _grams_per_100_l(name: str, per_mole: float, mmol_per_l: float) -> float:
    return LITRES * mmol_per_l / per_mole * substance(name).molar_mass_g_per_mol / 1000.0


def _mg_per_mg_n(name: str) -> float:
    salt = substance(name)
    moles = salt.tan_mol + salt.nitrite_mol + salt.nitrate_mol
    return salt.molar_mass_g_per_mol / (moles * c.NITROGEN)


def _grams_per_dgh(name: str) -> float:
    salt = substance(name)
    return _grams_per_100_l(name, salt.calcium_mol + salt.magnesium_mol, c.MMOL_PER_L_PER_DGH)


QUANTITIES: dict[str, Callable[[str], float]] = {
    **{name: _reading(name) for name in ("kh", "gh", "ammonia", "nitrite", "nitrate", "phosphate")},
    "volume": units.parse_volume_l,
    "length": units.parse_length_cm,
    "mass": units.parse_mass_g,
    "temperature": units.parse_temperature_c,
    "english": lambda _: units.parse_hardness_dgh("1 English degree") * c.MG_CACO3_PER_DEGREE,
    "grain": lambda _: units.parse_hardness_dgh("1 grains/gal") * c.MG_CACO3_PER_DEGREE,
    "calcium_per_dgh": lambda _: c.MMOL_PER_L_PER_DGH * c.CALCIUM,
    "magnesium_per_dgh": lambda _: c.MMOL_PER_L_PER_DGH * c.MAGNESIUM,
    "g_per_100l_per_dkh": lambda name: _grams_per_100_l(
        name, substance(name).alkalinity_eq, c.MEQ_PER_L_PER_DKH
    ),
    "g_per_100l_per_dgh": _grams_per_dgh,
    "g_per_3785l_per_10_caco3": lambda name: (
        37.85 * _grams_per_100_l(name, substance(name).alkalinity_eq, 20 / c.CALCIUM_CARBONATE)
    ),
    "mg_per_mg_n": _mg_per_mg_n,
    "mg_per_mg_cl": lambda name: (
        substance(name).molar_mass_g_per_mol / (substance(name).chloride_mol * c.CHLORINE)
    ),
    "mg_per_mg_cl2": lambda name: 1.0 / substance(name).dechlorination_mg_cl2_per_mg,
    "tan_per_chloramine": lambda _: c.NITROGEN / c.DICHLORINE,
}


def _rows() -> list[dict[str, str]]:
    with CSV.open(newline="", encoding="utf-8") as handle:
        reader = csv.DictReader(handle)
        assert tuple(reader.fieldnames or ()) == COLUMNS
        return list(reader)


ROWS = _rows()


@pytest.mark.parametrize("row", ROWS, ids=[f"{r['source']}-{r['id']}" for r in ROWS])
def test_published_conversion(row: dict[str, str]) -> None:
    ours = QUANTITIES[row["quantity"]](row["inputs"])
    off = abs(ours - float(row["expected"]))
    if row["status"] == "agrees":
        assert off <= float(row["tolerance"]), ours
        return
    assert row["status"] in ("differs", "misprint")
    assert off > float(row["tolerance"])
    digits = len(row["measured"].partition(".")[2])
    assert f"{ours:.{digits}f}" == row["measured"]
    assert row["note"]


def test_each_row_names_a_listed_source_once() -> None:
    assert len({row["id"] for row in ROWS}) == len(ROWS)
    assert {row["source"] for row in ROWS} <= set(sources())
