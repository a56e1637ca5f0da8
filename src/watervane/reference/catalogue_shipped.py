"""The catalogue as it is shipped: reviewed rows, and what the older tables know of others."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cache
from typing import Any

from watervane.reference.animal_limits import animal_needs
from watervane.reference.catalogue_animal import CatalogueAnimal
from watervane.reference.catalogue_cells import cell_problems, number_or_none, split_cell
from watervane.reference.catalogue_words import CATALOGUE_COLUMNS, UNKNOWN
from watervane.reference.names import plain_name
from watervane.reference.sources import TableError, package_text
from watervane.reference.tables import Row, check_origin, load_table, read_records
from watervane.units import Span

_FILE = "catalogue.csv"
_KINDS = {"shrimp": "shrimp", "snail": "snail", "axolotl": "amphibian", "dwarf frog": "amphibian"}


@cache
def catalogue() -> tuple[CatalogueAnimal, ...]:
    """Every animal we ship: the reviewed rows, then animals of the older tables alone."""
    reviewed = tuple(read_catalogue(package_text(_FILE), _FILE))
    older = {plain_name(row.extra["name"]): row for row in load_table("animals")}
    taken = {plain_name(name) for animal in reviewed for name in animal.names}
    named = tuple(
        _with_older_names(
            _as_agreed(animal), older.pop(plain_name(animal.scientific_name), None), taken
        )
        for animal in reviewed
    )
    return (*named, *(_from_older(row) for row in older.values()))


def _as_agreed(animal: CatalogueAnimal) -> CatalogueAnimal:
    """The animal with the ranges that both the reviews and the older table of needs call good."""
    needs = animal_needs(animal.scientific_name).values
    kept: dict[str, Any] = {}
    for quantity, field in (("temperature", "temperature_c"), ("ph", "ph"), ("hardness", "gh_dgh")):
        value = needs.get(quantity)
        if value is not None and getattr(animal, field) is not None:
            kept[field] = _span(value.low, value.high)
            kept[f"widest_{field}"] = _span(value.widest_low, value.widest_high)
    return replace(animal, **kept)


def _with_older_names(animal: CatalogueAnimal, row: Row | None, taken: set[str]) -> CatalogueAnimal:
    """The animal with the names that the older table has for it and nobody else claims."""
    aliases = () if row is None else tuple(row.extra["aliases"].split(";"))
    more = tuple(name for name in aliases if name and plain_name(name) not in taken)
    return replace(animal, common_names=(*animal.common_names, *more)) if more else animal


def read_catalogue(text: str, file: str) -> Iterator[CatalogueAnimal]:
    """Read and validate the shipped table.

    Raises
    ------
    TableError
        Names file, line and column of a cell that cannot stand, and of a name that comes twice.
    """
    seen: set[str] = set()
    for line, record in read_records(text, file, CATALOGUE_COLUMNS):
        for problem in cell_problems(record, line):
            allowed = f"; allowed: {', '.join(problem.allowed)}" if problem.allowed else ""
            raise TableError(
                f"{file}:{line}: {problem.column} '{problem.typed}': {problem.key}{allowed}"
            )
        check_origin(record["source"], record["quality"], f"{file}:{line}")
        name = plain_name(record["scientific_name"])
        if name in seen:
            raise TableError(f"{file}:{line}: '{record['scientific_name']}' comes twice")
        seen.add(name)
        yield animal_of(record)


def animal_of(record: Mapping[str, str]) -> CatalogueAnimal:
    """The animal of a row whose cells have been judged good; columns may be missing."""

    def word(column: str) -> str:
        return record.get(column, "") or UNKNOWN

    def number(column: str) -> float | None:
        return number_or_none(record.get(column, ""))

    def span(low: str, high: str) -> Span | None:
        return _span(number(low), number(high))

    def yes(column: str) -> bool | None:
        return {"yes": True, "no": False}.get(record.get(column, ""))

    least_group = number("group_min")
    return CatalogueAnimal(
        scientific_name=record["scientific_name"],
        common_names=split_cell(record.get("common_names", "")),
        family=word("family"),
        kind=word("kind"),
        form=word("form"),
        adult_length_cm=span("adult_low_cm", "adult_high_cm"),
        typical_length_cm=number("adult_cm"),
        least_group=None if least_group is None else int(least_group),
        temperature_c=span("temperature_low_c", "temperature_high_c"),
        ph=span("ph_low", "ph_high"),
        gh_dgh=span("gh_low_dgh", "gh_high_dgh"),
        kh_dkh=span("kh_low_dkh", "kh_high_dkh"),
        widest_temperature_c=span("widest_temperature_low_c", "widest_temperature_high_c"),
        widest_ph=span("widest_ph_low", "widest_ph_high"),
        widest_gh_dgh=span("widest_gh_low_dgh", "widest_gh_high_dgh"),
        widest_kh_dkh=span("widest_kh_low_dkh", "widest_kh_high_dkh"),
        zones=split_cell(record.get("zone", "")),
        activity=word("activity"),
        tank_length_cm=number("tank_length_cm"),
        territory=word("territory"),
        territory_cm2=number("territory_cm2"),
        diet=word("diet"),
        protein_g_per_g=span("protein_low", "protein_high"),
        prey_share=number("prey_share"),
        jumps=yes("jumps"),
        eats_plants=word("eats_plants"),
        nips_fins=yes("nips_fins"),
        easily_nipped=yes("easily_nipped"),
        ammonia_group=word("ammonia_group"),
        nitrite_group=word("nitrite_group"),
        salt_group=word("salt_group"),
        brackish=word("brackish"),
        breeds=word("breeds"),
        welfare=split_cell(record.get("welfare", "")),
        legal=split_cell(record.get("legal", "")),
        grade=record.get("grade", "") or "yours",
        differs=split_cell(record.get("differs", "")),
        source=record.get("source", "") or "house-estimate",
        quality=record.get("quality", "") or "from memory",
        note=record.get("note", ""),
    )


def _from_older(row: Row) -> CatalogueAnimal:
    """What the tables of names, lengths and limits know; the rest stays unknown."""
    name, form = row.extra["name"], row.extra["form"]
    needs = animal_needs(name)

    def spans(quantity: str) -> tuple[Span | None, Span | None]:
        found = needs.values.get(quantity)
        if found is None:
            return None, None
        return _span(found.low, found.high), _span(found.widest_low, found.widest_high)

    warmth, acidity, hardness = spans("temperature"), spans("ph"), spans("hardness")

    return CatalogueAnimal(
        scientific_name=name,
        common_names=tuple(alias for alias in row.extra["aliases"].split(";") if alias),
        kind=_KINDS.get(form, "fish"),
        form=form,
        adult_length_cm=_lengths(row),
        typical_length_cm=row.value,
        temperature_c=warmth[0],
        ph=acidity[0],
        gh_dgh=hardness[0],
        widest_temperature_c=warmth[1],
        widest_ph=acidity[1],
        widest_gh_dgh=hardness[1],
        ammonia_group=needs.group("ammonia group"),
        nitrite_group=needs.group("nitrite group"),
        salt_group=needs.group("salt group"),
        source=row.source,
        quality=row.quality,
        note=row.note,
    )


def _span(low: float | None, high: float | None) -> Span | None:
    return None if low is None or high is None else Span(low, high)


def _lengths(row: Row) -> Span:
    low, high = row.low, row.high
    return Span(row.value if low is None else low, row.value if high is None else high)
