"""Bending of glass panes under water: the exact series for thin plates.

A pane is held on both upright edges and at its foot, and is free or held at its top. The load is
expanded in sines along the pane (Lévy); for each sine the equation of the plate has a solution in
closed form across the height, with four constants that the two edges settle.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from watervane.reference import sourced

POISSON = 0.22
YOUNG_PA = 70.0e9
TERMS = 25
STATIONS = 201
Numbers = NDArray[np.floating[Any]]


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
    foot, slope = 1.0, (-1.0 if load == "water" else 0.0)
    terms = np.arange(1, 2 * TERMS, 2)
    alpha = terms * np.pi / aspect
    share = 4.0 / (terms * np.pi) * np.where(terms % 4 == 1, 1.0, -1.0) / alpha**4
    shapes = _shapes(alpha[:, None], y)
    constants = _constants(alpha, poisson, (foot, slope), top_held=top_held)
    form = np.einsum("tc,cts->ts", constants, shapes[0]) + foot + slope * y
    curved = np.einsum("tc,cts->ts", constants, shapes[2])
    bowed = alpha[:, None] ** 2 * form
    along = share @ (bowed - poisson * curved)
    across = share @ (poisson * bowed - curved)
    return Bending(float(max(along.max(), across.max())), float((share @ form).max()))


def _shapes(alpha: Numbers, y: Numbers) -> list[Numbers]:
    """The four homogeneous solutions with their first three derivatives.

    Of shape (4, terms, stations) each, for ``alpha`` of shape (terms, 1).
    """
    down, up = np.exp(-alpha * y), np.exp(-alpha * (1.0 - y))
    a, far = alpha, 1.0 - y
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
        ),
    ]


def _constants(
    alpha: Numbers, poisson: float, load: tuple[float, float], *, top_held: bool
) -> Numbers:
    """Constants of the homogeneous solutions from the conditions at foot and top, (terms, 4)."""
    edges = _shapes(alpha[:, None], np.array([0.0, 1.0]))
    value, first, second, third = (np.moveaxis(each, 2, 0) for each in edges)
    none, one = np.zeros_like(alpha), np.ones_like(alpha)
    foot, slope = load
    top = foot + slope
    rows = [value[0], second[0]]
    told = [-foot * one, none]
    if top_held:
        rows += [value[1], second[1]]
        told += [-top * one, none]
    else:  # no moment and no reaction at a free edge
        rows += [second[1] - poisson * alpha**2 * value[1]]
        rows += [third[1] - (2.0 - poisson) * alpha**2 * first[1]]
        told += [poisson * alpha**2 * top, (2.0 - poisson) * alpha**2 * slope]
    kinds = (one, alpha**2, one, alpha**2) if top_held else (one, alpha**2, alpha**2, alpha**3)
    scale = np.stack(kinds)  # so that no row is far larger than another
    matrix = np.moveaxis(np.stack(rows) / scale[:, None], 2, 0)
    wanted = np.moveaxis(np.stack(told) / scale, 1, 0)
    return np.linalg.solve(matrix, wanted[:, :, None])[:, :, 0]


def stiffness_n_m(thickness_mm: float) -> float:
    """Bending stiffness of a pane, D = E t^3/(12 (1 - nu^2)), in newton metres."""
    return YOUNG_PA * (1e-3 * thickness_mm) ** 3 / (12.0 * (1.0 - POISSON**2))
