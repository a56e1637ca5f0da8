"""From what was typed into the page of a blueprint to words for the plan, and back to fields."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import date

from watervane.app.blueprint_ports import Words
from watervane.records import Finding, SourceWater
from watervane.web.forms.blueprint import (
    CHECKS,
    CHOICES,
    IONS,
    SHAPES,
    WAYS,
    WEIGHTS,
    rows_told,
    typed_unit,
)
from watervane.web.forms.numbers import Typed
from watervane.wording import phrase

# Bare numbers of a field are in this unit; another may be written behind the number.
BARE: Mapping[str, str] = {
    **dict.fromkeys(
        ("length", "width", "height", "bow", "return", "water-depth", "joists", "wall-gap"), "cm"
    ),
    **dict.fromkeys(("glass", "bottom"), "mm"),
    **dict.fromkeys(("span", "altitude"), "m"),
    **dict.fromkeys(("stand", "equipment", "bag"), "kg"),
    **dict.fromkeys(("heater", "machines"), "W"),
    **dict.fromkeys(("flow", "air"), "L/h"),
    "scale": "g",
    "target": "mg/L as N",
}
IN_READERS_UNIT = ("water", "media-volume", "label", "bucket", "change")
TOLD_OF_TAP: Mapping[str, str] = {
    "ph": "",
    "nitrate": "mg/L",
    "ammonia": "mg/L as N",
    "conductivity": "uS/cm",
    **dict.fromkeys(IONS[:7], "mg/L"),
}
DEEPEST_CM, HEAVIEST_KG = 60.0, 5000.0
PRICES = ("tariff", "water-price", "conditioner-price", "salt-price", "food-price", "hour-worth")
HALF = 50.0  # of a blend, where nobody told
ROOM_C = (17.0, 28.0)
_NUMBER = re.compile(r"-?[0-9]+(?:[.,][0-9]+)?")
_RANGE = re.compile(r"\s*([0-9]+(?:[.,][0-9]+)?)\s*(?:\.\.|-|to)\s*([0-9]+(?:[.,][0-9]+)?)\s*")
_FIRST = re.compile(r"\s*<?\s*([0-9]+(?:[.,][0-9]+)?)")
_UNDER = re.compile(r"\s*<\s*([0-9]+(?:[.,][0-9]+)?)\s*")
# Which field a problem that names no option is about.
ABOUT: Mapping[str, str] = {
    "blueprint-no-cube": "length",
    "blueprint-kind": "shape",
    "blueprint-corners": "corners",
    "blueprint-outline": "corners",
    "blueprint-glass-fills": "glass",
    "blueprint-depth-above": "water-depth",
    "blueprint-bed-above": "bed-front",
    "blueprint-no-water": "bed-front",
    "blueprint-bed-unknown": "bed",
    "blueprint-bed-none-blended": "blend",
    "blueprint-room": "coldest",
    "blueprint-water-range": "water",
    "blueprint-target-low": "target",
    "blueprint-media-unknown": "media",
    "water-hardness-over": "calcium",
    "water-unbalanced": "calcium",
    "water-unbalanced-misread": "calcium",
    "water-hardness-differs": "gh",
    "water-acid-with-kh": "ph",
    "setup-name-taken": "name",
    "setup-name-away": "name",
}
# Problems that name an option of the command line, as a page tells them.
PLAINLY: Mapping[str, str] = {
    "blueprint-words": "form-blueprint-words",
    "blueprint-number": "form-blueprint-no-number",
    "blueprint-nothing": "form-blueprint-no-number",
    "choose-change-words": "form-blueprint-no-number",
    "water-level": "form-blueprint-no-number",
    "blueprint-room-words": "form-blueprint-no-number",
    "water-want-reversed": "form-blueprint-range",
}
Wrong = dict[str, list[Finding]]


def blueprint_words(sent: Mapping[str, str]) -> tuple[Words, Wrong]:
    """Words by option, and by field what cannot be read."""
    told = Typed(sent)
    words: dict[str, str | bool | tuple[str, ...]] = {"name": told.typed.get("name", "")}
    words["name"] = words["name"] or phrase("blueprint-unnamed")
    words |= _glass(told)
    for name in (*BARE, *IN_READERS_UNIT):
        if told.typed.get(name):
            unit = BARE[name] if name in BARE else typed_unit(name)
            words[name] = _with_unit(told.typed[name], unit)
    words |= {name: True for name in CHECKS if told.typed.get(name)}
    for name in ("on", "floor", "lies", "media", "plants"):
        chosen = told.choice(name, CHOICES[name], "")
        if chosen:
            words[name] = chosen
    way = told.choice("way", ("", *WAYS), "")
    if way:
        words["way"] = way
    if _is_day(told.typed.get("filled", "")):
        words["filled"] = told.typed["filled"]
    words |= _numbers(told)
    lists = {
        "bed": _beds(told),
        "decor": _decor(told),
        "animals": _animals(told),
        "wish": _wished(told),
        "tap": _tap(told),
        "want": _wants(told),
    }
    words |= {name: tuple(found) for name, found in lists.items() if found}
    return words, told.wrong


def fields_of_report(texts: Sequence[str]) -> dict[str, str]:
    """The fields that a report fills in, as somebody would type them."""
    found: dict[str, str] = {}
    for text in texts:
        name, _, value = text.partition(" ")
        if name in ("chlorine", "chloramine"):
            amount = _FIRST.match(value)
            if amount is not None and float(amount[1].replace(",", ".")) > 0.0:
                found |= {"tap": name, "disinfectant": amount[1]}
        else:
            found[name] = value
    return found


def fields_of_tap(water: SourceWater) -> dict[str, str]:
    """The fields that a tap told of before fills in, as somebody would type them."""
    told = {
        "ph": (water.ph, ""),
        "kh": (water.kh_dkh, " dKH"),
        "gh": (water.gh_dgh, " dGH"),
        "nitrate": (water.nitrate_mg_n_per_l, " mg/L as N"),
        "chloride": (water.chloride_mg_per_l, " mg/L"),
        "conductivity": (water.conductivity_us_per_cm, " uS/cm"),
    }
    found = {
        name: f"{value:.4g}{unit}" for name, (value, unit) in told.items() if value is not None
    }
    for name, amount in (
        ("chlorine", water.chlorine_mg_per_l),
        ("chloramine", water.chloramine_mg_per_l),
    ):
        if amount:
            found |= {"tap": name, "disinfectant": f"{amount:.4g}"}
    if water.chlorine_mg_per_l == water.chloramine_mg_per_l == 0.0:
        found["tap"] = "neither"
    return found


def problems_by_field(findings: Sequence[Finding]) -> Wrong:
    """Problems of a plan by the field they are about; under ``""`` what is about none."""
    wrong: Wrong = {}
    for each in findings:
        key = PLAINLY.get(each.key)
        said = Finding(key, each.severity, each.arguments) if key else each
        wrong.setdefault(field_of(each), []).append(said)
    return wrong


def field_of(finding: Finding) -> str:
    """The field that a problem is about; empty where it is about none."""
    told = finding.arguments
    option, about = str(told.get("option", "")), str(told.get("about", ""))
    if option in ("tap", "want"):
        return about if option == "tap" else f"want-{about}"
    if option == "room":
        return "coldest"
    if finding.key in ("blueprint-missing", "blueprint-no-size", "blueprint-too-long"):
        return str(told.get("name", "")).replace(" ", "-")
    return option or ABOUT.get(finding.key, "")


def day_of(typed: Mapping[str, str], today: date) -> tuple[date, Wrong]:
    """The day of filling, and what is wrong with it."""
    text = typed.get("filled", "").strip()
    if not text:
        return today, {}
    if _is_day(text):
        return date.fromisoformat(text), {}
    return today, {"filled": [Finding("form-blueprint-no-day", "problem", {"text": text})]}


def _is_day(text: str) -> bool:
    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True


def _glass(told: Typed) -> dict[str, str | bool]:
    words: dict[str, str | bool] = {"shape": told.choice("shape", SHAPES, SHAPES[0])}
    if told.typed.get("corners"):
        words["corners"] = told.typed["corners"]
    if told.choice("measured", CHOICES["measured"], "") != "inside":
        words["outside"] = True
    if told.choice("braced", CHOICES["braced"], "") == "yes":
        words["braced"] = True
    return words


def _numbers(told: Typed) -> dict[str, str]:
    words = {}
    humidity = told.number("humidity", 1, 100, None)
    if humidity is not None:
        words["humidity"] = f"{humidity / 100:g}"
    for name in PRICES:
        price = told.number(name, 0, 10_000, None)
        if price is not None:
            words[name] = f"{price:g}"
    room = _room(told)
    if room:
        words["room"] = room
    return words


def _room(told: Typed) -> str:
    """Both ends of the room's year; the one left out is the usual one."""
    unit = typed_unit("coldest")
    usual = [1.8 * each + 32.0 for each in ROOM_C] if unit == "degF" else list(ROOM_C)
    bounds = (-40.0, 140.0) if unit == "degF" else (-40.0, 60.0)
    low = told.number("coldest", *bounds, None)
    high = told.number("warmest", *bounds, None)
    if low is None and high is None:
        return ""
    ends = (usual[0] if low is None else low, usual[1] if high is None else high)
    return f"{ends[0]:g}..{ends[1]:g} {unit}"


def _beds(told: Typed) -> list[str]:
    """Layers, the lowest first; without any word the usual one."""
    top = told.choice("bed", CHOICES["bed"], "")
    under = told.choice("under", CHOICES["under"], "")
    layers = [_layer(told, under, "under", "under-grain")] if under else []
    blended = _blended(told)
    front = any(told.typed.get(name) for name in ("bed-front", "bed-back", "grain", "blend"))
    if not top and not front:
        return [*layers, "gravel 3 cm"] if layers else []
    if top == "none":
        return layers if layers and not blended else [*layers, f"none 0 cm{blended}"]
    return [*layers, _layer(told, top or "gravel", "bed", "grain") + blended]


def _layer(told: Typed, material: str, name: str, grain_name: str) -> str:
    front = told.number(f"{name}-front", 0, DEEPEST_CM, None)
    back = told.number(f"{name}-back", 0, DEEPEST_CM, None)
    grain = told.number(grain_name, 0.01, 200, None)
    ends = [each for each in (front, back) if each is not None] or [3.0]
    text = f"{material} {ends[0]:g}..{ends[-1]:g} cm"
    return f"{text} {grain:g} mm" if grain is not None else text


def _blended(told: Typed) -> str:
    """What is stirred into the upper layer."""
    material = told.choice("blend", CHOICES["blend"], "")
    share = told.number("blend-share", 1, 99, HALF)
    grain = told.number("blend-grain", 0.01, 200, None)
    if not material:
        return ""
    size = "" if grain is None else f" {grain:g} mm"
    return f" with {share:g} % {material}{size}"


def _decor(told: Typed) -> list[str]:
    found = {name: told.number(name, 0, HEAVIEST_KG, None) for name in ("stone", "wood")}
    return [f"{name} {mass:g} kg" for name, mass in found.items() if mass]


def _animals(told: Typed) -> list[str]:
    found = []
    for row in range(1, rows_told(told.typed) + 1):
        species = told.typed.get(f"species-{row}", "")
        count = told.whole(f"count-{row}", 1, 9_999, 1)
        grown = told.number(f"grown-{row}", 0.3, 100, None)
        if not species:
            if told.typed.get(f"count-{row}"):
                told.wrong[f"species-{row}"] = [Finding("form-needed", "problem")]
            continue
        length = "" if grown is None else f" {grown:g} cm"
        found.append(f"{count} {species}{length}")
    return found


def _wished(told: Typed) -> list[str]:
    """The same as wishes: without a number the kind's own, and how much each counts."""
    found = []
    for row in range(1, rows_told(told.typed) + 1):
        species, count = told.typed.get(f"species-{row}", ""), told.typed.get(f"count-{row}", "")
        weight = told.choice(f"weight-{row}", WEIGHTS, "")
        if species:
            counts = f", weight {weight}" if weight else ""
            found.append(f"{count} {species}{counts}".strip())
    return found


def _tap(told: Typed) -> list[str]:
    """Quantities of the tap; none where only its disinfectant is told."""
    units = {**TOLD_OF_TAP, "kh": typed_unit("kh"), "gh": typed_unit("gh")}
    found = [
        f"{name} {_with_unit(told.typed[name], unit)}"
        for name, unit in units.items()
        if told.typed.get(name)
    ]
    kind = told.choice("tap", CHOICES["tap"], "")
    amount = told.number("disinfectant", 0, 20, None)
    if not found:
        return []
    if kind == "neither":
        return [*found, "chlorine 0 mg/L", "chloramine 0 mg/L"]
    if kind and amount is not None:  # a kind without its amount is no measure to dose by
        other = "chlorine" if kind == "chloramine" else "chloramine"
        found += [f"{kind} {amount:g} mg/L", f"{other} 0 mg/L"]
    return found


def _wants(told: Typed) -> list[str]:
    found = []
    for name in ("gh", "kh", "ph", "sodium", "nitrate"):
        text = told.typed.get(f"want-{name}", "")
        if not text:
            continue
        ends = _RANGE.fullmatch(text) or _UNDER.fullmatch(text)
        if ends is None:
            said = Finding("form-blueprint-range", "problem", {"text": text})
            told.wrong[f"want-{name}"] = [said]
            continue
        unit = f" {typed_unit(name)}" if name in ("gh", "kh") else ""
        low, high = (ends[1], ends[2]) if ends.re is _RANGE else ("0", ends[1])
        found.append(f"{name} {low}..{high}{unit}")
    return found


def _with_unit(text: str, unit: str) -> str:
    """A bare number gets the unit of its field."""
    if _NUMBER.fullmatch(text) is None:
        return text
    return f"{text.replace(',', '.')} {unit}".strip()
