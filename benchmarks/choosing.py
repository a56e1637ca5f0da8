"""A wish list of 25 kinds: how long the choice takes beside the relaxed program alone."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.optimize import linprog

from watervane.planning.choosing.pairing import pair_reasons
from watervane.planning.choosing.scene import scene_of
from watervane.planning.choosing.standing import Wished, standing_at
from watervane.planning.choosing.whole import choice_of
from watervane.records import (
    AnimalWish,
    BlueprintWish,
    ChoiceWish,
    GlassBox,
    SharedWater,
)
from watervane.reference import catalogue
from watervane.units import Span

AIM_S = 2.0
WISHES = 25
BOX = GlassBox(length_cm=120.0, width_cm=50.0, height_cm=50.0, glass_mm=10.0)
WATER = SharedWater(Span(6.6, 7.4), 8.0, 4.0, 2.0)


@dataclass(frozen=True)
class ChoosingCost:
    """What choosing took.

    Parameters
    ----------
    wishes
        Kinds wished for, of the catalogue one in five.
    choice_s
        Whole choice: reasons, numbers, what binds, what would help; shortest of the repeats. [s]
    relaxed_s
        The same numbers without whole animals, at one temperature, by HiGHS alone. [s]
    """

    wishes: int
    choice_s: float
    relaxed_s: float


def choosing_cost(repeats: int) -> ChoosingCost:
    """Measure here.

    Parameters
    ----------
    repeats
        Of which the shortest counts.
    """
    every = max(len(catalogue()) // WISHES, 1)
    rows = {each.scientific_name: each for each in catalogue()[::every][:WISHES]}
    plan = BlueprintWish("bench", BOX, machines_w=5.0)
    wish = ChoiceWish(plan, tuple(AnimalWish(name) for name in rows), WATER)
    scene = scene_of(wish)
    wished = Wished(rows, {w.species: w for w in wish.animals}, pair_reasons(rows, scene))
    program = standing_at(wished, scene, 24.0).program
    weights = -np.array(program.weights) / np.array(program.most)

    def relaxed() -> object:
        bounds = [(0.0, float(most)) for most in program.most]
        return linprog(weights, A_ub=program.costs, b_ub=program.limits, bounds=bounds)

    return ChoosingCost(
        len(rows), _shortest(lambda: choice_of(wish, rows), repeats), _shortest(relaxed, repeats)
    )


def _shortest(work: Callable[[], object], repeats: int) -> float:
    took = []
    for _ in range(repeats):
        begun = time.perf_counter()
        work()
        took.append(time.perf_counter() - begun)
    return min(took)


def section(found: ChoosingCost) -> str:
    """The page's section."""
    ratio = found.choice_s / max(found.relaxed_s, 1e-9)
    return f"""\
## A wish list

{found.wishes} kinds of the catalogue for one tank: every pair held against the other, every
temperature looked at, numbers by a mixed-integer program, each limit lifted in turn, each change
that might help tried. It took {found.choice_s:.2f} s, {ratio:.0f} times one linear program of the
same kinds and limits without whole animals ({1000.0 * found.relaxed_s:.1f} ms, the same solver).
"""


def aims(found: ChoosingCost) -> list[tuple[str, str, float, float]]:
    """Rows of the table of aims."""
    return [(f"a choice from {found.wishes} wishes", "s", found.choice_s, AIM_S)]
