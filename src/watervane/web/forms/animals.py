"""Animals that came, left or died."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime

from watervane.app import Line
from watervane.app.animals import animal_names
from watervane.app.habits import Usual
from watervane.records import AnimalsIn, AnimalsOut, Died, Event, Habit, Reading, Tank
from watervane.web.forms.fields import Field, Told, asked, options
from watervane.web.forms.lengths import length_told, name_and_length
from watervane.wording import phrase

KIND = "animals"
WHAT = {"animals-in": AnimalsIn, "animals-out": AnimalsOut, "died": Died}


def fields(tank: Tank, usual: Usual) -> tuple[Field, ...]:
    """What happened, to which, how many; of newcomers the size, where it is known."""
    hint = phrase("form-animals-species-hint")
    names = animal_names(tank.own_animals, usual.animals)
    return (
        asked(KIND, "what", "pick", value="animals-in", options=options(KIND, "what", [*WHAT])),
        asked(KIND, "species", "text", hint=hint, suggested=names),
        asked(KIND, "count", "number", short=True),
        asked(KIND, "length", "text", hint=phrase("form-animals-length-hint"), short=True),
    )


def lines(
    typed: Mapping[str, str], _tank: Tank, _usual: Usual, at: date | datetime | None
) -> list[Told]:
    """One line."""
    kind = typed.get("what", "")
    kind = kind if kind in WHAT else "animals-in"
    species, beside = name_and_length(typed.get("species", ""))
    count = typed.get("count", "").strip()
    told = {"species": species, "count": count}
    if kind == "animals-in":
        told["length"] = length_told(typed.get("length", "")) or beside
    words = [f"{name}={value}" for name, value in told.items() if value]
    own = {name: name for name in ("species", "count", "length")}
    return [Told(Line(kind, tuple(words), at), {"": "species", "kind": "what", **own})]


def from_entry(what: Event | Habit | Reading) -> dict[str, str]:
    """What to fill in for an entry that is corrected."""
    happened = what.template if isinstance(what, Habit) else what
    if not isinstance(happened, AnimalsIn | AnimalsOut | Died):
        return {}
    kind = next(word for word, record in WHAT.items() if isinstance(happened, record))
    told = {"what": kind, "species": happened.species, "count": str(happened.count)}
    if isinstance(happened, AnimalsIn) and happened.length_cm is not None:
        told["length"] = f"{happened.length_cm:g} cm"
    return told
