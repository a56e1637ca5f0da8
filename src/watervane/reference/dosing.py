"""What may be dosed by a label, how much of it is usual, and what we give no dose of."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from watervane.reference.names import UnknownNameError
from watervane.reference.sources import TableError, package_text
from watervane.reference.substances import Substance, substance
from watervane.reference.tables import check_origin, number_in, read_records

WHY_NOT = ("prescription", "banned", "dangerous", "deadly")
SALT, BUFFER, MINERAL, FERTILISER = "salt", "buffer", "mineral", "fertiliser"
CONDITIONER, TREATMENT, AMMONIA, COPPER = "conditioner", "treatment", "ammonia", "copper"


@dataclass(frozen=True, slots=True)
class UsualDose:
    """The usual rates of one kind in one unit, ``mL`` or ``g`` a litre.

    ``colonies`` is the row of events that says what share of the colonies it leaves, if any does.
    """

    kind: str
    unit: str
    low: float
    high: float
    bath_high: float
    colonies: str
    source: str
    quality: str
    note: str


@dataclass(frozen=True, slots=True)
class NotDosed:
    """Something no dose is given of, and why."""

    name: str
    why: str
    note: str
    source: str


@dataclass(frozen=True, slots=True)
class Dosed:
    """What is dosed: its kind, and the pure substance where it is one."""

    name: str
    kind: str
    pure: Substance | None = None


def dosed(name: str) -> Dosed:
    """What a name stands for.

    Raises
    ------
    UnknownNameError
        With the nearest kinds and substances known.
    """
    wanted = " ".join(name[:80].lower().replace("_", " ").split())
    for row in _kinds():
        if wanted in (row[0], *row[1]):
            pure = substance("sodium chloride") if row[0] == SALT else None
            return Dosed(row[0], row[0], pure)
    if "copper" in wanted:
        return Dosed(wanted, COPPER)
    try:
        found = substance(wanted)
    except UnknownNameError as error:
        known = (*dict.fromkeys(row[0] for row in _kinds()), *error.known)
        raise UnknownNameError("substance", name, known) from error
    return Dosed(found.name, _kind_of(found), found)


def not_dosed(name: str) -> NotDosed | None:
    """Why no dose is given of something, or ``None`` where one may be."""
    wanted = f" {' '.join(name[:80].lower().replace('_', ' ').split())} "
    for alias, found in _refused().items():
        if f" {alias} " in wanted or f" {alias}s " in wanted:
            return found
    return None


def usual_dose(kind: str, unit: str) -> UsualDose | None:
    """The usual rates of a kind in a unit; ``None`` where it does not come so."""
    meant = TREATMENT if kind == COPPER else kind
    return next((row for row in usual_doses() if (row.kind, row.unit) == (meant, unit)), None)


@cache
def usual_doses() -> tuple[UsualDose, ...]:
    """Every row of the table of kinds."""
    return tuple(each[2] for each in _kinds())


def _kind_of(pure: Substance) -> str:
    if pure.tan_mol or pure.nitrite_mol:
        return AMMONIA
    if pure.dechlorination_mg_cl2_per_mg:
        return CONDITIONER
    if pure.alkalinity_eq:
        return BUFFER
    if pure.nitrate_mol:
        return FERTILISER
    return SALT if pure.sodium_mol and pure.chloride_mol else MINERAL


@cache
def _kinds() -> tuple[tuple[str, tuple[str, ...], UsualDose], ...]:
    columns = (
        *("id", "aliases", "unit", "low", "high", "bath_high", "colonies"),
        *("source", "quality", "note"),
    )
    found = []
    for line, row in read_records(package_text("dose_kinds.csv"), "dose_kinds.csv", columns):
        place = f"dose_kinds.csv:{line}"
        check_origin(row["source"], row["quality"], place)
        low, high, bath = (number_in(row, name, place) for name in ("low", "high", "bath_high"))
        if row["unit"] not in ("mL/L", "g/L") or not 0 < low <= high <= bath:
            raise TableError(f"{place}: a rate is in mL/L or g/L, and rises from low to high")
        told = (row["colonies"], row["source"], row["quality"], row["note"])
        usual = UsualDose(row["id"], row["unit"][:-2], low, high, bath, *told)
        aliases = tuple(each for each in row["aliases"].split(";") if each)
        found.append((row["id"], aliases, usual))
    return tuple(found)


@cache
def _refused() -> Mapping[str, NotDosed]:
    columns = ("name", "aliases", "why", "source", "quality", "note")
    found = {}
    for line, row in read_records(package_text("not_dosed.csv"), "not_dosed.csv", columns):
        place = f"not_dosed.csv:{line}"
        check_origin(row["source"], row["quality"], place)
        if row["why"] not in WHY_NOT:
            raise TableError(f"{place}: '{row['why']}' is none of {', '.join(WHY_NOT)}")
        why = NotDosed(row["name"], row["why"], row["note"], row["source"])
        for alias in (row["name"], *filter(None, row["aliases"].split(";"))):
            found[alias] = why
    return MappingProxyType(found)
