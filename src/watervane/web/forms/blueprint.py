"""What the page of a blueprint asks: its fields, by the part of the plan they belong to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache

from watervane.records import Finding
from watervane.reference import catalogue, meant_instead
from watervane.web.forms.fields import Field, Option, asked, filled_in, options
from watervane.wording import phrase
from watervane.wording.in_units import asked_unit

KIND = "blueprint"
ROWS = 12  # kinds of animals asked for, where no more are told
FIRST_ROWS = 6  # of them seen at once
MOST_ROWS = 25
WEIGHTS = ("", "2", "3", "0.5")  # of a wish beside the others
ROW_NAMES = ("species", "count", "grown", "weight")
SHAPES = ("rectangular", "cube", "cylinder", "hexagon", "bow front", "corner", "polygon")
# Which shapes ask for a size; all others are asked by every shape.
OF_SHAPES: Mapping[str, tuple[str, ...]] = {
    "length": ("rectangular", "cube", "cylinder", "hexagon", "bow front", "corner"),
    "width": ("rectangular", "bow front", "corner"),
    "height": ("rectangular", "cylinder", "hexagon", "bow front", "corner", "polygon"),
    "bow": ("bow front",),
    "return": ("corner",),
    "corners": ("polygon",),
}
BEDS = ("gravel", "sand", "soil", "coral sand", "limestone")
CHOICES: Mapping[str, tuple[str, ...]] = {
    "measured": ("outside", "inside", ""),
    "braced": ("yes", "no", ""),
    "bed": ("", *BEDS, "none"),
    "under": ("", *BEDS),
    "blend": ("", *BEDS),
    "on": ("stand", "shelf", ""),
    "floor": ("timber", "concrete", "ground", ""),
    "lies": ("across", "along", ""),
    "media": ("", "sponge", "foam", "ceramic", "floss", "carrier", "sand"),
    "plants": ("", "none", "few", "many"),
    "tap": ("chloramine", "chlorine", "neither", ""),
}
LISTS = ("bed", "under", "blend", "media", "plants")
WAYS = ("dosed-salt", "dosed-solution", "seeded", "bottled", "animals-first", "seeded-animals",
        "planted-animals")  # fmt: skip
CHECKS = ("second-hand", "frame", "no-lid", "membrane", "rain")
UNITS: Mapping[str, tuple[str, str]] = {
    "water": ("temperature", "degC"),
    "coldest": ("temperature", "degC"),
    "warmest": ("temperature", "degC"),
    "media-volume": ("volume", "L"),
    "label": ("volume", "L"),
    "bucket": ("volume", "L"),
    "change": ("volume", "L"),
    "kh": ("kh", "dKH"),
    "gh": ("gh", "dGH"),
    "want-kh": ("kh", "dKH"),
    "want-gh": ("gh", "dGH"),
}
SHOWN_UNITS = {"degC": "°C", "degF": "°F"}
HINTED = ("blend-share", "change", "shape", "corners", "measured", "glass", "bottom",
          "water-depth", "tariff", "flow", "label", "water", "filled")  # fmt: skip
TAP = ("tap", "disinfectant", "ph", "kh", "gh", "nitrate")
IONS = ("calcium", "magnesium", "sodium", "potassium", "chloride", "sulfate", "bicarbonate",
        "ammonia", "conductivity")  # fmt: skip
MIX_MORE = ("want-sodium", "want-nitrate", "bucket", "scale", "hour-worth")
MIX = ("want-gh", "want-kh", "want-ph", "membrane", "rain")
# Of each part what is asked at once, and what may be opened.
PARTS: Mapping[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "glass": (
        ("name", "shape", "length", "width", "height", "bow", "return", "corners", "measured",
         "glass"),
        ("water-depth", "bottom", "braced", "second-hand"),
    ),
    "bed": (
        ("bed", "bed-front", "bed-back"),
        ("grain", "blend", "blend-share", "blend-grain", "bag", "under", "under-front",
         "under-back", "under-grain", "stone", "wood"),
    ),
    "floor": (
        ("on", "floor", "span", "lies", "stand"),
        ("equipment", "joists", "wall-gap", "frame"),
    ),
    "room": (
        ("coldest", "warmest", "water", "tariff", "no-lid"),
        ("heater", "machines", "humidity", "altitude", "water-price", "conditioner-price",
         "salt-price", "food-price"),
    ),
    "filter": (("media", "plants"), ("media-volume", "flow", "label", "air", "target")),
    "animals": (
        ("change",),
        (),
    ),
    "start": (("way",), ()),
    "tap": (TAP, IONS),
    "mix": (MIX, MIX_MORE),
}  # fmt: skip
WATER_PARTS = ("tap", "mix")
PART_HINTS = ("bed", "floor", "room", "filter", "animals", "start", "tap", "mix", "wishes", "care")
MORE_OF = ("wishes", "animals")  # whose fold has a name of its own


@dataclass(frozen=True, slots=True)
class FormPart:
    """One part of the form; ``more`` is behind a fold, and so is all of it where ``folded``.

    ``hint`` tells what is taken where nothing is typed.
    """

    name: str
    title: str
    hint: str
    fields: tuple[Field, ...]
    more: tuple[Field, ...]
    more_title: str
    more_open: bool
    folded: bool
    open: bool


Asked = tuple[tuple[str, ...], tuple[str, ...]]  # at once, and behind a fold


def rows_told(typed: Mapping[str, str], least: int = ROWS) -> int:
    """Rows of animals: so many as were told of, and no fewer than are asked for."""
    told = (
        int(row)
        for known, _, row in (name.rpartition("-") for name, value in typed.items() if value)
        if known in ROW_NAMES and row.isdecimal() and len(row) < 4
    )
    return min(max((least, *told)), MOST_ROWS)


def parts_asked(typed: Mapping[str, str]) -> dict[str, Asked]:
    """Every part of a blueprint, with one row of animals more than were told of, and seen."""
    told = min(rows_told(typed, 0) + 1, MOST_ROWS)
    seen = max(FIRST_ROWS, told)
    first, more = _rows(1, seen), _rows(seen + 1, max(ROWS, told))
    return {**PARTS, "animals": ((*first, "change"), more)}


def _rows(first: int, last: int) -> tuple[str, ...]:
    names = ("species", "count", "grown")
    return tuple(f"{name}-{row}" for row in range(first, last + 1) for name in names)


def wrong_alone(
    parts: Mapping[str, Asked], wrong: Mapping[str, Sequence[Finding]]
) -> dict[str, Asked]:
    """Of a form the fields that something is wrong with: all that an answer to typing needs."""
    found: dict[str, Asked] = {}
    for name, (first, more) in parts.items():
        kept = tuple(each for each in first if each in wrong)
        folded = tuple(each for each in more if each in wrong)
        if kept or folded:
            found[name] = (kept, folded)
    return found


def names_of(parts: Mapping[str, Asked]) -> set[str]:
    """Every field of a form."""
    return {name for first, more in parts.values() for name in (*first, *more)}


def form_parts(
    typed: Mapping[str, str],
    wrong: Mapping[str, Sequence[Finding]],
    parts: Mapping[str, Asked],
    opened: Sequence[str] = ("glass",),
    own: Sequence[str] = (),
) -> tuple[FormPart, ...]:
    """The form as it was sent, part by part.

    Parameters
    ----------
    typed
        What was sent; nothing at first.
    wrong
        By field.
    parts
        What is asked, by part.
    opened
        Those that are not behind a fold.
    own
        Names of the keeper's own animals, suggested before ours.
    """
    return tuple(
        _part(name, fields, (typed, wrong), own, folded=name not in opened)
        for name, fields in parts.items()
    )


def _part(
    name: str,
    fields: Asked,
    sent: tuple[Mapping[str, str], Mapping[str, Sequence[Finding]]],
    own: Sequence[str],
    *,
    folded: bool,
) -> FormPart:
    told, hidden = (
        tuple(
            _with_near(each, own)
            for each in filled_in([_with_own(blueprint_field(each), own) for each in asked], *sent)
        )
        for asked in fields
    )
    return FormPart(
        name,
        phrase(f"form-{KIND}-part-{name}"),
        phrase(f"form-{KIND}-part-{name}-hint") if name in PART_HINTS else "",
        told,
        hidden,
        phrase(f"form-{KIND}-more-{name}") if name in MORE_OF else phrase("blueprint-page-more"),
        any(each.value or each.wrong for each in hidden),
        folded,
        any(each.value or each.wrong for each in (*told, *hidden)),
    )


def _with_near(field: Field, own: Sequence[str]) -> Field:
    """An animal nobody knows is asked back, with the name it most looks like."""
    if not field.name.startswith("species-") or not field.value or field.wrong:
        return field
    near = None if field.value in own else meant_instead(field.value)
    if near is None:
        return field
    return replace(field, hint=phrase("form-blueprint-species-near", near=near))


def _with_own(field: Field, own: Sequence[str]) -> Field:
    if not field.suggested or not own:
        return field
    return replace(field, suggested=tuple(dict.fromkeys((*own, *field.suggested))))


def blueprint_field(name: str) -> Field:
    """One field of the form, empty."""
    known, _, row = name.rpartition("-")
    if known in ROW_NAMES and row.isdecimal():
        return _of_row(name, known, row)
    if name == "way":
        ways = tuple(Option(way, phrase(f"start-name-{way}")) for way in WAYS)
        unknown = Option("", phrase(f"form-{KIND}-way-unknown"))
        return asked(KIND, name, "list", options=(unknown, *ways))
    if name == "shape":
        return asked(KIND, name, "list", options=options(KIND, name, SHAPES), **_hint(name))
    if name in CHOICES:
        form = "list" if name in LISTS else "pick"
        return asked(KIND, name, form, options=options(KIND, name, CHOICES[name]), **_hint(name))
    if name in CHECKS:
        return asked(KIND, name, "check")
    label = phrase(f"form-{KIND}-{name}", unit=shown_unit(name))
    wide = name in ("name", "corners")
    return asked(KIND, name, "text", label=label, short=not wide, **_hint(name))


def _of_row(name: str, known: str, row: str) -> Field:
    """A field of one row of animals."""
    which, label = phrase("form-setup-row", row=row), phrase(f"form-{KIND}-{known}")
    if known == "weight":
        answers = options(KIND, known, WEIGHTS)
        return Field(name, "list", label, unseen=which, options=answers)
    form = "number" if known == "count" else "text"
    if known == "species" and row != "1":
        return Field(name, form, label, unseen=which, suggested_by="species-1")
    names = kinds_known() if known == "species" else ()
    return Field(name, form, label, unseen=which, suggested=names)


@cache
def kinds_known() -> tuple[str, ...]:
    """Names of the catalogue, for fields to suggest: of each kind the usual one and its own."""
    usual = {each.common_names[0] for each in catalogue() if each.common_names}
    return tuple(sorted({*usual, *(each.scientific_name for each in catalogue())}, key=str.lower))


def typed_unit(name: str) -> str:
    """The unit a bare number of a field is in, for its reader."""
    quantity, usual = UNITS[name]
    return asked_unit(quantity, usual)


def shown_unit(name: str) -> str:
    """The same as it is printed."""
    if name not in UNITS:
        return ""
    unit = typed_unit(name)
    return SHOWN_UNITS.get(unit, unit)


def _hint(name: str) -> dict[str, str]:
    return {"hint": phrase(f"form-{KIND}-{name}-hint")} if name in HINTED else {}
