"""The columns of the catalogue of animals, and the words a cell may hold."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from watervane.reference.animal_limits import GROUPS, UNKNOWN

NAMES = ("scientific_name", "common_names", "family")
# ends of one range; what a cell of it may be at the least and at the most
RANGES: Mapping[tuple[str, ...], tuple[float, float]] = MappingProxyType(
    {
        ("adult_low_cm", "adult_cm", "adult_high_cm"): (0.3, 400.0),
        ("temperature_low_c", "temperature_high_c"): (0.0, 40.0),
        ("ph_low", "ph_high"): (3.0, 10.0),
        ("gh_low_dgh", "gh_high_dgh"): (0.0, 40.0),
        ("kh_low_dkh", "kh_high_dkh"): (0.0, 40.0),
        ("protein_low", "protein_high"): (0.1, 0.8),
        # what either review allows: of the shipped table alone
        ("widest_temperature_low_c", "widest_temperature_high_c"): (0.0, 40.0),
        ("widest_ph_low", "widest_ph_high"): (3.0, 10.0),
        ("widest_gh_low_dgh", "widest_gh_high_dgh"): (0.0, 40.0),
        ("widest_kh_low_dkh", "widest_kh_high_dkh"): (0.0, 40.0),
    }
)
NUMBERS: Mapping[str, tuple[float, float]] = MappingProxyType(
    {
        "group_min": (1.0, 200.0),
        "tank_length_cm": (10.0, 2000.0),
        "territory_cm2": (0.0, 1e6),
        "prey_share": (0.0, 1.2),
    }
)
_YES_NO = ("yes", "no")
ONE_WORD: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "kind": ("fish", "shrimp", "snail", "amphibian"),
        "form": (
            *("slender fish", "deep-bodied fish", "goldfish", "eel-like fish"),
            *("shrimp", "snail", "axolotl", "dwarf frog"),
        ),
        "activity": ("still", "calm", "active", "fast"),
        "territory": ("none", "own kind", "alike", "bottom", "all"),
        "diet": ("animal", "mixed", "plant", "growth", "wood"),
        "jumps": _YES_NO,
        "eats_plants": ("no", "tender", "yes"),
        "nips_fins": _YES_NO,
        "easily_nipped": _YES_NO,
        "ammonia_group": GROUPS["ammonia group"],
        "nitrite_group": GROUPS["nitrite group"],
        "salt_group": GROUPS["salt group"],
        "brackish": ("no", "bears", "needs"),
        "breeds": ("no", "with effort", "readily", "unasked"),
    }
)
SEVERAL_WORDS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "zone": ("bottom", "middle", "top"),
        "welfare": (
            *("outgrows", "cool water", "current", "sand", "hiding places", "wood", "plants"),
            *("floating plants", "air breather", "covered tank", "scaleless", "no copper"),
            *("live food", "hard to feed", "wild caught", "long lived", "sting", "bites"),
            *("one male", "kept alone", "bred forms suffer", "skilled hands", "calcium"),
            *("clean water", "gravel swallowed", "hunts snails"),
        ),
        "legal": ("trade protected", "wild threatened", "invasive", "forbidden somewhere"),
    }
)
CONFIDENCES = ("high", "medium", "low")
# how far two reviews went together; "one pass" where there was but one, "yours" a keeper's row
GRADES = ("good", "fair", "weak", "one pass", "yours")
ANIMAL_COLUMNS = (
    *NAMES,
    *("kind", "form", "adult_low_cm", "adult_cm", "adult_high_cm", "group_min"),
    *("temperature_low_c", "temperature_high_c", "ph_low", "ph_high"),
    *("gh_low_dgh", "gh_high_dgh", "kh_low_dkh", "kh_high_dkh"),
    *("zone", "activity", "tank_length_cm", "territory", "territory_cm2"),
    *("diet", "protein_low", "protein_high", "prey_share", "jumps", "eats_plants"),
    *("nips_fins", "easily_nipped", "ammonia_group", "nitrite_group", "salt_group"),
    *("brackish", "breeds", "welfare", "legal"),
)
REVIEW_COLUMNS = (*ANIMAL_COLUMNS, "confidence", "note")
# the shipped table: what both reviews came to, and which columns they differed in
WIDEST_COLUMNS = tuple(each for ends in RANGES if ends[0].startswith("widest_") for each in ends)
CATALOGUE_COLUMNS = (
    *(*ANIMAL_COLUMNS, *WIDEST_COLUMNS),
    *("grade", "differs", "source", "quality", "note"),
)
NEEDED = ("scientific_name", "kind", "form")

__all__ = [
    "ANIMAL_COLUMNS",
    "CATALOGUE_COLUMNS",
    "CONFIDENCES",
    "GRADES",
    "NAMES",
    "NEEDED",
    "NUMBERS",
    "ONE_WORD",
    "RANGES",
    "REVIEW_COLUMNS",
    "SEVERAL_WORDS",
    "UNKNOWN",
    "WIDEST_COLUMNS",
]
