"""Panes, floors and filters against numbers from outside the program."""

from __future__ import annotations

import pytest

from watervane.planning.blueprint.panes import (
    CUSTOM_MPA,
    design_stress_mpa,
    ring_stress_mpa,
    upright_pane,
)
from watervane.planning.blueprint.plates import bending

# Exact Lévy series for glass, nu 0.22, water to the top edge, printed to the digits shown:
# length over height, then moment and deflection with the top edge free, and held.
PANES = [
    (0.5, 0.0140, 0.00035, 0.0137, 0.00034),
    (0.75, 0.0231, 0.00129, 0.0201, 0.00107),
    (1.0, 0.0329, 0.00350, 0.0256, 0.00205),
    (1.25, 0.0463, 0.00787, 0.0345, 0.00303),
    (1.5, 0.0584, 0.01441, 0.0419, 0.00388),
    (1.75, 0.0684, 0.02315, 0.0478, 0.00456),
    (2.0, 0.0763, 0.03403, 0.0522, 0.00508),
    (2.5, 0.0871, 0.06186, 0.0579, 0.00576),
    (3.0, 0.0934, 0.09733, 0.0610, 0.00613),
    (4.0, 0.0991, 0.18970, 0.0633, 0.00642),
]


@pytest.mark.parametrize("row", PANES, ids=[str(row[0]) for row in PANES])
def test_coefficients_of_panes(row: tuple[float, ...]) -> None:
    aspect, free_moment, free_bend, held_moment, held_bend = row
    free, held = bending(aspect, top_held=False), bending(aspect, top_held=True)
    assert free.moment == pytest.approx(free_moment, abs=6e-5)
    assert free.deflection == pytest.approx(free_bend, abs=6e-6)
    assert held.moment == pytest.approx(held_moment, abs=6e-5)
    assert held.deflection == pytest.approx(held_bend, abs=6e-6)


def test_classical_plates() -> None:
    """timoshenko_plates, nu 0.3: uniform square w 0.00406, M 0.0479; free edge w 0.01286, M 0.112.

    One edge free: two sources differ in the last digit of the deflection, 0.01285 and 0.01286.
    """
    square = bending(1.0, top_held=True, load="even", poisson=0.3)
    assert square.moment == pytest.approx(0.0479, abs=5e-5)
    assert square.deflection == pytest.approx(0.00406, abs=5e-6)
    free = bending(1.0, top_held=False, load="even", poisson=0.3)
    assert free.moment == pytest.approx(0.112, abs=5e-4)
    assert free.deflection == pytest.approx(0.01286, abs=1.1e-5)


# length, height [m], glass [mm], braced; stress [MPa], mm for 7.25 and for 6 MPa, deflection [mm]
EXAMPLES = [
    (0.60, 0.36, 6.0, False, 4.98, 4.97, 5.47, 0.90),
    (0.60, 0.36, 6.0, True, 3.51, 4.17, 4.59, 0.19),
    (1.20, 0.60, 12.0, False, 6.74, 11.57, 12.71, 2.45),
    (1.20, 0.60, 12.0, True, 4.61, 9.57, 10.51, 0.37),
]


@pytest.mark.parametrize("row", EXAMPLES, ids=[f"{r[0]}-{r[3]}" for r in EXAMPLES])
def test_worked_panes(row: tuple[float, float, float, bool, float, float, float, float]) -> None:
    length, height, glass, braced, stress, standard, six, bent = row
    pane = upright_pane("long", 100 * length, 100 * height, glass, top_held=braced)
    assert pane.stress_mpa == pytest.approx(stress, abs=0.01)
    assert pane.standard_mm == pytest.approx(standard, abs=0.01)
    assert glass * (pane.stress_mpa / 6.0) ** 0.5 == pytest.approx(six, abs=0.01)
    assert pane.deflection_mm == pytest.approx(bent, abs=0.01)
    assert pane.custom_mm == pytest.approx(glass * (stress / CUSTOM_MPA) ** 0.5, rel=2e-3)


def test_design_stress_of_the_standard() -> None:
    """en16612, from memory: 0.29 x 45 / 1.8 = 7.25 MPa; 0.29 is 0.663 t^(-1/16) at 50 years."""
    assert design_stress_mpa() == pytest.approx(7.25, abs=0.005)
    hours = 50 * 365.25 * 24
    assert 0.663 * hours ** (-1 / 16) == pytest.approx(0.29, abs=0.005)


def test_ring_of_glass() -> None:
    """Boiler formula p r / t: 5 kPa, 30 cm, 10 mm: 0.15 MPa."""
    assert ring_stress_mpa(5000.0, 30.0, 10.0) == pytest.approx(0.15)
