"""Animals present over time."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from watervane.process.metabolism import resting_oxygen_mg_per_d
from watervane.process.population import MG_N_PER_G_WET, Population, untold_length_cm
from watervane.records import AnimalsIn, AnimalsOut, Died
from watervane.reference import wet_mass_g

AT = datetime(2026, 3, 1, tzinfo=UTC)


def _arrival(count: int = 6, species: str = "Danio rerio", mass_g: float = 0.5) -> AnimalsIn:
    return AnimalsIn(at=AT, species=species, count=count, mass_g=mass_g)


def test_animals_bring_their_mass() -> None:
    animals = Population(60.0)
    action = animals.record(1.0, _arrival())
    added = action.vectors["add"]
    assert added["animal_nitrogen"] * 60.0 == pytest.approx(6 * 0.5 * MG_N_PER_G_WET)
    assert animals.history[-1].count == 6


def test_a_length_is_turned_into_mass() -> None:
    by_length, by_mass = Population(60.0), Population(60.0)
    species = "Danio rerio"
    one = by_length.record(1.0, AnimalsIn(at=AT, species=species, count=1, length_cm=3.0))
    two = by_mass.record(1.0, _arrival(1, species, wet_mass_g(species, 3.0)))
    assert one.vectors == two.vectors


def test_the_dead_are_carrion_unless_removed() -> None:
    for removed in (True, False):
        animals = Population(60.0)
        animals.record(1.0, _arrival())
        died = Died(at=AT, species="Danio rerio", count=2, removed=removed)
        action = animals.record(2.0, died)
        assert action.scalars["died_share"] == pytest.approx(2 / 6)
        assert action.scalars["died_stays"] == (0.0 if removed else 1.0)
        assert animals.history[-1].count == 4


def test_animals_that_leave_take_their_share_of_body_and_gut() -> None:
    animals = Population(60.0)
    animals.record(1.0, _arrival(4))
    animals.record(1.0, _arrival(1, "Carassius auratus", 6.0))
    kept = animals.record(2.0, AnimalsOut(at=AT, species="Danio rerio", count=4)).vectors["keep"]
    assert set(kept) == {"gut_nitrogen", "gut_matter", "animal_nitrogen", "animal_matter"}
    assert all(share == pytest.approx(6.0 / 8.0) for share in kept.values())


def test_no_more_can_leave_than_are_there() -> None:
    animals = Population(60.0)
    animals.record(1.0, _arrival(2))
    action = animals.record(2.0, Died(at=AT, species="Danio rerio", count=9))
    assert action.scalars["died_share"] == pytest.approx(1.0)
    breath = animals.history[-1]
    assert (breath.count, breath.respiration_mg_o2_per_mg_n_d) == (0, 0.0)
    assert animals.record(3.0, Died(at=AT, species="Danio rerio", count=1)).scalars[
        "died_share"
    ] == pytest.approx(0.0)


@pytest.mark.parametrize("kind", [AnimalsOut, Died])
def test_an_animal_never_logged_may_die_or_leave(kind: type) -> None:
    animals = Population(60.0)
    animals.record(1.0, kind(at=AT, species="Corydoras paleatus", count=1))
    animals.record(2.0, _arrival(3))
    assert animals.history[-1].count == 3


def test_breath_is_that_of_all_animals_together() -> None:
    animals = Population(60.0)
    animals.record(1.0, _arrival(10, mass_g=1.0))
    animals.record(1.0, _arrival(1, "Carassius auratus", 50.0))
    oxygen = animals.history[-1].respiration_mg_o2_per_mg_n_d * 60.0 * MG_N_PER_G_WET
    expected = 1.7 * (10 * resting_oxygen_mg_per_d(1.0) + resting_oxygen_mg_per_d(50.0))
    assert oxygen == pytest.approx(expected)


def test_small_animals_breathe_more_for_their_mass() -> None:
    small, large = Population(60.0), Population(60.0)
    small.record(0.0, _arrival(50, mass_g=0.2))
    large.record(0.0, _arrival(1, mass_g=10.0))
    a, b = small.history[-1], large.history[-1]
    assert a.respiration_mg_o2_per_mg_n_d > b.respiration_mg_o2_per_mg_n_d
    assert a.fasting_excretion_per_d > b.fasting_excretion_per_d


@pytest.mark.parametrize(
    ("species", "length_cm"),
    [
        ("snail", 1.0),
        ("ramshorn snail", 2.0),
        ("Boraras brigittae", 1.8),
        ("cherry shrimp", 2.7),
        ("axolotl", 25.0),
        ("goldfish", 3.0),
        ("nobody knows this one", 3.0),
    ],
)
def test_an_untold_animal_is_as_long_as_its_kind_is_when_it_is_kept(
    species: str, length_cm: float
) -> None:
    assert untold_length_cm(species) == length_cm
    told, untold = Population(60.0), Population(60.0)
    untold.record(1.0, AnimalsIn(at=AT, species=species, count=4))
    told.record(1.0, AnimalsIn(at=AT, species=species, count=4, length_cm=length_cm))
    assert told.masses_g == untold.masses_g
