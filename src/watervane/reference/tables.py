"""Tables of one sourced value a row, validated when they load."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from types import MappingProxyType

from watervane.reference.sources import TableError, package_text, sources

COLUMNS = (
    *("id", "quantity", "value", "low", "high", "unit", "basis"),
    *("source", "where", "quality", "note"),
)
# what a table carries beyond the common columns
TABLES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "parameters": ("distribution",),
        "media": ("kind",),
        "foods": ("name",),
        "plants": ("name", "aliases"),
        "body_forms": ("form",),
        "animals": ("name", "aliases", "form"),
        "limits": ("group", "tier", "side", "exposure_hours"),
        "events": (),
        "observation": (),
        "conversions": (),
        "starts": ("way", "temperature_c", "share_within"),
    }
)
STARTS_COLUMNS = (*COLUMNS, *TABLES["starts"])
QUALITIES = (
    *("published", "secondary", "from memory", "computed", "definition"),
    *("synthesis", "practice", "guess"),
)
DISTRIBUTIONS = ("lognormal", "either", "normal", "loguniform", "fixed")
_Z95 = 1.959964


@dataclass(frozen=True, slots=True)
class Row:
    """One value with its 95 % range, unit and source; ``extra`` holds further columns."""

    id: str
    quantity: str
    value: float
    low: float | None
    high: float | None
    unit: str
    basis: str
    source: str
    where: str
    quality: str
    note: str
    table: str
    line: int
    extra: Mapping[str, str] = field(default_factory=dict)

    @property
    def geometric_sd(self) -> float:
        """Geometric standard deviation whose 95 % range is ``low`` to ``high``. [1]"""
        low, high = self._bounds()
        if low <= 0:
            raise ValueError(f"{self.id} reaches zero, so it has no geometric spread")
        return math.exp(math.log(high / low) / (2 * _Z95))

    @property
    def sd(self) -> float:
        """Standard deviation whose 95 % range is ``low`` to ``high``, in the row's unit."""
        low, high = self._bounds()
        return (high - low) / (2 * _Z95)

    def _bounds(self) -> tuple[float, float]:
        if self.low is None or self.high is None:
            raise ValueError(f"{self.id} is exact and has no range")
        return self.low, self.high


@cache
def load_table(name: str) -> tuple[Row, ...]:
    """All rows of a shipped table, in file order.

    Parameters
    ----------
    name : str
        A key of ``TABLES``.

    Raises
    ------
    TableError
        If there is no such table, or a row is wrong; names file and line.
    """
    if name not in TABLES:
        raise TableError(f"there is no table '{name}'; tables are {', '.join(TABLES)}")
    return tuple(read_rows(package_text(f"{name}.csv"), name))


def value(row_id: str) -> Row:
    """The row of an id, whichever table it is in.

    Raises
    ------
    KeyError
        If no table has that id.
    """
    return _rows_by_id()[row_id]


@cache
def _rows_by_id() -> dict[str, Row]:
    found: dict[str, Row] = {}
    for name in TABLES:
        for row in load_table(name):
            if row.id in found:
                raise TableError(
                    f"{name}.csv:{row.line}: id '{row.id}' is also in {found[row.id].table}.csv"
                )
            found[row.id] = row
    return found


def check_known(name: str, names: Iterable[str], place: str) -> None:
    """Raise `TableError` where a row names what another table does not hold."""
    if name not in names:
        raise TableError(f"{place}: '{name}' is not known")


def read_records(
    text: str, file: str, columns: tuple[str, ...]
) -> Iterator[tuple[int, dict[str, str]]]:
    """Lines of a CSV table as dicts, after checking its header and its cell counts."""
    reader = csv.reader(io.StringIO(text), strict=True)
    header = next(reader, [])
    unknown, missing = set(header) - set(columns), set(columns) - set(header)
    if unknown or missing or len(header) != len(columns):
        detail = f"unknown {sorted(unknown)}, missing {sorted(missing)}"
        raise TableError(f"{file}:1: the columns are not those of this table: {detail}")
    try:
        for cells in reader:
            if len(cells) != len(header):
                raise TableError(
                    f"{file}:{reader.line_num}: {len(cells)} cells, expected {len(header)}"
                )
            yield reader.line_num, dict(zip(header, (c.strip() for c in cells), strict=True))
    except csv.Error as error:
        raise TableError(f"{file}:{reader.line_num}: {error}") from error


def read_rows(text: str, name: str) -> Iterator[Row]:
    """Read and validate rows of a common-column table.

    Raises
    ------
    TableError
        For an unknown or missing column, an empty id, unit or source, an unknown
        source or quality, a number that is none, or a value outside its range.
    """
    extra_columns = TABLES.get(name, ())
    seen: set[str] = set()
    for line, record in read_records(text, f"{name}.csv", (*COLUMNS, *extra_columns)):
        row = _row(record, extra_columns, name, line)
        if row.id in seen:
            raise TableError(f"{name}.csv:{line}: id '{row.id}' comes twice")
        seen.add(row.id)
        yield row


def _row(record: Mapping[str, str], extra_columns: tuple[str, ...], name: str, line: int) -> Row:
    place = f"{name}.csv:{line}"
    for column in ("id", "quantity", "value", "unit", "source", "quality"):
        if not record[column]:
            raise TableError(f"{place}: no {column}")
    check_origin(record["source"], record["quality"], place)
    number = number_in(record, "value", place)
    low = number_in(record, "low", place) if record["low"] else None
    high = number_in(record, "high", place) if record["high"] else None
    if (low is None) != (high is None):
        raise TableError(f"{place}: a range needs both low and high")
    if low is not None and high is not None and not low <= number <= high:
        raise TableError(f"{place}: value {number:g} is outside {low:g} to {high:g}")
    extra = {column: record[column] for column in extra_columns}
    if "distribution" in extra and extra["distribution"] not in DISTRIBUTIONS:
        raise TableError(f"{place}: unknown distribution '{extra['distribution']}'")
    texts = {c: record[c] for c in ("unit", "basis", "source", "where", "quality", "note")}
    return Row(
        record["id"],
        record["quantity"],
        number,
        low,
        high,
        **texts,
        table=name,
        line=line,
        extra=MappingProxyType(extra),
    )


def check_origin(source_key: str, quality: str, place: str) -> None:
    """Refuse a source that is not listed and a quality that is not a known word."""
    if source_key not in sources():
        raise TableError(f"{place}: source '{source_key}' is not in sources.toml")
    if quality not in QUALITIES:
        raise TableError(f"{place}: quality '{quality}' is none of {', '.join(QUALITIES)}")


def number_in(record: Mapping[str, str], column: str, place: str) -> float:
    """A finite number in a cell."""
    try:
        number = float(record[column])
    except ValueError:
        number = math.nan
    if not math.isfinite(number):
        raise TableError(f"{place}: {column} '{record[column]}' is not a finite number")
    return number
