"""What one animal is fed: metabolism against what keepers give."""

from __future__ import annotations

import pytest

from watervane.process.food_need import food_need_g_per_d, mass_fed_by_g


@pytest.mark.parametrize("mass_g", [0.2, 0.6, 3.0, 20.0, 100.0])
def test_small_fish_need_one_to_three_and_large_ones_half_to_two_percent(mass_g: float) -> None:
    """Common practice, no source: 1 to 2 % of the mass a day, more for small fish."""
    share = food_need_g_per_d(mass_g).centre / mass_g
    assert (0.01 < share < 0.03) if mass_g < 5.0 else (0.005 < share < 0.02)


def test_food_and_mass_are_each_other_turned_round() -> None:
    for mass in (0.1, 1.0, 30.0):
        assert mass_fed_by_g(food_need_g_per_d(mass).centre) == pytest.approx(mass)


def test_ten_small_animals_eat_more_than_one_of_their_weight() -> None:
    assert 10.0 * food_need_g_per_d(1.0).centre > food_need_g_per_d(10.0).centre


def test_warmer_animals_eat_more() -> None:
    assert food_need_g_per_d(1.0, 28.0).centre > food_need_g_per_d(1.0, 18.0).centre
