"""Readings: each quantity by the steps of the keeper's own kit, or as typed."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date, datetime

from watervane.app import Line
from watervane.app.habits import Usual
from watervane.records import Event, Finding, Habit, Kit, KitScale, Reading, Tank
from watervane.web.forms.fields import BadField, Field, Option, Told
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
OTHER, OTHER_VALUE, TYPED = "other", "other-value", "-typed"
# How people write what lies between two steps, and milligrams of what is told by the litre.
_BETWEEN = re.compile(
    r"^(?:between\s+)?([0-9]+(?:[.,][0-9]+)?)\s*(?:-|\u2013|to|and|or)\s*([0-9]+(?:[.,][0-9]+)?)(?![\d/-])",
    re.IGNORECASE,
)
_MG = re.compile(r"(?<=[\d ])mg$")
_BARE = re.compile(r"[<>~]?\s*-?[0-9]+(?:[.,][0-9]+)?(?:\s*\.\.\s*[0-9]+(?:[.,][0-9]+)?)?")


def fields(tank: Tank, usual: Usual) -> tuple[Field, ...]:
    """Every quantity, those read before first, and a row for one that is not among them."""
    order = quantities(tank, usual)
    found = [field for each in order for field in of_quantity(each, tank, usual)]
    others = [each for each in LATER if each not in order]
    return (*found, *_of_another(others)) if others else tuple(found)


def quantities(tank: Tank, usual: Usual) -> tuple[str, ...]:
    """What is asked of a tank: what is read first of all, was read before, or its kits can."""
    known = {scale.quantity for kit in tank.kits.values() for scale in kit.scales}
    wanted = [each for each in (*usual.quantities, *FIRST) if each in (*FIRST, *LATER)]
    wanted += [each for each in LATER if each in known]
    return tuple(dict.fromkeys((*FIRST, *wanted)))


def of_quantity(quantity: str, tank: Tank, usual: Usual) -> tuple[Field, ...]:
    """The fields of one quantity."""
    title = quantity_title(quantity)
    found = scale_of(quantity, tank, usual)
    if found is not None and found[1].steps:
        kit, scale = found
        bare, unit = bare_steps(scale)
        steps = tuple(map(Option, step_words(scale), bare))
        none = Option("", phrase("form-readings-none"))
        key = "form-readings-kit-unit" if unit else "form-readings-kit"
        hint = phrase(key, kit=kit.name, unit=unit)
        between = phrase("form-readings-typed", quantity=title)
        return (
            Field(quantity, "pick", title, hint, options=(none, *steps)),
            Field(f"{quantity}{TYPED}", "text", between, short=True),
        )
    typed = Field(quantity, "text", title, hint_of(quantity), short=True)
    if quantity not in WITH_BASES:
        return (typed,)
    return (typed, basis_field(quantity, usual))


def basis_field(quantity: str, usual: Usual) -> Field:
    """As what a kit counts nitrogen."""
    answers = tuple(
        Option(each, phrase(f"form-readings-basis-{each}", **_names(quantity)))
        for each in ("unknown", "n", "ion")
    )
    label = phrase("form-readings-basis", quantity=quantity_title(quantity).lower())
    basis = usual.bases.get(quantity, "unknown")
    return Field(f"{quantity}-basis", "list", label, basis_hint(quantity), basis, answers)


def _of_another(others: list[str]) -> tuple[Field, Field]:
    none = Option("", phrase("form-readings-other-none"))
    choices = (none, *(Option(each, quantity_title(each)) for each in others))
    value = phrase("form-readings-other-value")
    return (
        Field(OTHER, "list", phrase("form-readings-other"), options=choices),
        Field(OTHER_VALUE, "text", value, phrase("form-readings-other-hint"), short=True),
    )


def hint_of(quantity: str) -> str:
    """How a number is typed, in the unit its keeper thinks in."""
    usual = UNITS.get(quantity, "mg/L")
    asked = asked_unit(quantity, usual)
    if asked != usual:
        return phrase("form-readings-hint-asked", unit=UNIT_NAMES.get(asked, asked))
    return phrase(f"form-readings-hint-{quantity if quantity in UNITS else 'mg'}")


def lines(
    typed: Mapping[str, str], tank: Tank, usual: Usual, at: date | datetime | None
) -> list[Told]:
    """One line for each quantity something was told of.

    Raises
    ------
    BadField
        Where a number has no quantity, a quantity no number, or one is told twice.
    """
    told = []
    other, others_value = typed.get(OTHER, "").strip(), typed.get(OTHER_VALUE, "").strip()
    if bool(other) != bool(others_value):
        key = "form-needed" if other else "form-readings-other-which"
        raise BadField(OTHER_VALUE, Finding(key, "problem"))
    for quantity in (*FIRST, *LATER):
        place, value = _told_of(quantity, typed)
        if quantity == other and value:
            raise BadField(OTHER_VALUE, Finding("form-readings-twice", "problem"))
        if quantity == other:
            place, value = OTHER_VALUE, others_value
        if value:
            found = scale_of(quantity, tank, usual)
            scale = None if found is None else found[1]
            words = [f"quantity={quantity}", f"value={_with_unit(value, quantity, typed, scale)}"]
            words += [f"kit={found[0].name}"] if found is not None else []
            told.append(Told(Line("reading", tuple(words), at), {"": place}))
    return told


def _told_of(quantity: str, typed: Mapping[str, str]) -> tuple[str, str]:
    """The field that a quantity was told in, and what."""
    step, between = typed.get(quantity, "").strip(), typed.get(f"{quantity}{TYPED}", "").strip()
    if step and between:
        raise BadField(f"{quantity}{TYPED}", Finding("form-readings-twice", "problem"))
    return (f"{quantity}{TYPED}", between) if between else (quantity, step)


def from_entry(what: Event | Habit | Reading) -> dict[str, str]:
    """What to fill in for a reading that is corrected."""
    if not isinstance(what, Reading):
        return {}
    basis = what.value.basis if what.quantity in WITH_BASES else ""
    told = with_degrees(what.value.raw)
    return {what.quantity: told, f"{what.quantity}-basis": basis, f"{what.quantity}{TYPED}": ""}


def beside_steps(fields_asked: tuple[Field, ...], typed: Mapping[str, str]) -> dict[str, str]:
    """The same words; what is none of a kit's steps stands in the field beside them."""
    moved = dict(typed)
    names = {each.name for each in fields_asked}
    for each in fields_asked:
        beside, value = f"{each.name}{TYPED}", typed.get(each.name, "")
        if beside in names and value not in {option.value for option in each.options}:
            moved |= {each.name: "", beside: value}
    return moved


def scale_of(quantity: str, tank: Tank, usual: Usual) -> tuple[Kit, KitScale] | None:
    """The kit a quantity is read with: the one used last, else the first that can."""
    last = usual.kits.get(quantity, "")
    for kit in sorted(tank.kits.values(), key=lambda each: each.name != last):
        scale = kit.scale(quantity)
        if scale is not None:
            return kit, scale
    return None


def _with_unit(
    value: str, quantity: str, typed: Mapping[str, str], scale: KitScale | None = None
) -> str:
    """A number alone gets the unit its field tells of; words with a unit stay as they are.

    Beside the steps of a kit that is the unit of the steps.
    """
    value = _MG.sub("mg/L", _BETWEEN.sub(r"\1..\2", value))
    bare = _BARE.fullmatch(value)
    of_steps = bare_steps(scale)[1] if scale is not None and scale.steps else ""
    if bare and of_steps:
        return f"{value} {of_steps}"
    unit = asked_unit(quantity, UNITS.get(quantity, "mg/L"))
    text = f"{value} {unit}".strip() if bare else value
    basis = typed.get(f"{quantity}-basis", "unknown")
    if quantity not in WITH_BASES or " as " in text or basis == "unknown":
        return text
    return text + (" as N" if basis == "n" else _ION[quantity])


_ION = {"ammonia": " as NH4", "nitrite": " as NO2", "nitrate": " as NO3"}


def _names(quantity: str) -> dict[str, str]:
    ion = _ION[quantity].removeprefix(" as ")
    return {"ion": ion}
