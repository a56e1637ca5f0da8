"""A new tank: size, day of filling, animals and tap; everything else may come later."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date

from watervane.app import Line
from watervane.records import Finding
from watervane.web.forms.care import counts_as_meals, food_of_day, pinch_told
from watervane.web.forms.fields import Field, Told, asked, options
from watervane.wording import phrase
from watervane.wording.in_units import asked_unit

KIND = "setup"
ROWS = 3  # kinds of animals asked for on day one
TAPS = ("", "chloramine", "chlorine", "neither")
KNOWN = ("ph", "kh", "gh", "nitrate")
UNITS = {"kh": "dKH", "gh": "dGH", "nitrate": "mg/L"}
_SIDES = re.compile(r"\s*[x×*]\s*")
_GALLONS = re.compile(r"(?<=[\d ])gal(?:lons?)?\.?$", re.IGNORECASE)
_NUMBER = re.compile(r"[0-9]+(?:[.,][0-9]+)?")


def basic_fields(now: date) -> tuple[Field, ...]:
    """What is asked first."""
    return (
        asked(KIND, "name", "text"),
        asked(KIND, "size", "text", hint=phrase("form-setup-size-hint")),
        asked(KIND, "filled", "date", value=f"{now:%Y-%m-%d}", short=True),
    )


def animal_fields() -> tuple[Field, ...]:
    """Which animals live in it, each row may stay empty."""
    rows: list[Field] = []
    for row in range(1, ROWS + 1):
        which = phrase("form-setup-row", row=row)
        rows.append(Field(f"species-{row}", "text", phrase("form-setup-species"), unseen=which))
        rows.append(Field(f"count-{row}", "number", phrase("form-setup-count"), unseen=which))
    hint = phrase("form-setup-since-hint")
    food = f"{phrase('form-setup-food-hint')} {pinch_told()}"
    return (
        *rows,
        asked(KIND, "since", "date", hint=hint, value="", short=True),
        asked(KIND, "food", "text", hint=food, short=True),
        asked(KIND, "times", "number", value="1", short=True),
    )


def tap_fields() -> tuple[Field, ...]:
    """What the tap brings; unknown where nobody knows."""
    hint = phrase("form-setup-tap-hint")
    return (asked(KIND, "tap", "pick", hint=hint, options=options(KIND, "tap", TAPS)),)


def known_fields() -> tuple[Field, ...]:
    """What a water supplier's page or a test of the tap tells."""
    units = {name: asked_unit(name, UNITS.get(name, "")) for name in KNOWN}
    return tuple(
        Field(name, "text", phrase(f"form-{KIND}-{name}", unit=units[name]), short=True)
        for name in KNOWN
    )


def all_fields(now: date) -> tuple[Field, ...]:
    """Every field."""
    return (*basic_fields(now), *animal_fields(), *tap_fields(), *known_fields())


def words(typed: Mapping[str, str], time_zone: str) -> list[str]:
    """The description as ``key=value``."""
    told = [f"time_zone={time_zone}"]
    filled = typed.get("filled", "").strip()
    told += [f"filled={filled}"] if filled else []
    told += _size(typed.get("size", "").strip())
    told += {
        "chloramine": ["source_water.chlorine=0 mg/L"],
        "chlorine": ["source_water.chloramine=0 mg/L"],
        "neither": ["source_water.chlorine=0 mg/L", "source_water.chloramine=0 mg/L"],
    }.get(typed.get("tap", ""), [])
    for name in KNOWN:
        value = typed.get(name, "").strip()
        if value:
            unit = asked_unit(name, UNITS.get(name, ""))
            bare = _NUMBER.fullmatch(value) is not None
            value = value.replace(",", ".") if bare else value
            told.append(f"source_water.{name}={value} {unit}".strip() if bare else
                        f"source_water.{name}={value}")  # fmt: skip
    return told


def lines(typed: Mapping[str, str]) -> list[Told]:
    """The animals that came, on the day of filling where no other is told."""
    at = _day(typed.get("since", "")) or _day(typed.get("filled", ""))
    told = []
    for row in range(1, ROWS + 1):
        species = typed.get(f"species-{row}", "").strip()
        count = typed.get(f"count-{row}", "").strip()
        if species or count:
            given = [f"species={species}"] if species else []
            given += [f"count={count}"] if count else []
            own = {"": f"species-{row}", "species": f"species-{row}", "count": f"count-{row}"}
            own |= {"at": "since"}
            told.append(Told(Line("animals-in", tuple(given), at), own))
    amount = food_of_day(typed.get("food", ""), typed.get("times", ""))
    if amount:
        fed = Line("feed", (f"amount={amount}", "every=1 d"), at)
        place = "food" if counts_as_meals(typed.get("times", "")) else "times"
        told.append(Told(fed, {"": place, "amount": place, "at": "since"}))
    return told


def field_of(finding: Finding) -> str:
    """The field a problem with the description is about."""
    told = finding.arguments
    key = str(told.get("missing") or told.get("field", ""))
    sizes = ("volume", "shape", "length", "width", "height", "kind", "measured")
    if key in sizes:
        return "size"
    return {"chlorine": "tap", "chloramine": "tap"}.get(key, key)


def _size(text: str) -> list[str]:
    sides = _SIDES.split(text.removesuffix("cm").strip()) if text else []
    if len(sides) == 3 and all(_NUMBER.fullmatch(side) for side in sides):
        names = ("length", "width", "height")
        lengths = [f"shape.{name}={side} cm" for name, side in zip(names, sides, strict=True)]
        return ["shape.kind=rectangular", "shape.measured=outside", *lengths]
    if not text:
        return []
    asked = asked_unit("volume", "L")
    if asked != "L":
        text = _GALLONS.sub(asked, text)  # which gallon was said in the settings
    return [f"volume={text} {asked}" if _NUMBER.fullmatch(text) else f"volume={text}"]


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        return None
