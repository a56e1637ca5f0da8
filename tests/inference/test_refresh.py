"""A deep fit raises an alarm where, and only where, a quick one differs."""

from __future__ import annotations

import numpy as np
import pytest

from watervane.inference.fitting import Fitted
from watervane.inference.refresh import compared
from watervane.process.run import Members

NAMES = tuple(f"unknown {i}" for i in range(40))


def fitted(seed: int, members: int, shift: float = 0.0, wide: float = 1.0) -> Fitted:
    z = np.random.default_rng(seed).standard_normal((len(NAMES), members))
    z[7] = wide * z[7] + shift
    nobody = Members(np.arange(members), {}, np.zeros((0, members)), 1)
    return Fitted(nobody, members, float(members), np.zeros(0), None, z, NAMES)


@pytest.mark.parametrize("seed", range(12))
def test_chance_alone_raises_no_alarm(seed: int) -> None:
    found = compared(fitted(seed, 150), fitted(100 + seed, 2000))
    assert not found.alarm
    assert [f.key for f in found.findings] == ["deep-fit-agrees"]
    assert found.findings[0].arguments["members"] == 2000


@pytest.mark.parametrize(("shift", "wide"), [(0.9, 1.0), (0.0, 2.2), (0.0, 0.4)])
def test_a_planted_difference_is_found_and_named(shift: float, wide: float) -> None:
    found = compared(fitted(1, 300, shift, wide), fitted(2, 2000))
    assert found.alarm
    assert found.name == "unknown 7"
    assert [f.key for f in found.findings] == ["deep-fit-disagrees"]


def test_other_unknowns_cannot_be_compared() -> None:
    one = fitted(1, 50)
    other = Fitted(one.members, 50, 50.0, one.fit, None, one.z, NAMES[::-1])
    with pytest.raises(ValueError, match="same unknowns"):
        compared(one, other)
