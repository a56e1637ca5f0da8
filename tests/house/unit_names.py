"""Read the unit off a name's suffix and off a docstring's bracket, in one common spelling."""

from __future__ import annotations

import re

# As written in names -> as printed. `hours` and `days` are units too.
UNITS = {
    "atm": "atm", "c": "degC", "cm": "cm", "cm2": "cm2", "d": "d", "days": "d", "dgh": "dGH",
    "dkh": "dKH", "eq": "eq", "f": "degF", "g": "g", "h": "h", "hours": "h", "j": "J", "k": "K",
    "kg": "kg", "kj": "kJ", "kpa": "kPa", "l": "L", "m": "m", "m2": "m2", "m3": "m3",
    "meq": "meq", "mg": "mg", "min": "min", "ml": "mL", "mm": "mm", "mmol": "mmol", "mol": "mol",
    "ppm": "ppm", "s": "s", "seconds": "s", "ug": "ug", "us": "uS", "w": "W",
}  # fmt: skip
AMOUNTS = {"eq", "g", "kg", "meq", "mg", "mmol", "mol", "ug"}
# What is weighed or counted; said after an amount, and no part of the unit.
SUBSTANCES = {
    "C", "Ca", "CaCO3", "chlorine", "Cl", "Cl2", "CO2", "COD", "HCO3", "HNO2", "K", "Mg", "N",
    "Na", "NaCl", "NH3", "NO2", "NO3", "O2", "P", "water",
}  # fmt: skip
_PRINTED = {*UNITS.values(), "S"}
_IN_NAMES = {substance.lower() for substance in SUBSTANCES}
_PARTS_PER_MILLION = "umol/mol"


def unit_of_name(name: str) -> str | None:
    """The unit a name ends on, such as ``mg/L`` for ``nitrate_mg_n_per_l``; else ``None``.

    The suffix is the longest run of units, substances and ``per`` at the end of the name, after
    at least one word of meaning; ``g_per_mol`` needs none. A rate, ``decay_per_d``, begins with
    ``per``.
    """
    words = name.split("_")
    if len(words) > 1 and words[-1].isdigit():
        words.pop()  # a reference temperature, as in ``..._us_per_cm_25``
    for start, word in enumerate(words):
        tail = words[start:]
        if start == 0 and "per" not in tail[1:]:
            continue  # a bare ``c`` or ``m`` is a local letter
        if word in UNITS or word == "per":
            spelled = _spelled_in_name(tail)
            if spelled is not None:
                return spelled
    return None


def _spelled_in_name(words: list[str]) -> str | None:
    sides: tuple[list[str], list[str]] = ([], [])
    under, before = False, ""
    for word in words:
        if word == "per":
            under = True
        elif before in AMOUNTS and word in _IN_NAMES:
            pass
        elif word in UNITS:
            sides[under].append(UNITS[word])
        else:
            return None
        before = word
    return None if before == "per" else _joined(*sides)


def unit_of_bracket(text: str) -> str | None:
    """The unit inside a docstring's bracket in the same spelling; ``None`` where it is none.

    ``[-]`` and ``[%]`` are units of their own.
    """
    told = re.split(" at | of | per unit", text.strip())[0].replace(" per ", "/")
    if told in {"-", "%"}:
        return told
    if told == _PARTS_PER_MILLION:
        return "ppm"
    sides: tuple[list[str], list[str]] = ([], [])
    for index, part in enumerate(told.split("/")):
        before = ""
        for word in part.strip("()").split():
            if before in AMOUNTS and word in SUBSTANCES:
                pass
            elif word in _PRINTED:
                sides[index > 0].append(word)
            elif not (word == "1" and index == 0):
                return None
            before = word
    return _joined(*sides)


def _joined(over: list[str], under: list[str]) -> str | None:
    """One spelling whatever the order: ``K m2`` under ``W`` is ``W/K/m2``."""
    if not over and not under:
        return None
    above = " ".join(sorted(over, key=str.casefold)) or "1"
    return above + "".join(f"/{unit}" for unit in sorted(under, key=str.casefold))


def alike(one: str, other: str) -> bool:
    """Whether two spellings are one unit; names cannot tell siemens from seconds by case."""
    return one.casefold() == other.casefold()
