"""Food, water, doses, bacteria, cleaning, power cuts and notes."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime

from watervane.app import Line
from watervane.app.habits import Usual
from watervane.records import (
    Clean,
    Dose,
    Event,
    Feed,
    Habit,
    Note,
    Outage,
    Reading,
    Seed,
    Tank,
    WaterChange,
)
from watervane.reference.foods import food_amounts
from watervane.web.forms.fields import Field, Told, asked, options
from watervane.wording import phrase

When = date | datetime | None
What = Event | Habit | Reading
_ARTICLE = re.compile(r"^(?:an?|one)\s+", re.IGNORECASE)
_COUNTED = re.compile(r"([0-9]+(?:[.,][0-9]+)?(?:\.\.[0-9]+(?:[.,][0-9]+)?)?)(\s*[^0-9]*)")
ONE = ("pinch", "pellet", "wafer", "flake", "granule", "cube", "tablet", "stick")
MOST_MEALS = 12
LEVEL = re.compile(r"(mg/l|ppm)", re.IGNORECASE)
BY_KIT = "0.65 to 1.5"  # house estimate: what went in, by a level that a kit told
_FRACTION = re.compile(r"([0-9]{1,3})\s*/\s*([0-9]{1,3})")
PINCH, QUARTER, DAILY, CONDITIONER = "1 pinch", "25 %", "1 d", "conditioner"
SOURCES = ("media", "bed", "decor", "water", "bottle")
CONDITIONS = ("fresh", "rinsed in tank water", "rinsed under tap", "dried")
PARTS, HOW = ("filter", "bed", "glass", "waste"), ("tank water", "tap water", "replaced")
MACHINES = ("all", "filter", "heater", "air", "light")


def feed_fields(tank: Tank, usual: Usual) -> tuple[Field, ...]:
    """How much, once or every day, and how many times on such a day."""
    often = options("feed", "every", ("", DAILY))
    hint = f"{phrase('form-feed-amount-hint')} {pinch_told(tank)}"
    times, once = phrase("form-feed-times-hint"), phrase("form-feed-every-hint")
    return (
        asked("feed", "amount", "text", hint=hint, value=usual.food or PINCH),
        asked("feed", "every", "pick", hint=once, value="", options=often),
        asked("feed", "times", "number", hint=times, value="1", short=True),
    )


def feed_lines(typed: Mapping[str, str], _tank: Tank, _usual: Usual, at: When) -> list[Told]:
    """A meal, or the habit of one; several meals a day are told as the food of the day."""
    amount = food_of_day(typed.get("amount", ""), typed.get("times", ""))
    told = _told("feed", {**typed, "amount": amount}, at, ("amount", "every"))
    if counts_as_meals(typed.get("times", "")):
        return [told]
    return [Told(told.line, {**told.fields, "": "times", "amount": "times"})]


def pinch_told(tank: Tank | None = None) -> str:
    """What one pinch is taken to weigh: as the keeper weighed it, else as usual."""
    own = None if tank is None else tank.food_amounts.get("pinch")
    pinch = own or food_amounts()["pinch"]
    weight = f"{pinch.low:g}" if pinch.low == pinch.high else f"{pinch.low:g} to {pinch.high:g}"
    return phrase("form-feed-pinch", grams=weight)


def counts_as_meals(times: str) -> bool:
    """Whether so many meals a day can be."""
    told = times.strip()
    return not told or (told.isdecimal() and 1 <= int(told) <= MOST_MEALS)


def food_of_day(amount: str, times: str) -> str:
    """``2 pinches`` for ``1 pinch`` given twice; anything that cannot be counted stays as it is."""
    amount, times = amount.strip(), times.strip()
    if times in ("", "1") or not amount:
        return amount
    told = _COUNTED.fullmatch(_ARTICLE.sub("1 ", amount))
    if told is None or not counts_as_meals(times):
        return f"{amount} {times}x"  # comes back at its field, as nothing it can be
    counts = [int(times) * float(each.replace(",", ".")) for each in told[1].split("..")]
    counted = "..".join(f"{each:.6g}" for each in counts)
    unit = told[2].strip()
    if counts[-1] > 1.0 and unit in ONE:
        unit = f"{unit}{'es' if unit.endswith('ch') else 's'}"
    return f"{counted} {unit}".strip()


def feed_from(what: What) -> dict[str, str]:
    """A meal as it was told."""
    meal = what.template if isinstance(what, Habit) else what
    if not isinstance(meal, Feed):
        return {}
    daily = isinstance(what, Habit) and what.every_days == 1
    low, high = meal.mass_g.low, meal.mass_g.high
    grams = f"{low:g} g" if low == high else f"{low:g}..{high:g} g"
    return {"amount": meal.raw or grams, "every": DAILY if daily else "",
            "times": "1"}  # fmt: skip


def change_fields(_tank: Tank, usual: Usual) -> tuple[Field, ...]:
    """How much, and whether conditioner went in."""
    size = QUARTER if usual.change is None else f"{100 * usual.change:.0f} %"
    conditioner = options("change", "conditioner", ("yes", "no"))
    return (
        asked("change", "size", "text", hint=phrase("form-change-size-hint"), value=size),
        asked(
            "change",
            "conditioner",
            "pick",
            value="yes" if usual.conditioner else "no",
            options=conditioner,
        ),
    )


def change_lines(typed: Mapping[str, str], _tank: Tank, _usual: Usual, at: When) -> list[Told]:
    """A water change by share or litres."""
    words = [share_told(typed.get("size", "").strip()) or "fraction="]
    words += _words(typed, ("conditioner",))
    own = {"": "size", "fraction": "size", "volume": "size", "conditioner": "conditioner"}
    return [Told(Line("water-change", tuple(words), at), own)]


def share_told(text: str) -> str:
    """A part told in words or as a fraction, as a share; anything else as it is."""
    known = (each.partition("=") for each in phrase("form-change-shares").split(", "))
    shares = {words: f"{share} %" for words, _, share in known}
    parts = _FRACTION.fullmatch(text)
    if parts is not None and 0 < int(parts[1]) <= int(parts[2]):
        return f"{100 * int(parts[1]) / int(parts[2]):.4g} %"
    return shares.get(text.lower(), text)


def change_from(what: What) -> dict[str, str]:
    """A water change as a share."""
    change = what.template if isinstance(what, Habit) else what
    if not isinstance(change, WaterChange):
        return {}
    conditioner = "yes" if change.conditioner else "no"
    return {"size": f"{100 * change.fraction:.3g} %", "conditioner": conditioner}


def dose_fields(_tank: Tank, usual: Usual) -> tuple[Field, ...]:
    """What went in, and how much where it is known."""
    named = tuple(dict.fromkeys(filter(None, (usual.substance, CONDITIONER))))
    value = (usual.substance or CONDITIONER).replace("_", " ")
    hints = {name: phrase(f"form-dose-{name}-hint") for name in ("substance", "amount")}
    return (
        asked("dose", "substance", "text", hint=hints["substance"], value=value, suggested=named),
        asked("dose", "amount", "text", hint=hints["amount"], short=True),
    )


def dose_lines(typed: Mapping[str, str], _tank: Tank, _usual: Usual, at: When) -> list[Told]:
    """A substance, by its amount; ammonia by the level it was brought to, too."""
    told = _told("dose", typed, at, ("substance", "amount"))
    amount = typed.get("amount", "").strip()
    if not LEVEL.search(amount):
        return [told]
    words = [word for word in told.line.words if not word.startswith("amount=")]
    line = replace(told.line, words=(*words, f"raise_to={amount}", f"amount_factor={BY_KIT}"))
    return [Told(line, {**told.fields, "raise_to": "amount", "amount_factor": "amount"})]


def dose_from(what: What) -> dict[str, str]:
    """A dose as it was told."""
    dose = what.template if isinstance(what, Habit) else what
    if not isinstance(dose, Dose):
        return {}
    level = dose.target_mg_n_per_l
    amount = dose.raw if level is None else f"{level:g} mg/L as N"
    return {"substance": dose.substance.replace("_", " "), "amount": amount}


def seed_fields(_tank: Tank, _usual: Usual) -> tuple[Field, ...]:
    """What was brought, how much, and how it travelled."""
    hint = phrase("form-seed-volume-hint")
    return (
        asked("seed", "source", "pick", value="media", options=options("seed", "source", SOURCES)),
        asked("seed", "volume", "text", hint=hint, short=True),
        asked(
            "seed",
            "condition",
            "pick",
            value="fresh",
            options=options("seed", "condition", CONDITIONS),
        ),
    )


def seed_lines(typed: Mapping[str, str], _tank: Tank, _usual: Usual, at: When) -> list[Told]:
    """Bacteria brought in."""
    return [_told("seed", typed, at, ("source", "volume", "condition"))]


def seed_from(what: What) -> dict[str, str]:
    """Seeding as it was told."""
    if not isinstance(what, Seed):
        return {}
    volume = "" if what.volume_l is None else f"{what.volume_l:g} L"
    return {"source": what.source, "volume": volume, "condition": what.condition}


def clean_fields(_tank: Tank, _usual: Usual) -> tuple[Field, ...]:
    """What was cleaned, and how."""
    return (
        asked("clean", "part", "pick", value="filter", options=options("clean", "part", PARTS)),
        asked("clean", "how", "pick", value="tank water", options=options("clean", "how", HOW)),
    )


def clean_lines(typed: Mapping[str, str], _tank: Tank, _usual: Usual, at: When) -> list[Told]:
    """A cleaning."""
    return [_told("clean", typed, at, ("part", "how"))]


def clean_from(what: What) -> dict[str, str]:
    """A cleaning as it was told."""
    return {"part": what.part, "how": what.how} if isinstance(what, Clean) else {}


def outage_fields(_tank: Tank, _usual: Usual) -> tuple[Field, ...]:
    """How long, and what stood still."""
    hint = phrase("form-outage-duration-hint")
    return (
        asked("outage", "duration", "text", hint=hint, short=True),
        asked("outage", "what", "pick", value="all", options=options("outage", "what", MACHINES)),
    )


def outage_lines(typed: Mapping[str, str], _tank: Tank, _usual: Usual, at: When) -> list[Told]:
    """A power cut."""
    return [_told("outage", typed, at, ("duration", "what"))]


def outage_from(what: What) -> dict[str, str]:
    """A power cut as it was told."""
    if not isinstance(what, Outage):
        return {}
    return {"duration": f"{what.hours:g} h", "what": what.what}


def note_fields(_tank: Tank, _usual: Usual) -> tuple[Field, ...]:
    """Anything, with a photo."""
    return (
        asked("note", "text", "long"),
        asked("note", "photo", "photo", hint=phrase("form-note-photo-hint")),
    )


def note_lines(typed: Mapping[str, str], _tank: Tank, _usual: Usual, at: When) -> list[Told]:
    """A note."""
    return [_told("note", typed, at, ("text",))]


def note_from(what: What) -> dict[str, str]:
    """A note's text."""
    return {"text": what.text} if isinstance(what, Note) else {}


def _told(kind: str, typed: Mapping[str, str], at: When, names: Sequence[str]) -> Told:
    own = {"": names[0], **{name: name for name in names}}
    return Told(Line(kind, tuple(_words(typed, names)), at), own)


def _words(typed: Mapping[str, str], names: Sequence[str]) -> list[str]:
    told = ((name, typed.get(name, "").strip()) for name in names)
    return [f"{name}={value}" for name, value in told if value]
