"""The engine, given another model's matrix and rates, reproduces other codes' results.

Sources: a stirred tank without air by one independent wastewater simulator (three significant
figures), and the benchmark plant BSM1 by its reference code; see the folders under ``data``.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from asm1 import (
    AT,
    MATRIX,
    PARAMETERS,
    STATES,
    SYSTEM,
    all_rates,
    course,
    rates,
    rows_of,
    state_of,
)
from numpy.typing import NDArray

TRANSIENT = rows_of("asm1_cstr_anoxic/cstr_transient.csv")
PRINTED = ("S_I", "S_S", "X_I", "X_S", "X_BH", "X_BA", "X_P", "S_O", "S_NH", "S_ND", "X_ND")
PRINTED += ("S_NO", "S_ALK")
STEPS = 1600  # a sample; coarser steps move one rate over the edge of its third figure
HALF_THIRD_FIGURE = 0.005  # of the leading digit's decade
COUNTED_FROM = 1e-6  # below, the other code's own tolerance shows


def test_conservation_fills_the_gaps_as_published() -> None:
    """Closed forms printed with ASM1."""
    y, ya = PARAMETERS["Y_H"], PARAMETERS["Y_A"]
    nb, np_, f = PARAMETERS["i_XB"], PARAMETERS["i_XP"], PARAMETERS["f_P"]

    def cell(process: str, component: str) -> float:
        return float(MATRIX.coefficients[MATRIX.process(process), MATRIX.component(component)])

    growth = "aerobic_growth_of_heterotrophs"
    assert cell(growth, "S_O") == pytest.approx(-(1 - y) / y)
    assert cell(growth, "S_NH") == pytest.approx(-nb)
    assert cell(growth, "S_ALK") == pytest.approx(-nb / 14)
    anoxic = "anoxic_growth_of_heterotrophs"
    assert cell(anoxic, "S_NO") == pytest.approx(-(1 - y) / (2.86 * y))
    assert cell(anoxic, "S_ALK") == pytest.approx((1 - y) / (14 * 2.86 * y) - nb / 14)
    autotrophs = "growth_of_autotrophs"
    assert cell(autotrophs, "S_O") == pytest.approx(-(4.57 - ya) / ya)
    assert cell(autotrophs, "S_NH") == pytest.approx(-nb - 1 / ya)
    assert cell(autotrophs, "S_ALK") == pytest.approx(-nb / 14 - 1 / (7 * ya))
    decay = "decay_of_heterotrophs"
    assert cell(decay, "X_S") == pytest.approx(1 - f)
    assert cell(decay, "X_ND") == pytest.approx(nb - f * np_)


def _half_a_unit(printed: NDArray[np.float64]) -> NDArray[np.float64]:
    safe = np.where(printed == 0.0, 1.0, np.abs(printed))
    decade = 10.0 ** np.floor(np.log10(safe))
    return np.where(printed == 0.0, COUNTED_FROM, HALF_THIRD_FIGURE * decade)


@cache
def _transient() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    influent = state_of(rows_of("bsm1_openloop/constant_influent.csv")[0])
    printed = np.array([state_of(r, S_ALK="S_ALK_mol_m3") for r in TRANSIENT])
    ours = course(printed[0], influent, 18.446, 0.0, 0.05 / STEPS, len(TRANSIENT) - 1, STEPS)
    return printed, np.asarray(ours)


def test_stirred_tank_without_air() -> None:
    printed, ours = _transient()
    shown = [AT[s] for s in PRINTED]
    off = np.abs(ours - printed) / _half_a_unit(printed)
    small = np.abs(printed) < COUNTED_FROM
    off[small] = np.abs(ours - printed)[small] / COUNTED_FROM
    assert off[:, shown].max() <= 1.0 + 1e-6


def test_rates_of_the_stirred_tank() -> None:
    _, ours = _transient()
    for i in range(len(TRANSIENT)):
        listed = np.array([float(TRANSIENT[i][f"rate_{k}"]) for k in range(1, 9)])
        computed = np.array([float(v) for v in rates(ours[i]).values()])
        loud = listed > COUNTED_FROM
        assert np.all(np.abs(computed - listed)[loud] <= _half_a_unit(listed)[loud] * (1 + 1e-6))


VOLUMES = {"anoxic_2": 1000.0, "aerobic_3": 1333.0, "aerobic_4": 1333.0, "aerobic_5": 1333.0}
KLA = {"anoxic_2": 0.0, "aerobic_3": 240.0, "aerobic_4": 240.0, "aerobic_5": 84.0}
FLOW = 92230.0
DAY_50 = {r["reactor"]: state_of(r) for r in rows_of("bsm1_openloop/bsm1_state_at_50d.csv")}
ORDER = list(DAY_50)


@pytest.mark.parametrize("reactor", ["aerobic_3", "aerobic_4", "aerobic_5"])
def test_benchmark_tank_is_in_balance(reactor: str) -> None:
    """Transport, reaction and aeration cancel to 0.004 g/m3/d, as its readme states."""
    feed = DAY_50[ORDER[ORDER.index(reactor) - 1]]
    found, _ = all_rates(DAY_50[reactor], feed, FLOW / VOLUMES[reactor], KLA[reactor])
    change = SYSTEM.coefficients.T @ np.array([float(found[p]) for p in SYSTEM.processes])
    for state in ("S_O", "S_NH", "S_NO"):
        assert abs(change[AT[state]]) < 0.004, state
    assert abs(float(found["growth_of_autotrophs"])) > 10.0, "the terms themselves are large"


@pytest.mark.parametrize("reactor", list(VOLUMES))
def test_benchmark_tank_settles_at_its_own_row(reactor: str) -> None:
    """Fed with the row above, from a state well off, each tank comes to its published row.

    Day 50 is still moving: the slowest states by 0.1 % a day, which over a tank's quarter of an
    hour is far below the tolerance.
    """
    feed = DAY_50[ORDER[ORDER.index(reactor) - 1]]
    dilution = FLOW / VOLUMES[reactor]
    end = np.asarray(course(1.3 * feed, feed, dilution, KLA[reactor], 1e-4, 1, 6000))[-1]
    published = DAY_50[reactor]
    for state in (s for s in STATES if s != "S_N2"):
        here = published[AT[state]]
        tolerance = 3e-5 * abs(here)
        assert end[AT[state]] == pytest.approx(here, abs=tolerance), state
