"""A docstring's [unit] says what the name's suffix says."""

from __future__ import annotations

from pathlib import Path

import pytest
from docstrings import told_units
from rules import units_that_differ
from source_tree import PACKAGE, python_files
from unit_names import unit_of_bracket, unit_of_name

PLANTED = '''
def warmth_w(temperature_c, flow_l_per_h, depth_m, share):
    """Heat. [W]

    Parameters
    ----------
    temperature_c : float
        Of the water. [degF]
    flow_l_per_h : float or array [L/h]
    depth_m
        Of the water. [cm]
    share : float [-]

    Returns
    -------
    float
        Heat. [kW]
    """


class Pump:
    """A pump.

    Attributes
    ----------
    power_w : float [J]
    """
'''.replace("[kW]", "[kJ]")


def test_brackets_say_what_names_say() -> None:
    assert units_that_differ(PACKAGE) == []


def test_a_wrong_bracket_is_found(tmp_path: Path) -> None:
    (tmp_path / "planted.py").write_text(PLANTED, encoding="utf-8")
    named = [breach.split(": ")[1].split()[0] for breach in units_that_differ(tmp_path)]
    assert sorted(named) == ["depth_m", "power_w", "temperature_c", "warmth_w"]


def test_there_are_brackets_to_compare() -> None:
    compared = [
        told
        for path in python_files(PACKAGE / "chemistry")
        for told in told_units(path)
        if told.unit and unit_of_name(told.name)
    ]
    assert len(compared) > 50


@pytest.mark.parametrize(
    ("bracket", "unit"),
    [
        ("degC", "degC"),
        ("mg N/L", "mg/L"),
        ("mg CaCO3/L", "mg/L"),
        ("mg Mg/L", "mg/L"),
        ("1/h", "1/h"),
        ("W/(m2 K)", "W/K/m2"),
        ("uS/cm at 25 degC", "uS/cm"),
        ("-", "-"),
        ("np.float64", None),
        ("name", None),
    ],
)
def test_a_unit_is_read_off_a_bracket(bracket: str, unit: str | None) -> None:
    assert unit_of_bracket(bracket) == unit
