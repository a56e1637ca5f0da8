"""Concentrations with their basis: 'as N', as the ion, or unknown."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from watervane.units import conversions as c
from watervane.units._values import ReadingValue
from watervane.units.errors import UnitError, shown
from watervane.units.grammar import Parsed, parse_quantity
from watervane.units.vocabulary import tidy_unit

HIGHEST_MG_PER_L = 1e6

_NO_BASIS: Mapping[str, float] = {}


@dataclass(frozen=True, slots=True)
class Substance:
    """How one dissolved quantity may be written; the canonical unit is mg/L as counted.

    ``by_element`` and ``by_ion`` map a species as written to written mass per
    canonical mass; without a basis the text is read ``unstated``.
    """

    name: str
    canonical: str
    g_per_mol: float  # canonical mass of one mole of the species
    example: str
    by_element: Mapping[str, float]
    by_ion: Mapping[str, float]
    unstated: float
    unstated_basis: str


def _nitrogen(name: str, label: str, ions: Mapping[str, float], unstated: float) -> Substance:
    elements = dict.fromkeys(("n", *(f"{ion}-n" for ion in ions)), 1.0)
    if name == "ammonia":
        elements["tan"] = 1.0
    elements[f"{name}-n"] = 1.0
    return Substance(
        name,
        "mg N/L",
        c.NITROGEN,
        f'0.7 mg/L as N" or "0.7 mg/L as {label}',
        elements,
        {**ions, "ion": unstated, "the ion": unstated, name: unstated},
        unstated,
        "unknown",
    )


def _simple(name: str, g_per_mol: float, *spellings: str) -> Substance:
    written = dict.fromkeys(spellings, 1.0)
    return Substance(
        name, "mg/L", g_per_mol, "1.5 mg/L", _NO_BASIS, {**written, name: 1.0}, 1.0, "none"
    )


SUBSTANCES: dict[str, Substance] = {
    "ammonia": _nitrogen("ammonia", "NH4", {"nh3": c.NH3_PER_N, "nh4": c.NH4_PER_N}, c.NH4_PER_N),
    "nitrite": _nitrogen("nitrite", "NO2", {"no2": c.NO2_PER_N}, c.NO2_PER_N),
    "nitrate": _nitrogen("nitrate", "NO3", {"no3": c.NO3_PER_N}, c.NO3_PER_N),
    "phosphate": Substance(
        "phosphate",
        "mg P/L",
        c.PHOSPHORUS,
        "0.2 mg/L as P' or '0.5 mg/L as PO4",
        {"p": 1.0, "po4-p": 1.0, "phosphate-p": 1.0},
        {"po4": c.PO4_PER_P, "ion": c.PO4_PER_P, "the ion": c.PO4_PER_P, "phosphate": c.PO4_PER_P},
        c.PO4_PER_P,
        "unknown",
    ),
    "oxygen": _simple("oxygen", c.DIOXYGEN, "o2", "do"),
    "co2": _simple("co2", c.CARBON_DIOXIDE, "co2"),
    "chlorine": _simple("chlorine", c.DICHLORINE, "cl2", "cl"),
    "chloramine": _simple("chloramine", c.DICHLORINE, "cl2", "cl"),
    "chloride": _simple("chloride", c.CHLORINE, "cl"),
    "calcium": _simple("calcium", c.CALCIUM, "ca"),
    "magnesium": _simple("magnesium", c.MAGNESIUM, "mg"),
    "sodium": _simple("sodium", c.SODIUM, "na"),
}

_MASS_TO_MG = {"mg": 1.0, "ug": 1e-3, "g": 1e3, "ppm": 1.0, "ppb": 1e-3}
_MOLES_TO_MMOL = {"mmol": 1.0, "umol": 1e-3, "mol": 1e3}
_SPECIES = r"[a-z0-9]{1,10}(?: ?- ?[np])?|the ion"
_PER_LITRE = re.compile(
    rf"(?P<mass>mg|ug|g|mmol|umol|mol)(?: (?P<inner>{_SPECIES}))? ?(?:/| per )"
    rf"(?:l|litre|liter|dm3)(?: (?:as )?(?P<outer>{_SPECIES}))?",
    re.ASCII,
)
_PARTS = re.compile(rf"(?P<mass>ppm|ppb)(?: (?:as )?(?P<outer>{_SPECIES}))?", re.ASCII)
_CHARGE = re.compile(r"(?:[\^ ][0-9]?[+-]|\^[0-9]|[+-])(?=$|[ /]|-[NnPp])")


def parse_concentration(text: object, quantity: str) -> ReadingValue:
    """Read a concentration; low and high in the canonical unit of ``quantity``.

    A bare ``0`` needs no unit. Without a basis nitrogen species are converted as the
    ion (ammonia as NH4) and marked ``unknown``.

    Parameters
    ----------
    text : str
        Such as ``"0.7 mg/L as N"``, ``"> 5 ppm"``, ``"0.3..0.7 mg/L NO2-N"``.
    quantity : str
        A key of ``SUBSTANCES``.

    Raises
    ------
    UnitError
        With what was read and what to write instead.
    """
    substance = substance_of(quantity)
    if isinstance(text, (int, float)) and not isinstance(text, bool) and text == 0:
        text = "0"
    parsed = parse_quantity(text, substance.example.split('"')[0])
    if parsed.unit == "" and parsed.first == parsed.second == 0.0 and parsed.kind == "exact":
        return ReadingValue("exact", 0.0, 0.0, substance.unstated_basis, parsed.raw)
    factor, basis = concentration_unit(parsed.unit, substance, parsed.raw)
    return bounded(parsed, parsed.first * factor, parsed.second * factor, basis, quantity)


def substance_of(quantity: str) -> Substance:
    """The substance of a quantity name, or a refusal that lists the names."""
    try:
        return SUBSTANCES[quantity]
    except KeyError:
        raise UnitError(
            "unit.unknown-quantity",
            f"'{shown(quantity)}' is no concentration; known are {', '.join(SUBSTANCES)}.",
            quantity=shown(quantity),
            known=tuple(SUBSTANCES),
        ) from None


def concentration_unit(unit: str, substance: Substance, raw: str) -> tuple[float, str]:
    """Canonical [mg/L] per written unit, and the basis it states."""
    plain = _CHARGE.sub("", tidy_unit(unit)).lower()
    match = _PER_LITRE.fullmatch(plain) or _PARTS.fullmatch(plain)
    if match is None:
        raise _unknown_unit(unit, substance, raw)
    groups = match.groupdict()
    outer, inner = groups["outer"], groups.get("inner")
    if outer is not None and inner is not None and outer != inner:
        raise _unknown_unit(unit, substance, raw)
    species = (outer or inner or "").replace(" ", "") or None
    species = "the ion" if species == "theion" else species
    if match["mass"] in _MOLES_TO_MMOL:
        if species is not None and not _known(species, substance):
            raise _unknown_unit(unit, substance, raw)
        # a mole counts the same on every basis, so nothing is left unknown
        basis = "none" if substance.unstated_basis == "none" else "n"
        return _MOLES_TO_MMOL[match["mass"]] * substance.g_per_mol, basis
    to_mg = _MASS_TO_MG[match["mass"]]
    if species is None:
        return to_mg / substance.unstated, substance.unstated_basis
    if species in substance.by_element:
        return to_mg / substance.by_element[species], "n"
    if species in substance.by_ion:
        basis = "none" if substance.unstated_basis == "none" else "ion"
        return to_mg / substance.by_ion[species], basis
    raise _unknown_unit(unit, substance, raw)


def _known(species: str, substance: Substance) -> bool:
    return species in substance.by_element or species in substance.by_ion


def _unknown_unit(unit: str, substance: Substance, raw: str) -> UnitError:
    accepted = "mg/L, \u00b5g/L, ppm, mmol/L"
    if not unit:
        return UnitError(
            "unit.missing",
            f"'{shown(raw)}' has no unit; write for example \"{substance.example}\" "
            f"(units read here: {accepted}).",
            read=shown(raw),
            example=substance.example,
            accepted=accepted,
        )
    return UnitError(
        "unit.unknown",
        f"'{shown(raw)}': the unit '{shown(unit)}' is not one of {substance.name}; "
        f'write for example "{substance.example}" (units read here: {accepted}).',
        read=shown(raw),
        unit=shown(unit),
        dimension=substance.name,
        accepted=accepted,
    )


def bounded(parsed: Parsed, low: float, high: float, basis: str, quantity: str) -> ReadingValue:
    """Wrap bounds as a reading value, refusing negative and absurd concentrations."""
    if low < 0 or high < 0:
        raise UnitError(
            "unit.negative",
            f"'{shown(parsed.raw)}' is negative; {quantity} cannot be.",
            read=shown(parsed.raw),
            dimension=quantity,
        )
    if high > HIGHEST_MG_PER_L:
        raise UnitError(
            "unit.out-of-range",
            f"'{shown(parsed.raw)}' is out of range; no water holds that much {quantity}.",
            read=shown(parsed.raw),
            dimension=quantity,
            highest=HIGHEST_MG_PER_L,
        )
    return as_value(parsed, low, high, basis)


def as_value(parsed: Parsed, low: float, high: float, basis: str) -> ReadingValue:
    """Place converted bounds according to the comparator."""
    if parsed.kind == "above":
        return ReadingValue("above", low, None, basis, parsed.raw)
    if parsed.kind == "below":
        if high <= 0:
            raise UnitError(
                "unit.below-nothing",
                f"'{shown(parsed.raw)}' leaves nothing; write 0 or the smallest step of the kit.",
                read=shown(parsed.raw),
            )
        return ReadingValue("below", None, high, basis, parsed.raw)
    return ReadingValue(parsed.kind, low, high, basis, parsed.raw)
