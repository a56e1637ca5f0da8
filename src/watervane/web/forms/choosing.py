"""The page that chooses animals: what it asks, its words, and its addresses."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from urllib.parse import urlencode

from watervane.app.blueprint_ports import Words
from watervane.records import Choice, Finding, Help
from watervane.reference import UnknownAnimalError, find_animal
from watervane.web.forms.blueprint import (
    MOST_ROWS,
    PARTS,
    ROW_NAMES,
    WATER_PARTS,
    Asked,
    rows_told,
    typed_unit,
)
from watervane.web.forms.blueprint_words import (
    Wrong,
    blueprint_words,
    field_of,
    problems_by_field,
)

FIRST_ROWS = 6  # seen at once
OPENED = ("wishes", "glass", "tap", "care")
SIZES = ("length", "width", "height", "bow", "return", "water-depth")
# Which field a help that asks for more of a room is made in, and its unit.
MADE_IN: Mapping[str, tuple[str, str]] = {
    "change": ("change", "L"),
    "oxygen": ("air", "L/h"),
    "filter": ("media-volume", "L"),
    "flow": ("flow", "L/h"),
}


def _rows(first: int, last: int) -> tuple[str, ...]:
    names = ("species", "count", "weight")
    return tuple(f"{name}-{row}" for row in range(first, last + 1) for name in names)


PARTS_OF_CHOICE: Mapping[str, Asked] = {
    "wishes": (_rows(1, FIRST_ROWS), _rows(FIRST_ROWS + 1, MOST_ROWS)),
    "glass": PARTS["glass"],
    "tap": PARTS["tap"],
    "care": (("change", "coldest", "warmest"), ("water", "no-lid", "machines", "humidity",
                                               "altitude")),
    "filter": PARTS["filter"],
    "mix": PARTS["mix"],
}  # fmt: skip
_SEEN = {name for fields in PARTS_OF_CHOICE.values() for part in fields for name in part}


def carried(typed: Mapping[str, str]) -> dict[str, str]:
    """What was typed of a plan and is not asked here, to be sent along unseen."""
    known = {name for fields in PARTS.values() for part in fields for name in part}
    known |= {f"grown-{row}" for row in range(1, MOST_ROWS + 1)} | {"filled"}
    return {name: typed[name] for name in sorted(known - _SEEN) if typed.get(name)}


def choice_words(sent: Mapping[str, str]) -> tuple[Words, Wrong]:
    """Words by option for a choice, and by field what cannot be read."""
    words, wrong = blueprint_words(sent)
    return {name: told for name, told in words.items() if name != "animals"}, wrong


def problems_at_wishes(findings: Sequence[Finding], typed: Mapping[str, str]) -> Wrong:
    """Problems of a choice by their field, those of a wish at its row."""
    wrong: Wrong = {}
    rest = []
    for each in findings:
        row = _row_of(each, typed)
        if row:
            wrong.setdefault(row, []).append(each)
        else:
            rest.append(each)
    for name, found in problems_by_field(rest).items():
        wrong.setdefault(name, []).extend(found)
    return wrong


def _row_of(finding: Finding, typed: Mapping[str, str]) -> str:
    """The field of the wish that a problem is about; empty where it is about none."""
    if finding.key == "choose-no-wish":
        return "species-1"
    told = str(finding.arguments.get("name") or finding.arguments.get("text", ""))
    if not finding.key.startswith(("animal-", "choose-wish", "choose-twice")) or not told:
        return ""
    rows = [
        name
        for name in (f"species-{row}" for row in range(1, MOST_ROWS + 1))
        if _is_same(typed.get(name, ""), told)
    ]
    return rows[-1] if rows else field_of(finding)


def _is_same(typed: str, told: str) -> bool:
    typed = typed.strip()
    if not typed:
        return False
    if typed == told or told.endswith(typed) or f" {typed}," in f" {told}":
        return True
    try:
        return find_animal(typed).scientific_name == told
    except UnknownAnimalError:
        return False


def plan_query(choice: Choice, typed: Mapping[str, str]) -> str:
    """The address of the plan with the chosen animals at their temperature."""
    others = {
        name: value
        for name, value in typed.items()
        if value and name.rpartition("-")[0] not in ROW_NAMES
    }
    animals: dict[str, str] = {}
    for row, each in enumerate(choice.chosen, start=1):
        animals |= {f"species-{row}": each.species, f"count-{row}": str(each.count)}
    water = {"water": f"{choice.temperature_c:g} degC"}
    change = {"change": typed.get("change", "") or f"{choice.change_l_per_week:.3g} L"}
    return urlencode({**others, **water, **change, **animals})


def with_help(help_: Help, typed: Mapping[str, str]) -> str:
    """The address at which a change that helps is made; empty where no field can make it."""
    found = _made(help_, dict(typed))
    return "" if found is None else urlencode({k: v for k, v in found.items() if v})


def _made(help_: Help, typed: dict[str, str]) -> dict[str, str] | None:
    told = help_.arguments
    if help_.key == "two":
        then = told["then"]
        fewer = _without(str(told["name"]), typed)
        return _made(then, fewer) if fewer is not None and isinstance(then, Help) else None
    if help_.key == "leave-out":
        return _without(str(told["name"]), typed)
    if help_.key == "temperature":
        return {**typed, "water": ""}
    if help_.key in MADE_IN:
        name, unit = MADE_IN[help_.key]
        return {**typed, name: f"{_up(float(str(told['amount'])))} {unit}"}
    if help_.key == "tank":
        return _larger(float(str(told["times"])), typed)
    return None


def water_query(help_: Help, typed: Mapping[str, str]) -> str:
    """The address at which another water that suits all is mixed; empty for other helps."""
    if help_.key != "water":
        return ""
    names = {name for part in WATER_PARTS for fields in PARTS[part] for name in fields}
    water = {name: value for name, value in typed.items() if value and name in names}
    for name in ("ph", "gh", "kh"):
        span: object = help_.arguments[name]
        unit = f" {typed_unit(name)}" if name in ("gh", "kh") else ""
        if unit.strip() not in ("", "dGH", "dKH"):
            return urlencode(water)  # a reader with other units types the range
        low, high = (float(getattr(span, end)) for end in ("low", "high"))
        water[f"want-{name}"] = f"{low:.3g}..{high:.3g}"
    return urlencode(water)


def _without(species: str, typed: dict[str, str]) -> dict[str, str] | None:
    for row in range(1, rows_told(typed) + 1):
        if _is_same(typed.get(f"species-{row}", ""), species):
            return {**typed, **{f"{name}-{row}": "" for name in ROW_NAMES}}
    return None


def _larger(times: float, typed: dict[str, str]) -> dict[str, str] | None:
    """Every size so many times as large, rounded up to whole centimetres."""
    sizes = dict(_plain_sizes(typed))
    if not sizes or any(value is None for value in sizes.values()):
        return None
    return {**typed, **{name: str(math.ceil(times * (v or 0.0))) for name, v in sizes.items()}}


def _plain_sizes(typed: Mapping[str, str]) -> Iterator[tuple[str, float | None]]:
    for name in SIZES:
        text = typed.get(name, "").strip().removesuffix("cm").strip()
        if not text:
            continue
        try:
            yield name, float(text.replace(",", "."))
        except ValueError:
            yield name, None
    if typed.get("corners"):
        yield "corners", None


def _up(amount: float) -> str:
    """Rounded up, never down: less would not help."""
    step = 10.0 ** (math.floor(math.log10(amount)) - 2) if amount > 0.0 else 1.0
    return f"{math.ceil(amount / step) * step:.10g}"
