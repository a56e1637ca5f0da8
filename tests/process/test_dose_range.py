"""A dose known only within a range reaches the members as that range."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import numpy as np
import pytest

from watervane.process.day_program import Action
from watervane.process.doses import dose_action
from watervane.records import Dose, Span

AT = datetime(2026, 3, 1, 12, tzinfo=UTC)


def dosed(**told: Any) -> Action:
    return dose_action(0.5, Dose(at=AT, substance="ammonia solution", **told), volume_l=50.0)


def test_an_exact_dose_has_no_spread() -> None:
    action = dosed(mass_g=Span.exact(1.0))
    assert action.scalars["dose_log_spread"] == 0.0


def test_a_range_of_drops_is_the_95_per_cent_range_of_what_goes_in() -> None:
    action = dosed(mass_g=Span(0.3, 0.7))
    spread = action.scalars["dose_log_spread"]
    low = dosed(mass_g=Span.exact(0.3)).vectors["add"]["ammonia"]
    high = dosed(mass_g=Span.exact(0.7)).vectors["add"]["ammonia"]
    centre = action.vectors["add"]["ammonia"]
    assert centre * np.exp(-1.96 * spread) == pytest.approx(low)
    assert centre * np.exp(1.96 * spread) == pytest.approx(high)


@pytest.mark.parametrize("kind", ["target_mg_n_per_l", "added_mg_n_per_l"])
def test_a_believed_amount_carries_its_range(kind: str) -> None:
    exact = dosed(**{kind: 2.0})
    doubted = dosed(**{kind: 2.0}, amount_factor=Span(0.5, 2.0))
    assert np.exp(1.96 * doubted.scalars["dose_log_spread"]) == pytest.approx(2.0)
    assert doubted.vectors == exact.vectors
    assert doubted.scalars | {"dose_log_spread": 0.0} == exact.scalars
