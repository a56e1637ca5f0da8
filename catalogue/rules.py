"""What stands where two reviews differ, column by column, and why: the safer, not the wider."""

from __future__ import annotations

from dataclasses import dataclass

from watervane.reference.catalogue_words import ONE_WORD


@dataclass(frozen=True, slots=True)
class Rule:
    """One subject of the catalogue: its columns, what stands, when reviews differ, and why.

    ``how`` is one of the ways of `catalogue.merging`; ``tolerance`` is how far apart numbers may
    be and still count as the same, a factor where ``by_factor``; ``weighty`` subjects grade a row.
    ``order`` ranks words from careless to careful.
    """

    subject: str
    columns: tuple[str, ...]
    how: str
    why: str
    tolerance: float = 0.0
    by_factor: bool = False
    weighty: bool = False
    order: tuple[str, ...] = ()


def _word(column: str, why: str, order: tuple[str, ...] = (), *, weighty: bool = False) -> Rule:
    ranked = order or ONE_WORD[column]
    return Rule(column, (column,), "more careful", why, order=ranked, weighty=weighty)


RULES: tuple[Rule, ...] = (
    Rule(
        "common_names",
        ("common_names",),
        "union",
        "A name that either knows finds the animal; one that two species claim is nobody's.",
    ),
    Rule("family", ("family",), "first", "Both agree; where they did not, it would be marked."),
    Rule("kind", ("kind",), "first", "As family."),
    Rule(
        "form",
        ("form",),
        "heavier",
        "The heavier of two forms at the same length: more waste, more oxygen, more room.",
    ),
    Rule(
        "adult size",
        ("adult_low_cm", "adult_cm", "adult_high_cm"),
        "lengths",
        "The usual and the largest length are the larger ones: animals get the room and filter of "
        "the bigger. The smallest is the smaller one: it is what others may swallow.",
        tolerance=1.2,
        by_factor=True,
        weighty=True,
    ),
    Rule(
        "group",
        ("group_min",),
        "larger",
        "A larger group never harms a social animal. Where either says that it is kept alone, one "
        "stands: company would harm it.",
        tolerance=2.0,
        weighty=True,
    ),
    *(
        Rule(
            subject,
            columns,
            "overlap",
            "A wider range is the riskier one here: it would send animals into water that one "
            "of two calls wrong. What both call good stands; what either does is kept beside it as "
            "the widest range, outside of which nobody calls the animal well.",
            tolerance=tolerance,
            weighty=True,
        )
        for subject, columns, tolerance in (
            ("temperature", ("temperature_low_c", "temperature_high_c"), 1.0),
            ("ph", ("ph_low", "ph_high"), 0.3),
            ("gh", ("gh_low_dgh", "gh_high_dgh"), 3.0),
            ("kh", ("kh_low_dkh", "kh_high_dkh"), 3.0),
        )
    ),
    Rule("zone", ("zone",), "union", "Whoever may be met somewhere counts as being there."),
    _word("activity", "The livelier needs more room."),
    Rule(
        "tank",
        ("tank_length_cm",),
        "larger",
        "More room harms nobody.",
        tolerance=1.25,
        by_factor=True,
        weighty=True,
    ),
    _word("territory", "Whom it might attack is kept from it.", weighty=True),
    Rule(
        "territory floor",
        ("territory_cm2",),
        "larger",
        "More floor harms nobody.",
        tolerance=1.5,
        by_factor=True,
    ),
    _word(
        "diet",
        "The more particular eater goes hungry on the other's food, not the other way round.",
        ("mixed", "plant", "animal", "growth", "wood"),
    ),
    Rule(
        "protein",
        ("protein_low", "protein_high"),
        "wider",
        "Protein is waste to come, not a need: the wider range carries the doubt into the load.",
        tolerance=0.05,
    ),
    Rule(
        "prey",
        ("prey_share",),
        "larger",
        "Whom it might swallow is kept from it.",
        tolerance=0.1,
        weighty=True,
    ),
    _word("jumps", "A lid harms nobody.", ("no", "yes")),
    _word("eats_plants", "Plants it might eat are not counted on."),
    _word("nips_fins", "Whom it might nip is kept from it.", ("no", "yes")),
    _word("easily_nipped", "It is kept from whoever nips.", ("no", "yes")),
    _word(
        "ammonia_group",
        "The most sensitive of three voices: both reviews and the table that limits are read "
        "from. A published test of the very species stands over all of them.",
        ("hardy", "ordinary", "sensitive", "crustacean", "mollusc", "amphibian"),
    ),
    _word(
        "nitrite_group",
        "As for ammonia.",
        ("tolerant", "sensitive", "very sensitive", "crustacean", "mollusc"),
    ),
    _word("salt_group", "Who bears least salt, by three voices.", ("well", "some", "hardly")),
    _word(
        "brackish",
        "Fresh water is not good for one that may need salt; brackish water not for one that may "
        "not bear it.",
        ("bears", "no", "needs"),
    ),
    _word("breeds", "Young that may come need a place to go."),
    Rule("welfare", ("welfare",), "union", "A need that either knows is a need."),
    Rule("legal", ("legal",), "union", "A law that either knows is to be asked about."),
)
# The least of an overlap that an animal can be kept in; narrower, the narrower review stands.
LEAST_OVERLAP = {"temperature": 1.5, "ph": 0.4, "gh": 2.0, "kh": 2.0}
WEAK_FROM = 4  # weighty subjects that differ
GOOD_UP_TO = 1
GRADES_TOLD = {
    "good": f"at most {GOOD_UP_TO} of the weighty subjects differs, every water range of one "
    "review meets the other's, neither reviewer was unsure, and no comparison below differs",
    "weak": f"{WEAK_FROM} or more of the weighty subjects differ, or a water range of one review "
    "hardly meets the other's, or both reviewers were unsure",
    "fair": "all between",
}
