"""A water report from a file: a table of quantities as TOML or CSV.

TOML: a line a quantity, ``calcium = "82 mg/L"`` or a bare number in the usual unit, at the top or
under ``[water]``. CSV: columns ``quantity``, ``value`` and maybe ``unit``, parted by commas,
semicolons or tabs.
"""

from __future__ import annotations

import csv
import io
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

from watervane.exchange.problems import TankFileErrors, shown
from watervane.records import Finding

MOST_BYTES = 200_000
TABLE = "water"
COLUMNS = ("quantity", "value", "unit")
BARE = {"kh": "dKH", "gh": "dGH", "conductivity": "uS/cm", "ph": ""}
# As reports of suppliers write them.
WRITTEN = {
    "ca": "calcium",
    "mg": "magnesium",
    "na": "sodium",
    "k": "potassium",
    "cl": "chloride",
    "so4": "sulfate",
    "no3": "nitrate",
    "nh4": "ammonia",
    "ammonium": "ammonia",
    "hco3": "bicarbonate",
    "hydrogen carbonate": "bicarbonate",
    "total hardness": "gh",
    "general hardness": "gh",
    "carbonate hardness": "kh",
    "total alkalinity": "kh",
    "electrical conductivity": "conductivity",
}
Told = tuple[str, int]  # a text as `source-water --tap` takes it, and its line


def read_water_file(path: Path) -> tuple[Told, ...]:
    """Quantities of a report, each with its line.

    Parameters
    ----------
    path
        Of the file; what ends in ``.toml`` is TOML, everything else CSV.

    Raises
    ------
    TankFileErrors
        Where the file cannot be read or tells nothing.
    """
    text = _text_of(path)
    rows = _toml_rows(text) if path.suffix.lower() == ".toml" else _csv_rows(text)
    found = tuple((_told(name, value), line) for name, value, line in rows)
    if not found:
        raise TankFileErrors([Finding("water-file-empty", "problem", {"file": path.name})])
    return found


def _text_of(path: Path) -> str:
    try:
        data = path.read_bytes()[: MOST_BYTES + 1]
    except OSError as error:
        told = {"file": str(path), "why": error.strerror or ""}
        raise TankFileErrors([Finding("water-file-unread", "problem", told)]) from error
    told = {"file": path.name, "most": f"{MOST_BYTES // 1000} kB"}
    no_text = TankFileErrors([Finding("water-file-no-text", "problem", told)])
    if len(data) > MOST_BYTES:
        raise no_text
    try:
        return data.decode("utf-8-sig")
    except ValueError as error:
        raise no_text from error


def _toml_rows(text: str) -> Iterator[tuple[str, str, int]]:
    try:
        told = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        why = {"why": str(error)}
        raise TankFileErrors([Finding("water-file-toml", "problem", why)]) from error
    table = told.get(TABLE, told)
    rows = table if isinstance(table, dict) else {}
    for name, value in rows.items():
        if name != "name":
            yield name, _plain(value), _line_of(text, name)


def _plain(value: object) -> str:
    """A value as it would be typed."""
    return f"{value:g}" if isinstance(value, float) else str(value)


def _line_of(text: str, name: str) -> int:
    key = re.compile(rf"""\s*["']?{re.escape(name)}["']?\s*=""")
    lines = text.splitlines()
    return next((number for number, line in enumerate(lines, 1) if key.match(line)), 1)


def _csv_rows(text: str) -> Iterator[tuple[str, str, int]]:
    head = text.partition("\n")[0]
    between = max(";\t,", key=head.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=between)
    try:
        columns = [cell.strip().lower() for cell in next(reader, [])]
        if columns[:2] != list(COLUMNS[:2]):
            told = {"head": shown(head.strip()), "wanted": ", ".join(COLUMNS)}
            raise TankFileErrors([Finding("water-file-columns", "problem", told, line=1)])
        for cells in reader:
            told_cells = [cell.strip() for cell in cells]
            if any(told_cells):
                name, value, unit = (*told_cells, "", "", "")[:3]
                yield name, f"{value} {unit}".strip(), reader.line_num
    except csv.Error as error:
        why = {"why": str(error)}
        raise TankFileErrors([Finding("water-file-csv", "problem", why)]) from error


def _told(name: str, value: str) -> str:
    plain = re.sub(r"[\s_-]+", " ", name.strip().lower())
    quantity = WRITTEN.get(plain, plain.replace(" ", "-"))
    bare = re.fullmatch(r"<?\s*[0-9]+(?:[.,][0-9]+)?", value)
    unit = BARE.get(quantity, "mg/L") if bare else ""
    return f"{quantity} {value} {unit}".strip()
