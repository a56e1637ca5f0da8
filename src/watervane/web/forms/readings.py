"""Readings: each quantity by the steps of the keeper's own kit, or as typed."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date, datetime

from watervane.app import Line
from watervane.app.habits import Usual
from watervane.records import Event, Habit, Kit, KitScale, Reading, Tank
from watervane.web.forms.fields import Field, Option, Told
from watervane.wording import phrase
from watervane.wording.in_units import asked_unit
from watervane.wording.journal import with_degrees
from watervane.wording.kit_steps import (
    WITH_BASES,
    bare_steps,
    basis_hint,
    quantity_title,
    step_words,
)

KIND = "readings"
FIRST = ("ammonia", "nitrite", "nitrate", "ph", "kh", "temperature")
LATER = ("gh", "oxygen", "co2", "conductivity", "chlorine", "chloride", "phosphate")
UNITS = {"ph": "", "kh": "dKH", "gh": "dGH", "temperature": "degC", "conductivity": "uS/cm"}
UNIT_NAMES = {"degF": "\N{DEGREE SIGN}F"}
# How people write what lies between two steps, and milligrams of what is told by the litre.
_BETWEEN = re.compile(
    r"^(?:between\s+)?([0-9]+(?:[.,][0-9]+)?)\s*(?:-|\u2013|to|and|or)\s*([0-9]+(?:[.,][0-9]+)?)(?![\d/-])",
    re.IGNORECASE,
)
_MG = re.compile(r"(?<=[\d ])mg$")
_BARE = re.compile(r"[<>~]?\s*-?[0-9]+(?:[.,][0-9]+)?(?:\s*\.\.\s*[0-9]+(?:[.,][0-9]+)?)?")


def fields(tank: Tank, usual: Usual) -> tuple[Field, ...]:
    """Every quantity, those read before first."""
    known = {scale.quantity for kit in tank.kits.values() for scale in kit.scales}
    wanted = [each for each in (*usual.quantities, *FIRST) if each in (*FIRST, *LATER)]
    wanted += [each for each in LATER if each in known]
    order = list(dict.fromkeys((*FIRST, *wanted)))
    return tuple(field for each in order for field in of_quantity(each, tank, usual))


def of_quantity(quantity: str, tank: Tank, usual: Usual) -> tuple[Field, ...]:
    """The fields of one quantity."""
    title = quantity_title(quantity)
    found = _scale(quantity, tank, usual)
    if found is not None and found[1].steps:
        kit, scale = found
        bare, unit = bare_steps(scale)
        steps = tuple(map(Option, step_words(scale), bare))
        none = Option("", phrase("form-readings-none"))
        key = "form-readings-kit-unit" if unit else "form-readings-kit"
        hint = phrase(key, kit=kit.name, unit=unit)
        return (Field(quantity, "pick", title, hint, options=(none, *steps)),)
    hint = _hint(quantity)
    typed = Field(quantity, "text", title, hint, short=True)
    if quantity not in WITH_BASES:
        return (typed,)
    basis = usual.bases.get(quantity, "unknown")
    answers = tuple(
        Option(each, phrase(f"form-readings-basis-{each}", **_names(quantity)))
        for each in ("unknown", "n", "ion")
    )
    label = phrase("form-readings-basis", quantity=title.lower())
    asks = Field(f"{quantity}-basis", "list", label, basis_hint(quantity), basis, answers)
    return (typed, asks)


def _hint(quantity: str) -> str:
    """How a number is typed, in the unit its keeper thinks in."""
    usual = UNITS.get(quantity, "mg/L")
    asked = asked_unit(quantity, usual)
    if asked != usual:
        return phrase("form-readings-hint-asked", unit=UNIT_NAMES.get(asked, asked))
    return phrase(f"form-readings-hint-{quantity if quantity in UNITS else 'mg'}")


def lines(
    typed: Mapping[str, str], tank: Tank, usual: Usual, at: date | datetime | None
) -> list[Told]:
    """One line for each quantity something was told of."""
    told = []
    for quantity in (*FIRST, *LATER):
        value = typed.get(quantity, "").strip()
        if value:
            found = _scale(quantity, tank, usual)
            words = [f"quantity={quantity}", f"value={_with_unit(value, quantity, typed)}"]
            words += [f"kit={found[0].name}"] if found is not None else []
            told.append(Told(Line("reading", tuple(words), at), {"": quantity}))
    return told


def from_entry(what: Event | Habit | Reading) -> dict[str, str]:
    """What to fill in for a reading that is corrected."""
    if not isinstance(what, Reading):
        return {}
    basis = what.value.basis if what.quantity in WITH_BASES else ""
    return {what.quantity: with_degrees(what.value.raw), f"{what.quantity}-basis": basis}


def _scale(quantity: str, tank: Tank, usual: Usual) -> tuple[Kit, KitScale] | None:
    """The kit a quantity is read with: the one used last, else the first that can."""
    last = usual.kits.get(quantity, "")
    for kit in sorted(tank.kits.values(), key=lambda each: each.name != last):
        scale = kit.scale(quantity)
        if scale is not None:
            return kit, scale
    return None


def _with_unit(value: str, quantity: str, typed: Mapping[str, str]) -> str:
    """A number alone gets the unit its field tells of; words with a unit stay as they are."""
    unit = asked_unit(quantity, UNITS.get(quantity, "mg/L"))
    value = _MG.sub("mg/L", _BETWEEN.sub(r"\1..\2", value))
    text = f"{value} {unit}".strip() if _BARE.fullmatch(value) else value
    basis = typed.get(f"{quantity}-basis", "unknown")
    if quantity not in WITH_BASES or " as " in text or basis == "unknown":
        return text
    return text + (" as N" if basis == "n" else _ION[quantity])


_ION = {"ammonia": " as NH4", "nitrite": " as NO2", "nitrate": " as NO3"}


def _names(quantity: str) -> dict[str, str]:
    ion = _ION[quantity].removeprefix(" as ")
    return {"ion": ion}
