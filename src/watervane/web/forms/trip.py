"""A trip as it is typed, and the fields of its form."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from watervane.records import Finding, Trip
from watervane.web.forms.fields import Field, asked, filled_in, options
from watervane.web.forms.numbers import HOURS, LENGTH, WATER, Typed
from watervane.wording import phrase

KIND = "home"
GASES = ("air", "oxygen")
MOST_ANIMALS = 1000
# Field of a trip: least, most, and what is taken where it is left empty.
NUMBERS: Mapping[str, tuple[float, float, float | None]] = {
    "length": (0.3, 100.0, None),
    "water": (0.05, 100.0, 1.0),
    "gas-l": (0.05, 200.0, 2.0),
    "ph": (4.5, 9.5, None),
    "kh": (0.0, 40.0, None),
    "gh": (0.0, 60.0, None),
    "temperature": (1.0, 38.0, None),
}
UNITS = {"hours": HOURS, "length": LENGTH, "water": WATER, "gas-l": WATER, "kh": ("dkh",),
         "gh": ("dgh",), "temperature": ("c", "\N{DEGREE SIGN}c", "degc")}  # fmt: skip


def trip_fields(
    animals: Sequence[str], typed: Mapping[str, str], wrong: Mapping[str, Sequence[Finding]]
) -> tuple[Field, ...]:
    """Every field, filled in as it was sent where anything was."""
    species = phrase("form-home-species-hint")
    fields = (
        asked(KIND, "species", "text", hint=species, suggested=tuple(animals)),
        asked(KIND, "count", "number", value="6", short=True),
        asked(KIND, "hours", "number", value="2", short=True),
        asked(KIND, "water", "number", value="1", short=True),
        asked(KIND, "gas-l", "number", value="2", short=True),
        asked(KIND, "gas", "pick", value="air", options=options(KIND, "gas", GASES)),
        asked(KIND, "length", "number", hint=phrase("form-home-length-hint"), short=True),
        *(asked(KIND, name, "number", short=True) for name in ("ph", "kh", "gh", "temperature")),
    )
    if not typed:
        return fields
    told = {each.name: each.value for each in fields} | dict(typed)  # a link may tell but some
    return filled_in(fields, told, wrong)


def trip_typed(typed: Mapping[str, str]) -> tuple[Trip, Mapping[str, Sequence[Finding]]]:
    """The trip, and what is wrong with what was typed."""
    told = Typed(typed, UNITS)
    species = told.typed.get("species", "")
    if not species:
        told.wrong["species"] = [Finding("form-needed", "problem")]
    count = told.whole("count", 1, MOST_ANIMALS, 1) if told.typed.get("count") else 0
    if not count:
        told.needed("count", 1, MOST_ANIMALS)
    hours = told.needed("hours", 0.1, 96.0)
    gas = told.choice("gas", GASES, "air")
    found = {name: told.number(name, *span) for name, span in NUMBERS.items()}
    trip = Trip(
        species=species,
        count=count,
        hours=hours,
        water_l=found["water"] or 1.0,
        gas_l=found["gas-l"] or 2.0,
        gas=gas,
        length_cm=found["length"],
        ph=found["ph"],
        kh_dkh=found["kh"],
        gh_dgh=found["gh"],
        temperature_c=found["temperature"],
    )
    return trip, told.wrong
