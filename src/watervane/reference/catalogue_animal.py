"""One row of the catalogue: what is known of each kind of animal kept in home tanks.

What is not known is ``None``, ``"unknown"`` or an empty tuple; nothing is filled in silently.
"""

from __future__ import annotations

from dataclasses import dataclass

from watervane.reference.animals import body_form
from watervane.reference.catalogue_words import UNKNOWN
from watervane.units import Span


@dataclass(frozen=True, slots=True)
class CatalogueAnimal:
    """One kind of animal, with the ranges in which it is well for years.

    Parameters
    ----------
    scientific_name : str
        Species; a genus in rows that stand for all its species alike.
    common_names : tuple of str
        Names of the trade, the usual one first.
    family : str
        Scientific family.
    kind : str
        ``fish``, ``shrimp``, ``snail`` or ``amphibian``.
    form : str
        Body form, the name of a mass law of `body_form`.
    adult_length_cm : Span or None
        Full-grown, from small to large, the larger sex; measured as its form is. [cm]
    typical_length_cm : float or None
        Full-grown, usual. [cm]
    least_group : int or None
        Least number of its own kind that does it justice.
    temperature_c : Span or None
        In which it is well for years. [degC]
    ph : Span or None
        As temperature.
    gh_dgh : Span or None
        As temperature. [dGH]
    kh_dkh : Span or None
        As temperature. [dKH]
    widest_temperature_c : Span or None
        What either review allows: outside of it nobody calls it well. [degC]
    widest_ph : Span or None
        As the widest temperature.
    widest_gh_dgh : Span or None
        As the widest temperature. [dGH]
    widest_kh_dkh : Span or None
        As the widest temperature. [dKH]
    zones : tuple of str
        ``bottom``, ``middle``, ``top``.
    activity : str
        ``still``, ``calm``, ``active``, ``fast``.
    tank_length_cm : float or None
        Least inner length of a tank for the least group of adults. [cm]
    territory : str
        What it defends its place against: ``none``, ``own kind``, ``alike``, ``bottom``, ``all``.
    territory_cm2 : float or None
        Floor that one defender or a pair claims. [cm2]
    diet : str
        ``animal``, ``mixed``, ``plant``, ``growth``, ``wood``.
    protein_g_per_g : Span or None
        Protein of dry food that suits adults. [g/g]
    prey_share : float or None
        Longest live prey it would take, by its own length; 0 where it takes none. [1]
    jumps, nips_fins, easily_nipped : bool or None
        Leaves an open tank; harms fins; is harmed by such and by quick eaters.
    eats_plants : str
        ``no``, ``tender``, ``yes``.
    ammonia_group, nitrite_group, salt_group : str
        Words of `watervane.reference.animal_limits.GROUPS`.
    brackish : str
        ``no``, ``bears``, ``needs``.
    breeds : str
        In home tanks: ``no``, ``with effort``, ``readily``, ``unasked``.
    welfare, legal : tuple of str
        Keys of notes; `wording` has the sentences.
    grade : str
        How far two reviews went together: ``good``, ``fair``, ``weak``; ``one pass`` where there
        was one, ``yours`` for a keeper's own row.
    differs : tuple of str
        Columns in which the reviews differed; of a keeper's row, those that are the keeper's.
    source, quality : str
        Key of the sources table, and how good that word is; ``keeper`` for a keeper's row.
    note : str
        A sentence, or empty.
    """

    scientific_name: str
    common_names: tuple[str, ...] = ()
    family: str = UNKNOWN
    kind: str = UNKNOWN
    form: str = "slender fish"
    adult_length_cm: Span | None = None
    typical_length_cm: float | None = None
    least_group: int | None = None
    temperature_c: Span | None = None
    ph: Span | None = None
    gh_dgh: Span | None = None
    kh_dkh: Span | None = None
    widest_temperature_c: Span | None = None
    widest_ph: Span | None = None
    widest_gh_dgh: Span | None = None
    widest_kh_dkh: Span | None = None
    zones: tuple[str, ...] = ()
    activity: str = UNKNOWN
    tank_length_cm: float | None = None
    territory: str = UNKNOWN
    territory_cm2: float | None = None
    diet: str = UNKNOWN
    protein_g_per_g: Span | None = None
    prey_share: float | None = None
    jumps: bool | None = None
    eats_plants: str = UNKNOWN
    nips_fins: bool | None = None
    easily_nipped: bool | None = None
    ammonia_group: str = UNKNOWN
    nitrite_group: str = UNKNOWN
    salt_group: str = UNKNOWN
    brackish: str = UNKNOWN
    breeds: str = UNKNOWN
    welfare: tuple[str, ...] = ()
    legal: tuple[str, ...] = ()
    grade: str = "one pass"
    differs: tuple[str, ...] = ()
    source: str = "house-estimate"
    quality: str = "from memory"
    note: str = ""

    @property
    def names(self) -> tuple[str, ...]:
        """All names, the scientific one first."""
        return (self.scientific_name, *self.common_names)

    @property
    def adult_mass_g(self) -> float | None:
        """Wet mass of a usual adult by the law of its form [g]."""
        if self.typical_length_cm is None:
            return None
        law = body_form(self.form)
        return float(law.a.value * self.typical_length_cm**law.b.value)
