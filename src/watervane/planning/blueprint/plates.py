"""Bending of glass panes under water: the exact series for thin plates.

A pane is held on both upright edges and at its foot, and is free or held at its top. The load is
expanded in sines along the pane (Lévy); for each sine the equation of the plate has a solution in
closed form across the height, with four constants that the two edges settle.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from watervane.reference import sourced

POISSON = 0.22
YOUNG_PA = 70.0e9
TERMS = 25
STATIONS = 201
Numbers = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Bending:
    """Largest moment over load times height squared, largest deflection over load height^4/D."""

    moment: float
    deflection: float


@cache
@sourced("timoshenko_plates", where="simply supported and three-edge plates by Levy's series")
def bending(
    aspect: float, *, top_held: bool, load: str = "water", poisson: float = POISSON
) -> Bending:
    """Coefficients of a pane.

    Parameters
    ----------
    aspect : float
        Length over height. [-]
    top_held : bool
        Whether the top edge is held as well.
    load : str
        ``water`` up to the top edge, or ``even``, as on a bottom pane.
    poisson : float
        Ratio of Poisson. [-]

    Returns
    -------
    Bending
        For the pressure at the foot, on the middle line of the pane.
    """
    y = np.linspace(0.0, 1.0, STATIONS)
    deflection, along, across = np.zeros_like(y), np.zeros_like(y), np.zeros_like(y)
    foot, slope = 1.0, (-1.0 if load == "water" else 0.0)
    for term in range(1, 2 * TERMS, 2):
        alpha = term * np.pi / aspect
        sign = 1.0 if term % 4 == 1 else -1.0
        share = 4.0 / (term * np.pi) * sign / alpha**4
        shapes = _shapes(alpha, y)
        constants = _constants(alpha, poisson, (foot, slope), top_held=top_held)
        form = constants @ shapes[0] + foot + slope * y
        curved = constants @ shapes[2]
        deflection += share * form
        along += share * (alpha**2 * form - poisson * curved)
        across += share * (poisson * alpha**2 * form - curved)
    return Bending(float(max(along.max(), across.max())), float(deflection.max()))


def _shapes(alpha: float, y: Numbers) -> list[Numbers]:
    """The four homogeneous solutions with their first three derivatives, shape (4, stations)."""
    down, up = np.exp(-alpha * y), np.exp(-alpha * (1.0 - y))
    a, far = alpha, 1.0 - y
    zero = np.zeros_like(y)
    return [
        np.stack([down, y * down, up, far * up]),
        np.stack([-a * down, (1 - a * y) * down, a * up, (a * far - 1) * up]),
        np.stack([a**2 * down, (a**2 * y - 2 * a) * down, a**2 * up, (a**2 * far - 2 * a) * up]),
        np.stack(
            [
                -(a**3) * down,
                (3 * a**2 - a**3 * y) * down,
                a**3 * up,
                (a**3 * far - 3 * a**2) * up,
            ]
        )
        + zero,
    ]


def _constants(
    alpha: float, poisson: float, load: tuple[float, float], *, top_held: bool
) -> Numbers:
    """Constants of the homogeneous solutions from the conditions at foot and top."""
    edges = _shapes(alpha, np.array([0.0, 1.0]))
    value, first, second, third = (np.stack([e[:, 0], e[:, 1]]) for e in edges)
    foot, slope = load
    top = foot + slope
    rows = [value[0], second[0]]
    told = [-foot, 0.0]
    if top_held:
        rows += [value[1], second[1]]
        told += [-top, 0.0]
    else:  # no moment and no reaction at a free edge
        rows += [second[1] - poisson * alpha**2 * value[1]]
        rows += [third[1] - (2.0 - poisson) * alpha**2 * first[1]]
        told += [poisson * alpha**2 * top, (2.0 - poisson) * alpha**2 * slope]
    scale = (
        np.array([1.0, alpha**2, 1.0, alpha**2])
        if top_held
        else np.array([1.0, alpha**2, alpha**2, alpha**3])
    )
    return np.linalg.solve(np.stack(rows) / scale[:, None], np.array(told) / scale)


def stiffness_n_m(thickness_mm: float) -> float:
    """Bending stiffness of a pane, D = E t^3/(12 (1 - nu^2)), in newton metres."""
    return YOUNG_PA * (1e-3 * thickness_mm) ** 3 / (12.0 * (1.0 - POISSON**2))
