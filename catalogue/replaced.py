"""What the reviews put in the place of the older table of usual lengths and forms."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from catalogue.merging import Merged
from watervane.reference import body_form, load_table

# What the model takes where a log tells neither length nor mass, whatever the animal.
UNTOLD_LENGTH_CM = 3.0
HEAD = """
## What changed for the model when the reviews came to decide

One value decides: length and form of a reviewed animal are the catalogue's, under whichever name it
is written; the older table of lengths tells of whole genera alone and is a third voice elsewhere.
The usual length is that of an adult. It decides how much food newcomers need where no length is
told, how long an animal of a blueprint grows and what that weighs. It does not decide what
an animal in a log weighs: that is its `mass` or `length` as told, and where neither is told a young
one of 3 cm is taken, as sold. There only the form counts, by the mass law of its shape, and so only
the animals whose form changed weigh something else in a forecast.

| animal | usual length, cm | form | adult, g | of 3 cm, g |
|---|---|---|---|---|"""


def replaced(rows: Sequence[Merged]) -> Iterator[str]:
    """A line an animal whose usual length or form is another one now."""
    older = {row.extra["name"]: row for row in load_table("animals")}
    yield HEAD
    for row in rows:
        before = older.get(row.cells["scientific_name"])
        if before is None:
            continue
        lengths = (before.value, float(row.cells["adult_cm"]))
        forms = (before.extra["form"], row.cells["form"])
        if lengths[0] != lengths[1] or forms[0] != forms[1]:
            adult = [_mass_g(form, cm) for form, cm in zip(forms, lengths, strict=True)]
            young = [_mass_g(form, UNTOLD_LENGTH_CM) for form in forms]
            cells = (_pair([f"{cm:g}" for cm in lengths]), _pair(forms), _pair(adult), _pair(young))
            yield f"| {row.cells['scientific_name']} | {' | '.join(cells)} |"


def _mass_g(form: str, length_cm: float) -> str:
    law = body_form(form)
    mass = law.a.value * length_cm**law.b.value
    return f"{mass:.0f}" if mass >= 100.0 else f"{mass:.2g}"


def _pair(told: Sequence[str]) -> str:
    """What stands now, after what stood before where that was another."""
    before, now = told
    return now if before == now else f"{before}, now {now}"
