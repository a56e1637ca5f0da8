"""Substances keepers dose: what one mole adds to the water."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from functools import cache
from types import MappingProxyType

from watervane.reference.names import UnknownNameError
from watervane.reference.sources import TableError, package_text
from watervane.reference.tables import check_origin, number_in, read_records
from watervane.units import Span

_FILE = "substances.csv"
_PER_CENT = re.compile(r"\(?(?P<number>[0-9]{1,3}(?:[.,][0-9]{1,3})?) ?(?:%|percent)\)?", re.ASCII)

UNSURE_STRENGTH = 2.0  # times the lowest: a pure chemical is known to a few per cent


@dataclass(frozen=True, slots=True)
class Substance:
    """One dosed substance; amounts are moles (equivalents) added per mole dissolved."""

    name: str
    aliases: tuple[str, ...]
    formula: str
    molar_mass_g_per_mol: float
    strength: float  # mass fraction of the formula in what is weighed
    strength_span: Span
    tan_mol: float
    nitrite_mol: float
    nitrate_mol: float
    alkalinity_eq: float
    dic_mol: float
    calcium_mol: float
    magnesium_mol: float
    sodium_mol: float
    potassium_mol: float
    chloride_mol: float
    dechlorination_mg_cl2_per_mg: float  # of the pure formula, on the least efficient path
    source: str
    quality: str
    note: str


_NUMBERS = (
    *("molar_mass_g_per_mol", "strength", "tan_mol", "nitrite_mol", "nitrate_mol"),
    *("alkalinity_eq", "dic_mol", "calcium_mol", "magnesium_mol", "sodium_mol"),
    *("potassium_mol", "chloride_mol", "dechlorination_mg_cl2_per_mg"),
)
_COLUMNS = (
    *(f.name for f in fields(Substance) if f.name != "strength_span"),
    *("strength_low", "strength_high"),
)


@cache
def substances() -> Mapping[str, Substance]:
    """All substances by canonical name."""
    return MappingProxyType(read_substances(package_text(_FILE), _FILE))


def substance(name: str) -> Substance:
    """The substance behind a name, alias or formula.

    A per cent in the name sets the strength, as in ``"ammonia solution 9.5 %"``.

    Raises
    ------
    UnknownNameError
        With the nearest known names.
    """
    wanted = " ".join(name[:80].lower().replace("_", " ").split())
    table = _by_alias()
    if wanted in table:
        return table[wanted]
    match = _PER_CENT.search(wanted)
    if match is not None:
        bare = " ".join((wanted[: match.start()] + " " + wanted[match.end() :]).split())
        share = float(match["number"].replace(",", ".")) / 100.0
        if bare in table and 0.0 < share <= 1.0:
            return replace(table[bare], strength=share, strength_span=Span.exact(share))
    raise UnknownNameError("substance", name, substances())


def taken_by_label(what: Substance) -> bool:
    """Whether a conditioner's label tells more than an amount: nobody knows how strong it is.

    Parameters
    ----------
    what
        A substance; one with a per cent in its name has a known strength.
    """
    guessed = what.strength_span.high > UNSURE_STRENGTH * what.strength_span.low
    return what.dechlorination_mg_cl2_per_mg > 0 and guessed


@cache
def _by_alias() -> dict[str, Substance]:
    table: dict[str, Substance] = {}
    for entry in substances().values():
        for alias in (entry.name, *entry.aliases):
            if alias in table:
                raise TableError(f"{_FILE}: the name '{alias}' is used twice")
            table[alias] = entry
    return table


def read_substances(text: str, file: str) -> dict[str, Substance]:
    """Read and validate a table of substances.

    Raises
    ------
    TableError
        Names file and line.
    """
    found: dict[str, Substance] = {}
    for line, record in read_records(text, file, _COLUMNS):
        place = f"{file}:{line}"
        for column in ("name", "formula", "source", "quality"):
            if not record[column]:
                raise TableError(f"{place}: no {column}")
        check_origin(record["source"], record["quality"], place)
        numbers = {column: number_in(record, column, place) for column in _NUMBERS}
        low, high = (number_in(record, f"strength_{end}", place) for end in ("low", "high"))
        if numbers["molar_mass_g_per_mol"] <= 0:
            raise TableError(f"{place}: a molar mass is positive")
        if not 0 < low <= numbers["strength"] <= high <= 1:
            raise TableError(f"{place}: strength is outside its range or above 1")
        if record["name"] in found:
            raise TableError(f"{place}: '{record['name']}' comes twice")
        found[record["name"]] = Substance(
            name=record["name"],
            aliases=tuple(a for a in record["aliases"].split(";") if a),
            formula=record["formula"],
            strength_span=Span(low, high),
            source=record["source"],
            quality=record["quality"],
            note=record["note"],
            **numbers,
        )
    return found
