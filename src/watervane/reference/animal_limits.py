"""What water each kind of animal wants, and how much ammonia, nitrite and salt its kind bears.

Every range was written down twice without looking back. What both passes call good is where to
look for animals that fit a water; what either calls good is the widest range, outside which comfort
ends; the two passes stand in the row's note. Where the reviewed catalogue has the animal too, the
same goes for all four, and of two groups the more careful one stands.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from types import MappingProxyType

from watervane.reference.animals import KEEPER, OwnRow, animal_form, own_row
from watervane.reference.catalogue_records import LINE, catalogue_record, catalogue_records
from watervane.reference.names import plain_name
from watervane.reference.sources import TableError, package_text
from watervane.reference.tables import check_origin, number_in, read_records

_FILE = "animal_limits.csv"
_COLUMNS = (
    *("name", "quantity", "low", "high", "widest_low", "widest_high"),
    *("unit", "group", "source", "where", "quality", "note"),
)
_NUMBERS = ("low", "high", "widest_low", "widest_high")
RANGES = ("temperature", "ph", "hardness")
MEASURED = ("measured temperature", "measured ph")
GROUPS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        # from the most sensitive fish to the least; the rest are no fish
        "ammonia group": (
            *("sensitive", "ordinary", "hardy"),
            *("crustacean", "mollusc", "amphibian"),
        ),
        "nitrite group": (
            *("very sensitive", "sensitive", "tolerant"),
            *("crustacean", "mollusc"),
        ),
        # how much plain salt is borne for long: a few tenths of a gram a litre, one, several
        "salt group": ("hardly", "some", "well"),
    }
)
UNKNOWN = "unknown"
# quantity, its columns in the catalogue, unit
_CATALOGUED = (
    ("temperature", ("temperature", "_c"), "degC"),
    ("ph", ("ph", ""), "1"),
    ("hardness", ("gh", "_dgh"), "dGH"),
)


CELLS = (
    *(f"{stem[0]}_{end}{stem[1]}" for _, stem, _ in _CATALOGUED for end in ("low", "high")),
    *(quantity.replace(" ", "_") for quantity in GROUPS),
)


@dataclass(frozen=True, slots=True)
class AnimalValue:
    """One value of one kind of animal: a range, or a group it belongs to.

    ``low`` and ``high`` bound what suits it, ``widest_low`` and ``widest_high`` what either
    pass allowed; of a measured limit only the sides that were measured are there.
    """

    name: str
    quantity: str
    unit: str
    group: str
    source: str
    where: str
    quality: str
    note: str
    line: int
    low: float | None
    high: float | None
    widest_low: float | None
    widest_high: float | None

    @property
    def told(self) -> str:
        """The value as a reader takes it in: a group, or a range with its unit."""
        if self.group:
            return self.group
        low, high = (f"{end:g}" if end is not None else "" for end in (self.low, self.high))
        span = f"{low} to {high}" if low and high else f"from {low}" if low else f"up to {high}"
        return span if self.unit == "1" else f"{span} {self.unit}"


@dataclass(frozen=True, slots=True)
class Needs:
    """What is known of one animal's needs, by quantity.

    ``asked`` is the name that was asked for, ``name`` the table's, ``matched`` how it was found;
    with ``none`` nothing is known and ``values`` is empty.
    """

    asked: str
    name: str
    matched: str
    values: Mapping[str, AnimalValue]

    def group(self, quantity: str) -> str:
        """The group of one of `GROUPS`; ``unknown`` where none is known."""
        found = self.values.get(quantity)
        return found.group if found else UNKNOWN


def animal_needs(name: str, own: Sequence[OwnRow] = ()) -> Needs:
    """The needs of the animal behind a name keepers write; a row of the keeper's own goes before.

    Never fails: a name no table knows has no values, and counts as the most sensitive of all.
    """
    row = own_row(name, own) if own else None
    if row is not None:
        return _with_own(name, row)
    animal = animal_form(name)
    values = _needs_by_name().get(animal.name, {}) if animal.matched != "none" else {}
    if not values and animal.matched != "none":
        values = _catalogued(animal.name)
    return Needs(name, animal.name, animal.matched, MappingProxyType(values))


def _with_own(asked: str, row: OwnRow) -> Needs:
    """What ours needs, and in its place what the keeper tells; no doubt is left in a told range."""
    ours = animal_needs(row.name)
    known = ours.matched == "name"
    name = ours.name if known else row.name
    told = dict.fromkeys(CELLS, "") | dict(row.cells) | {"scientific_name": name}
    told |= {"source": KEEPER, "quality": KEEPER, LINE: "0"}
    for _, stem, _ in _CATALOGUED:
        for end in ("low", "high"):
            column = f"{stem[0]}_{end}{stem[1]}"
            told[f"widest_{column}"] = told[column]
    values = dict(ours.values) if known else {}
    values |= {value.quantity: value for value in _values_of(told)}
    return Needs(asked, name, "name", MappingProxyType(values))


@cache
def animal_values() -> tuple[AnimalValue, ...]:
    """Every row of the table, in its order."""
    return tuple(read_animal_values(package_text(_FILE), _FILE))


@cache
def animals_with_needs() -> tuple[str, ...]:
    """Every animal whose needs are known: those of the table, then those of the catalogue."""
    catalogued = (row["scientific_name"] for row in catalogue_records().values())
    return tuple(dict.fromkeys((*(row.name for row in animal_values()), *catalogued)))


@cache
def _catalogued(name: str) -> dict[str, AnimalValue]:
    """What the catalogue knows of an animal that the table does not hold."""
    record = catalogue_record(plain_name(name))
    if record is None:
        return {}
    return {value.quantity: value for value in _values_of(record)}


def _values_of(record: Mapping[str, str]) -> Iterator[AnimalValue]:
    origin = (record["source"], "", record["quality"], "")
    for quantity, stem, unit in _CATALOGUED:
        ends = [f"{stem[0]}_low{stem[1]}", f"{stem[0]}_high{stem[1]}"]
        cells = [record[c] for c in (*ends, *(f"widest_{end}" for end in ends))]
        if all(cells):
            low, high, widest_low, widest_high = map(float, cells)
            yield AnimalValue(
                record["scientific_name"],
                quantity,
                unit,
                "",
                *origin,
                int(record[LINE]),
                low,
                high,
                widest_low,
                widest_high,
            )
    for quantity in GROUPS:
        group = record[quantity.replace(" ", "_")]
        if group:
            yield AnimalValue(
                record["scientific_name"],
                quantity,
                "-",
                group,
                *origin,
                int(record[LINE]),
                *(None, None, None, None),
            )


@cache
def _needs_by_name() -> dict[str, dict[str, AnimalValue]]:
    found: dict[str, dict[str, AnimalValue]] = {}
    for row in animal_values():
        other = _catalogued(row.name).get(row.quantity)
        value = row if other is None else agreed(row, other)
        found.setdefault(row.name, {})[row.quantity] = value
    return found


def agreed(row: AnimalValue, other: AnimalValue) -> AnimalValue:
    """What stands of two values of one animal: the overlap within the widest, the careful group.

    Parameters
    ----------
    row, other
        Of the table of needs and of the catalogue. The catalogue's group is the most careful of
        its reviews and the table; a published test of the species stands over all of them.
    """
    if row.quantity in GROUPS:
        return replace(row, group=other.group, note="")
    ends = [row.low, other.low, row.high, other.high]
    widest = [row.widest_low, other.widest_low, row.widest_high, other.widest_high]
    if any(end is None for end in (*ends, *widest)):
        return row
    lows, highs = ends[:2], ends[2:]
    low, high = max(e for e in lows if e is not None), min(e for e in highs if e is not None)
    if low > high:
        return row
    found = replace(
        row,
        low=low,
        high=high,
        widest_low=min(e for e in widest[:2] if e is not None),
        widest_high=max(e for e in widest[2:] if e is not None),
    )
    return row if found == row else replace(found, note="")


def read_animal_values(text: str, file: str) -> Iterator[AnimalValue]:
    """Read and validate the table.

    Raises
    ------
    TableError
        Names the file and line of a strange animal, quantity, group, source or quality, of a
        range that is none, and of a row that comes twice.
    """
    seen: set[tuple[str, str]] = set()
    for line, record in read_records(text, file, _COLUMNS):
        place = f"{file}:{line}"
        if animal_form(record["name"]).name != record["name"]:
            raise TableError(f"{place}: '{record['name']}' is not in animals.csv")
        check_origin(record["source"], record["quality"], place)
        if not record["unit"]:
            raise TableError(f"{place}: no unit")
        key = (record["name"], record["quantity"])
        if key in seen:
            raise TableError(f"{place}: {key[1]} of {key[0]} comes twice")
        seen.add(key)
        yield _value(record, line, place)


def _value(record: Mapping[str, str], line: int, place: str) -> AnimalValue:
    quantity = record["quantity"]
    found = {c: number_in(record, c, place) if record[c] else None for c in _NUMBERS}
    if quantity in GROUPS:
        if record["group"] not in GROUPS[quantity]:
            raise TableError(f"{place}: '{record['group']}' is no {quantity}")
    elif quantity in RANGES:
        ends = [found[c] for c in ("widest_low", "low", "high", "widest_high")]
        told = [end for end in ends if end is not None]
        if len(told) < len(ends) or told != sorted(told) or not told[1] < told[2]:
            raise TableError(f"{place}: a range goes up from widest_low to widest_high")
    elif quantity in MEASURED:
        if found["low"] is None and found["high"] is None:
            raise TableError(f"{place}: a measured limit has a low or a high end")
    else:
        raise TableError(f"{place}: '{quantity}' is no quantity of this table")
    return AnimalValue(
        record["name"],
        quantity,
        record["unit"],
        record["group"],
        record["source"],
        record["where"],
        record["quality"],
        record["note"],
        line,
        found["low"],
        found["high"],
        found["widest_low"],
        found["widest_high"],
    )
