"""Blends of two grains against published limits and another published model."""

from __future__ import annotations

import math

import pytest

from watervane.planning.blueprint.packing import (
    MODELS_APART,
    PASSES_RATIO,
    blended_porosity,
    filling_share,
    occupying_share,
)


def test_the_densest_blend_of_grains_far_apart() -> None:
    """furnas1931, from memory: gaps of 0.4 in gaps of 0.4 leave 0.16, at 1/1.4 of coarse grains."""
    coarse = 1.0 / 1.4
    assert blended_porosity(0.4, 0.4, 1.0 - coarse, 0.0) == pytest.approx(0.16)
    around = [blended_porosity(0.4, 0.4, 1.0 - coarse + step, 0.0) for step in (-0.01, 0.01)]
    assert min(around) > 0.16


def test_what_slips_between_three_touching_grains() -> None:
    """Geometry: 2/sqrt(3) - 1 of their diameter; yu_standish1991 has 0.154."""
    assert pytest.approx(2.0 / math.sqrt(3.0) - 1.0, abs=1e-3) == PASSES_RATIO


def test_the_two_functions_go_from_one_to_nothing() -> None:
    for share in (filling_share, occupying_share):
        assert share(0.0) == pytest.approx(1.0)
        assert share(1.0) == pytest.approx(0.0)
        marks = [share(0.05 * step) for step in range(21)]
        assert marks == sorted(marks, reverse=True)


def _mixture_of_1991(fine_share: float, ratio: float, gaps: float) -> float:
    """Two grains of like gaps, less than 6.5 times apart, by the polynomials of yu_standish1991."""
    packed = 1.0 - gaps
    linear = (
        10.288 * 10.0 ** (-1.4566 * packed)
        * (-1.0002 + 0.1126 * ratio + 5.8455 * ratio**2 - 7.9488 * ratio**3 + 3.1222 * ratio**4)
    )  # fmt: skip
    skewed = (
        (-1.3092 + 15.039 * packed - 37.453 * packed**2 + 40.869 * packed**3 - 17.110 * packed**4)
        * (-1.0029 + 0.3589 * ratio + 10.970 * ratio**2 - 22.197 * ratio**3 + 12.434 * ratio**4)
    )  # fmt: skip
    coarse = 1.0 - fine_share
    both = coarse * fine_share
    volume = 1.0 / packed + linear * both + skewed * both * (coarse - fine_share)
    return 1.0 - 1.0 / volume


@pytest.mark.parametrize("gaps", [0.36, 0.40, 0.45])
@pytest.mark.parametrize("ratio", [0.16, 0.2, 0.25, 0.35, 0.5, 0.7])
def test_two_published_models_are_not_far_apart(ratio: float, gaps: float) -> None:
    """How far ours may be off: the older model differs by up to 0.038 of porosity.

    It has more water where fines are few, less where they are many. Keepers are told 0.04.
    """
    marks = [0.05 * step for step in range(1, 20)]
    ours = [blended_porosity(gaps, gaps, share, ratio) for share in marks]
    theirs = [_mixture_of_1991(share, ratio, gaps) for share in marks]
    apart = [one - other for one, other in zip(ours, theirs, strict=True)]
    assert max(abs(each) for each in apart) <= MODELS_APART


@pytest.mark.parametrize("gaps", [0.36, 0.40, 0.45])
@pytest.mark.parametrize("ratio", [0.15, 0.2, 0.3, 0.5])
def test_measured_sands_lie_densest_with_more_fines(ratio: float, gaps: float) -> None:
    """A finding, held at what was measured: ours lie densest with 23 to 29 % of fines.

    Binary mixtures of four sands and their stand-ins did with approximately 40 % (Advances in Civil
    Engineering 2019, 5732656, its abstract alone; sizes and gaps could not be read). The sands were
    graded, which takes away what fines could fill. At 40 % ours has up to 0.041 more water than at
    its own densest: that much the place of the densest blend may cost.
    """
    marks = [0.01 * step for step in range(101)]
    densest = min(marks, key=lambda share: blended_porosity(gaps, gaps, share, ratio))
    assert 0.23 <= densest <= 0.29
    least, there = (blended_porosity(gaps, gaps, each, ratio) for each in (densest, 0.4))
    assert 0.0 < there - least < 0.0415
