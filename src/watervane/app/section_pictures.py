"""Join a plan and words into the drawing of a tank cut open."""

from __future__ import annotations

from watervane.charts.tank_section import RuledLength, SectionPicture
from watervane.records import Blueprint
from watervane.wording import phrase
from watervane.wording.plan_section import (
    adult_lengths,
    bed_lines,
    load_lines,
    section_description,
    section_reach_cm,
    size_text,
)


def section_picture(plan: Blueprint) -> SectionPicture:
    """Everything a renderer needs to draw a planned tank.

    Parameters
    ----------
    plan
        As worked out.
    """
    section, wish = plan.section, plan.wish
    length, width = section_reach_cm(plan)
    shelf = wish.support == "shelf"

    def cm(value: float) -> str:
        return phrase("section-cm", value=size_text(value))

    return SectionPicture(
        section=section,
        title=phrase("section-title", name=wish.name),
        description=section_description(plan),
        along=phrase("section-along"),
        across=phrase("section-across"),
        length=cm(length),
        width=cm(width),
        height=cm(section.outer_height_cm),
        water=phrase("section-water", value=size_text(section.water_depth_cm)),
        depth=cm(section.water_depth_cm),
        stand=phrase("section-shelf" if shelf else "section-stand"),
        lines=(*bed_lines(plan), *load_lines(plan)),
        wall="" if wish.floor.kind == "ground" else phrase("section-wall"),
        wall_gap_cm=wish.floor.wall_gap_cm,
        frame=not wish.box.full_support,
        to_floor=not shelf,
        ruler=phrase("section-ruler"),
        adults=tuple(RuledLength(label, grown) for label, grown in adult_lengths(plan)),
    )
