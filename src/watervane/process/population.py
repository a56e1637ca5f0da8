"""Animals present over time, as nitrogen, oxygen demand and breath."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from watervane.process.day_program import Action
from watervane.process.metabolism import ROUTINE_OVER_RESTING, resting_oxygen_mg_per_d
from watervane.records import AnimalsIn, AnimalsOut, Died
from watervane.reference import OwnRow, animal_form, value, wet_mass_g

MG_N_PER_G_WET = 25.0  # from memory: 10 % N of a quarter dry mass
MG_O2_PER_G_WET = 350.0  # from memory: 1.4 g/g of a quarter dry mass
FASTING_MG_N_PER_G_D = value("fasting_excretion_mg_n_per_g_d").value  # at 25 degC and 1 g
UNKNOWN_LENGTH_CM = 3.0  # of a fish nobody measured: most are brought home young
FISH_FORMS = ("slender fish", "deep-bodied fish", "goldfish", "eel-like fish")


@dataclass(frozen=True, slots=True)
class Breath:
    """Metabolism per animal nitrogen at 25 degC, from a moment on.

    Parameters
    ----------
    from_d
        [d]
    respiration_mg_o2_per_mg_n_d, fasting_excretion_per_d
        Of the animals then present, zero without any.
    count
        Animals present.
    """

    from_d: float
    respiration_mg_o2_per_mg_n_d: float = 0.0
    fasting_excretion_per_d: float = 0.0
    count: int = 0


@dataclass
class Population:
    """Counts and masses by species; turns its events into actions.

    ``own`` are the keeper's own rows of animals.
    """

    volume_l: float
    counts: dict[str, int] = field(default_factory=dict)
    masses_g: dict[str, float] = field(default_factory=dict)
    history: list[Breath] = field(default_factory=list)
    own: Sequence[OwnRow] = ()

    def record(self, at_d: float, event: AnimalsIn | AnimalsOut | Died) -> Action:
        """Take an event in and say what it does to the water."""
        before = self._nitrogen_mg()
        if isinstance(event, AnimalsIn):
            action = self._arrive(at_d, event)
        else:
            leaving = min(event.count, self.counts.get(event.species, 0))
            self.counts[event.species] = self.counts.get(event.species, 0) - leaving
            gone = leaving * self.masses_g.get(event.species, 0.0) * MG_N_PER_G_WET
            share = gone / before if before > 0 else 0.0
            if isinstance(event, Died):
                stays = 0.0 if event.removed else 1.0
                action = Action(at_d, {"died_share": share, "died_stays": stays})
            else:
                action = Action(at_d, vectors={"keep": _bodies(1.0 - share)})
        self.history.append(self._breath(at_d))
        return action

    def _arrive(self, at_d: float, event: AnimalsIn) -> Action:
        length = event.length_cm or untold_length_cm(event.species, self.own)
        mass = event.mass_g or wet_mass_g(event.species, length, self.own)
        present = self.counts.get(event.species, 0)
        known = self.masses_g.get(event.species, mass)
        total = present + event.count
        self.masses_g[event.species] = (present * known + event.count * mass) / max(total, 1)
        self.counts[event.species] = total
        grams = event.count * mass / self.volume_l
        return Action(
            at_d,
            vectors={
                "add": {
                    "animal_nitrogen": grams * MG_N_PER_G_WET,
                    "animal_matter": grams * MG_O2_PER_G_WET,
                }
            },
        )

    def _nitrogen_mg(self) -> float:
        return MG_N_PER_G_WET * sum(n * self.masses_g.get(s, 0.0) for s, n in self.counts.items())

    def _breath(self, at_d: float) -> Breath:
        nitrogen = self._nitrogen_mg()
        if nitrogen <= 0.0:
            return Breath(at_d)
        oxygen = sum(
            n * ROUTINE_OVER_RESTING * resting_oxygen_mg_per_d(self.masses_g[s])
            for s, n in self.counts.items()
            if n
        )
        fasting = sum(
            n * FASTING_MG_N_PER_G_D * self.masses_g[s] ** 0.8 for s, n in self.counts.items() if n
        )
        return Breath(at_d, oxygen / nitrogen, fasting / nitrogen, sum(self.counts.values()))


def untold_length_cm(species: str, own: Sequence[OwnRow] = ()) -> float:
    """Length of an animal whose size nobody told. [cm]

    Fish come home young, so 3 cm, or what they grow to where that is less. Shrimps, snails and
    amphibians are kept as grown: at 3 cm a bladder snail would weigh twenty times what it does.

    Parameters
    ----------
    species
        As the keeper calls it.
    own
        The keeper's own rows.
    """
    animal = animal_form(species, own)
    if animal.matched == "none":
        return UNKNOWN_LENGTH_CM
    grown = animal.typical_length_cm
    return min(UNKNOWN_LENGTH_CM, grown) if animal.form in FISH_FORMS else grown


def _bodies(share: float) -> dict[str, float]:
    return dict.fromkeys(("gut_nitrogen", "gut_matter", "animal_nitrogen", "animal_matter"), share)
