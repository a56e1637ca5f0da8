"""A dose known only within a range reaches the members as that range."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import numpy as np
import pytest

from watervane.process.day_program import Action
from watervane.process.doses import dose_action
from watervane.records import Dose, Span
from watervane.reference import substance

AT = datetime(2026, 3, 1, 12, tzinfo=UTC)


def dosed(**told: Any) -> Action:
    """A dose from a bottle of told strength, unless another substance is named."""
    told = {"substance": "ammonia solution 9.5 %"} | told
    return dose_action(0.5, Dose(at=AT, **told), volume_l=50.0)


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


def spread(action: Action) -> float:
    return float(action.scalars["dose_log_spread"])


@pytest.mark.parametrize("name", ["ammonia solution", "ascorbic acid", "sodium bicarbonate"])
def test_a_strength_nobody_told_widens_a_weighed_dose_about_the_usual_one(name: str) -> None:
    what = substance(name)
    action = dosed(substance=name, mass_g=Span.exact(1.0))
    ratio = what.strength_span.high / what.strength_span.low
    assert np.exp(2.0 * 1.96 * spread(action)) == pytest.approx(ratio)
    told = dosed(substance=f"{name} {100 * what.strength:g} %", mass_g=Span.exact(1.0))
    assert spread(told) == 0.0
    assert action.vectors["add"] == pytest.approx(told.vectors["add"])


def test_doubts_about_strength_and_amount_add_as_squares() -> None:
    strength = spread(dosed(substance="ammonia solution", mass_g=Span.exact(0.5)))
    drops = spread(dosed(mass_g=Span(0.3, 0.7)))
    both = spread(dosed(substance="ammonia solution", mass_g=Span(0.3, 0.7)))
    assert both**2 == pytest.approx(strength**2 + drops**2)


@pytest.mark.parametrize("kind", ["target_mg_n_per_l", "added_mg_n_per_l"])
def test_a_level_dosed_to_or_by_does_not_hang_on_the_strength(kind: str) -> None:
    assert spread(dosed(substance="ammonia solution", **{kind: 2.0})) == 0.0


def cover(substance_told: str, grams: float | None) -> float:
    """Chlorine a dose covers. [mg/L]"""
    mass = None if grams is None else Span.exact(grams)
    return float(dosed(substance=substance_told, mass_g=mass).vectors["add"]["dechlorinator"])


def test_a_conditioner_covers_by_its_strength_where_that_is_told() -> None:
    """4 mol of thiosulfate pentahydrate (993 g) take at the least 2 mol of Cl2 (141.8 g)."""
    assert cover("conditioner 30 %", 1.0) == pytest.approx(0.3 * 20.0 * 141.8 / 992.7, rel=1e-3)
    assert cover("conditioner 30 %", 1.0) == pytest.approx(3.0 * cover("conditioner 10 %", 1.0))
    assert cover("sodium thiosulfate", 1.0) == pytest.approx(10.0 * cover("conditioner 10 %", 1.0))


@pytest.mark.parametrize("name", ["conditioner", "ammonia binder"])
def test_a_conditioner_of_untold_strength_is_taken_as_dosed_to_its_label(name: str) -> None:
    by_label = cover(name, None)
    assert by_label > 0.0
    assert cover(name, 0.01) == cover(name, 50.0) == by_label
    assert cover(f"{name} 10 %", 0.01) < by_label < cover(f"{name} 10 %", 50.0)
