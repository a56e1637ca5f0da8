"""What more or less water buys novices' animals: calendars of several sizes beside our steps.

Calendars change the same share whatever the water is like. Where our steps lie under their line,
looking at the water is worth something; where they lie on it, it is not.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from typing import Any

import numpy as np

from evidence.closed_loop import KEPT, KEPT_VARIANTS, POLICIES, SCHEDULES, VARIANTS
from evidence.figures import ACCENT, INK, PALE, SCHEMA
from evidence.novices import LOADS
from evidence.sections import Picture, table

OURS = POLICIES[-1]
KINDS: Mapping[str, bool] = {"very sensitive": True, "others": False}
CALENDARS = ("nothing", *SCHEDULES)
OPENING = (
    "What other amounts of water would have bought, by the calendar alone (*half a day* is half "
    "the water each day), done as novices do it:"
)
AS_USUAL = "as usual"
Told = Mapping[str, Any]
Point = tuple[float, float]


def frontier(found: Sequence[Told]) -> str:
    """Tables of calendars and of our steps at other accepted risks, and what they say.

    Parameters
    ----------
    found
        Of each tank, by care.
    """
    head = ("load", "animals", "care", "acute and chronic animal-hours", "burden", "water, L")
    rows, lines = [], []
    for load, kind, some in groups(found):
        for care in (*CALENDARS, OURS):
            hours, burden, litres = _means(each[care] for each in some)
            rows.append((load, kind, care, f"{hours:.0f}", f"{burden:.0f}", f"{litres:.0f}"))
        lines.append(_compared(load, kind, some))
    return "\n\n".join([OPENING, table(head, rows), "\n".join(lines), *_varied()])


def frontier_picture(found: Sequence[Told]) -> Picture:
    """Hours beyond limits against water, a line of calendars and our steps, by kind of tank.

    Parameters
    ----------
    found
        Of each tank, by care.
    """
    points = []
    for load, kind, some in groups(found):
        for care in (*CALENDARS, OURS):
            hours, _, litres = _means(each[care] for each in some)
            of = "our steps" if care == OURS else "by the calendar"
            points.append(
                {"tanks": f"{load}, {kind}", "care": of, "hours": hours, "litres": litres}
            )
    colour = {"domain": ["our steps", "by the calendar"], "range": [ACCENT, PALE]}
    x = {"field": "litres", "type": "quantitative", "title": "water changed in sixty days, L"}
    y = {"field": "hours", "type": "quantitative", "title": "animal-hours beyond limits",
         "scale": {"domainMin": 0}}  # fmt: skip
    shade = {"field": "care", "type": "nominal", "scale": colour, "title": None}
    layers = [
        {
            "transform": [{"filter": "datum.care == 'by the calendar'"}],
            "mark": {"type": "line", "color": PALE, "point": False},
            "encoding": {"x": x, "y": y, "order": {"field": "litres"}},
        },
        {
            "mark": {"type": "point", "filled": True, "size": 80, "opacity": 1},
            "encoding": {"x": x, "y": y, "color": shade},
        },
    ]
    spec = {
        "$schema": SCHEMA,
        "config": {
            "font": "sans-serif",
            "background": "#ffffff",
            "axis": {"labelColor": INK, "titleColor": INK},
        },
        "data": {"values": points},
        "facet": {"field": "tanks", "type": "nominal", "title": None},
        "columns": 2,
        "spec": {"width": 260, "height": 200, "layer": layers},
        "resolve": {"scale": {"x": "independent", "y": "independent"}},
    }
    caption = "Animal-hours beyond limits against water changed, by kind of tank"
    return Picture("frontier", caption, spec)


def water_for(hours: float, calendars: Sequence[Point]) -> float | None:
    """Least water with which calendars leave no more hours, between them in proportion.

    Parameters
    ----------
    hours
        Not to be passed.
    calendars
        Water [L] and hours of each.

    Returns
    -------
    float or None
        [L]; None where none of them is enough.
    """
    line = sorted(calendars)
    for (dry, many), (wet, few) in pairwise(line):
        if many <= hours:
            return dry
        if few <= hours:
            return dry + (wet - dry) * (many - hours) / (many - few)
    return line[-1][0] if line[-1][1] <= hours else None


def groups(found: Sequence[Told]) -> Iterable[tuple[str, str, list[Told]]]:
    """Tanks by their load and their animals, as far as there are some.

    Parameters
    ----------
    found
        Of each tank, by care.
    """
    for load in LOADS:
        for kind, sensitive in KINDS.items():
            some = [f for f in found if f["load"] == load and f["sensitive"] == sensitive]
            if some:
                yield load, kind, some


def _means(told: Iterable[Told]) -> tuple[float, float, float]:
    """Hours, burden and water of tanks."""
    rows = [
        (
            one["acute"] + one["chronic"],
            one["acute burden"] + one["chronic burden"],
            one["litres"],
        )
        for one in told
    ]
    hours, burden, litres = np.mean(np.array(rows), axis=0)
    return float(hours), float(burden), float(litres)


def _compared(load: str, kind: str, some: Sequence[Told]) -> str:
    ours = _means(each[OURS] for each in some)
    said = []
    for place, what in ((0, "hours"), (1, "burden")):
        means = [_means(each[care] for each in some) for care in CALENDARS]
        need = water_for(ours[place], [(one[2], one[place]) for one in means])
        said.append(
            f"for no more {what} a calendar takes "
            + ("more than half the water each day" if need is None else f"{need:.0f} L")
        )
    return (
        f"- {load}, {kind} ({len(some)} tanks): our steps take {ours[2]:.0f} L; {', '.join(said)}."
    )


def _varied() -> list[str]:
    """Our steps at other accepted risks and done in full, beside the same tanks as usual."""
    usual, varied = KEPT.found(), _variants()
    rows: list[tuple[object, ...]] = []
    names = {name for _, name in varied}
    as_usual = {(AS_USUAL, name): usual[name] for name in names}
    for load, kind, _ in groups([usual[name] for name in names]):
        for variant in (AS_USUAL, *VARIANTS):
            some = [
                one[OURS]
                for (of, name), one in {**as_usual, **varied}.items()
                if of == variant
                and (usual[name]["load"], usual[name]["sensitive"]) == (load, KINDS[kind])
            ]
            if some:
                means = (f"{each:.0f}" for each in _means(some))
                rows.append((load, kind, variant, len(some), *means))
    if not rows:
        return []
    head = ("load", "animals", "our steps", "tanks", "acute and chronic animal-hours", "burden",
            "water, L")  # fmt: skip
    note = [KEPT_VARIANTS.note()] if KEPT_VARIANTS.note() else []
    return ["Some tanks with our steps otherwise:", table(head, rows), *note]


def _variants() -> dict[tuple[str, str], Told]:
    """Tanks kept under a variant whose usual course is kept, too, by the variant and the tank."""
    usual = KEPT.found()
    found = {}
    for key, one in KEPT_VARIANTS.found().items():
        variant, _, name = key.partition("/")
        if name in usual:
            found[variant, name] = one
    return found
