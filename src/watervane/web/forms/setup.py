"""A new tank: size, day of filling, animals and tap; everything else may come later."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date

from watervane.app import Line
from watervane.app.animals import animal_names
from watervane.records import Finding, SourceWater
from watervane.web.forms import started
from watervane.web.forms.care import counts_as_meals, food_of_day, pinch_told
from watervane.web.forms.fields import Field, Told, asked, options
from watervane.web.forms.filling import Filling, day_of, filling_fields, filling_told, is_young
from watervane.web.forms.fitted import PLANTS
from watervane.web.forms.lengths import grown_cm, length_told, name_and_length
from watervane.wording import phrase
from watervane.wording.in_units import asked_unit

KIND = "setup"
ROWS = 3  # kinds of animals asked for on day one
TAPS = ("", "chloramine", "chlorine", "neither")
KNOWN = ("ph", "kh", "gh", "nitrate")
UNITS = {"kh": "dKH", "gh": "dGH", "nitrate": "mg/L"}
OF_ANIMALS = ("since", "food", "times")
SINCE_ROWS = tuple(f"since-{row}" for row in range(1, ROWS + 1))  # where kinds came on other days
ROW = ("species-", "count-", "length-", "since-")
_SIDES = re.compile(r"\s*[x×*]\s*")
_GALLONS = re.compile(r"(?<=[\d ])gal(?:lons?)?\.?$", re.IGNORECASE)
_NUMBER = re.compile(r"[0-9]+(?:[.,][0-9]+)?")


def basic_fields() -> tuple[Field, ...]:
    """What is asked first."""
    plants = options(KIND, "plants", ("", *PLANTS))
    return (
        asked(KIND, "name", "text"),
        asked(KIND, "size", "text", hint=phrase("form-setup-size-hint")),
        *filling_fields(),
        asked(KIND, "plants", "pick", value="", options=plants),
    )


def animal_fields() -> tuple[Field, ...]:
    """Which animals live in it, each row may stay empty."""
    rows: list[Field] = []
    for row in range(1, ROWS + 1):
        which = phrase("form-setup-row", row=row)
        names = animal_names() if row == 1 else ()
        texts = {name: phrase(f"form-setup-{name}") for name in ("species", "count", "length")}
        rows.append(Field(f"species-{row}", "text", texts["species"], unseen=which,
                          suggested=names, suggested_by="species-1"))  # fmt: skip
        rows.append(Field(f"count-{row}", "number", texts["count"], unseen=which))
        rows.append(Field(f"length-{row}", "text", texts["length"], unseen=which))
    hint = phrase("form-setup-since-hint")
    food = f"{phrase('form-setup-food-hint')} {pinch_told()}"
    return (
        *rows,
        asked(KIND, "since", "date", hint=hint, value="", short=True),
        *(
            Field(name, "date", phrase("form-setup-since-row", row=row), short=True)
            for row, name in enumerate(SINCE_ROWS, 1)
        ),
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


def all_fields(filled: date | None = None) -> tuple[Field, ...]:
    """Every field; the day of filling is put in only where something tells it."""
    fields = (
        *basic_fields(), *animal_fields(), *started.fields(), *tap_fields(), *known_fields()
    )  # fmt: skip
    if filled is None:
        return fields
    return tuple(replace(f, value=f"{filled}") if f.name == "filled" else f for f in fields)


def with_tap(fields: Sequence[Field], water: SourceWater) -> tuple[Field, ...]:
    """The fields with a tap that was told of another tank."""
    none = [water.chlorine_mg_per_l == 0, water.chloramine_mg_per_l == 0]
    tap = {(True, True): "neither", (True, False): "chloramine", (False, True): "chlorine"}
    told = {"tap": tap.get((none[0], none[1]), "")}
    for name, value, unit in (
        ("ph", water.ph, ""),
        ("kh", water.kh_dkh, " dKH"),
        ("gh", water.gh_dgh, " dGH"),
        ("nitrate", water.nitrate_mg_n_per_l, " mg/L as N"),
    ):
        told |= {} if value is None else {name: f"{value:.3g}{unit}"}
    return tuple(replace(each, value=told.get(each.name, each.value)) for each in fields)


def filling(typed: Mapping[str, str], today: date, first: date | None = None) -> Filling:
    """The day of filling; a guess is no later than the animals, or the ``first`` other day told."""
    told = (day_of(typed.get(name, "")) for name in ("since", *SINCE_ROWS))
    days = [day for day in (*told, first) if day is not None]
    return filling_told(typed, today, min(days, default=None))


def missing(typed: Mapping[str, str]) -> dict[str, list[Finding]]:
    """What a tank cannot do without: a name or a size, and some word on its age.

    Nothing that a keeper may not know is asked for: the name is theirs, and the age may be told as
    not known. But a form sent by oversight would make a tank that nobody wanted.
    """
    wrong: dict[str, list[Finding]] = {}
    if not any(typed.get(name, "").strip() for name in ("name", "size")):
        wrong["name"] = [Finding("setup-nothing-told", "problem")]
    if not typed.get("filled", "").strip() and not typed.get("age", ""):
        wrong["filled"] = [Finding("setup-no-day", "problem")]
    since = {name: typed.get(name, "").strip() for name in ("since", *SINCE_ROWS)}
    for name, value in since.items():
        if value and day_of(value) is None:
            wrong[name] = [Finding("form-bad-day", "problem", {"value": value, "field": name})]
    none_at_first = typed.get("fed", "") in ("dosed", "food", "nothing")
    named = any(typed.get(f"species-{row}", "").strip() for row in range(1, ROWS + 1))
    if none_at_first and named and not any(since.values()):
        wrong["since"] = [Finding("setup-no-arrival", "problem")]
    return wrong


def words(typed: Mapping[str, str], time_zone: str, filled: Filling) -> list[str]:
    """The description as ``key=value``."""
    told = [f"time_zone={time_zone}", *filled.words]
    told += _size(typed.get("size", "").strip())
    plants = typed.get("plants", "")
    told += [f"plants={plants}"] if plants in PLANTS else []
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


def lines(typed: Mapping[str, str], filled: date | None, today: date) -> list[Told]:
    """The animals that came, on the day of filling where no other is told, and how it began."""
    usual = day_of(typed.get("since", "")) or filled
    came_on = {row: day_of(typed.get(f"since-{row}", "")) or usual for row in range(1, ROWS + 1)}
    rows = {row: _animals(row, typed, day) for row, day in came_on.items()}
    told = [line for line in rows.values() if line is not None]
    days = [day for row, day in came_on.items() if rows[row] is not None and day is not None]
    came = min(days, default=None)
    at = came or usual
    amount = food_of_day(typed.get("food", ""), typed.get("times", ""))
    if amount:
        fed = Line("feed", (f"amount={amount}", "every=1 d"), at)
        place = "food" if counts_as_meals(typed.get("times", "")) else "times"
        told.append(Told(fed, {"": place, "amount": place, "at": "since"}))
    if filled is not None and is_young(filled, today):
        told += started.lines(typed, filled, came)
    return told


def _animals(row: int, typed: Mapping[str, str], at: date | None) -> Told | None:
    """Who came: as long as told, else as long as they are when full-grown."""
    species, beside = name_and_length(typed.get(f"species-{row}", ""))
    count, length = (typed.get(f"{name}-{row}", "").strip() for name in ("count", "length"))
    if not species and not count and not length:
        return None
    length = length_told(length) or beside
    grown = grown_cm(species) if species and not length else None
    length = f"{grown:g} cm" if grown is not None else length
    given = {"species": species, "count": count, "length": length}
    day = f"since-{row}" if typed.get(f"since-{row}", "").strip() else "since"
    own = {name: f"{name}-{row}" for name in given} | {"": f"species-{row}", "at": day}
    words = tuple(f"{name}={value}" for name, value in given.items() if value)
    return Told(Line("animals-in", words, at), own)


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
