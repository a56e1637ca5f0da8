"""The words on the drawing of a planned tank, and what it shows for who cannot see it."""

from __future__ import annotations

from watervane.records import BedSlope, Blueprint
from watervane.reference import animal_form, meant_instead
from watervane.wording.amounts import number
from watervane.wording.templates import phrase

LONGEST_BY_DIGITS_CM = 999.5


def section_description(plan: Blueprint) -> str:
    """All that the drawing shows, in sentences."""
    section = plan.section
    length, width = section_reach_cm(plan)
    told = [
        phrase(
            "section-description",
            length=size_text(length),
            width=size_text(width),
            height=size_text(section.outer_height_cm),
            water=size_text(section.water_depth_cm),
        ),
        *bed_lines(plan),
        *load_lines(plan),
    ]
    adults = adult_lengths(plan)
    if adults:
        told.append(phrase("section-adults", adults="; ".join(label for label, _ in adults)))
    return " ".join(told)


def size_text(length_cm: float) -> str:
    """A size to three digits, never in powers of ten."""
    return f"{length_cm:.3g}" if length_cm < LONGEST_BY_DIGITS_CM else f"{length_cm:.0f}"


def section_reach_cm(plan: Blueprint) -> tuple[float, float]:
    """Outside length and width as the drawing has them. [cm]"""
    section = plan.section
    return (
        max((high for _, high in section.along.outer_cm), default=0.0),
        max((high for _, high in section.across.outer_cm), default=0.0),
    )


def bed_lines(plan: Blueprint) -> list[str]:
    """Each layer of the bed with its depths, the lowest first."""
    return [_bed_line(each) for each in plan.section.slopes]


def _bed_line(slope: BedSlope) -> str:
    front, back = f"{slope.front_cm:.2g}", f"{slope.back_cm:.2g}"
    key = "section-bed-level" if front == back else "section-bed-slope"
    material = slope.material
    if slope.blended is not None:
        material = phrase("section-bed-blended", one=material, other=slope.blended)
    return phrase(key, material=material, front=front, back=back)


def load_lines(plan: Blueprint) -> list[str]:
    """What comes down on the floor."""
    frame = not plan.wish.box.full_support
    shelf = plan.wish.support == "shelf"
    return [
        phrase("section-load-shelf", total=number(plan.carried_kg, 3))
        if shelf
        else phrase("section-load", total=number(plan.total_kg, 3)),
        phrase("section-load-frame" if frame else "section-load-flat"),
        phrase("section-pressure", pressure=number(plan.floor.pressure_kpa, 2)),
    ]


def adult_lengths(plan: Blueprint) -> list[tuple[str, float]]:
    """Each kind of animal wished for, with the length it grows to. [cm]"""
    found: dict[str, tuple[str, float]] = {}
    for wish in plan.wish.animals:
        known = animal_form(wish.species, plan.wish.own_animals)
        length = max(wish.length_cm or 0.0, known.typical_length_cm)
        guessed = known.matched == "none" or (
            known.matched != "name" and meant_instead(wish.species) is not None
        )
        key = "section-adult-guess" if guessed else "section-adult"
        found[wish.species] = phrase(key, name=wish.species, length=f"{length:.2g}"), length
    return list(found.values())
