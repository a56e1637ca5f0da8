"""Rows of the shipped catalogue as the model's own tables want them, by name.

Read straight from the file: what judges the rows stands above the tables that ask here.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from watervane.reference.names import plain_name, singular
from watervane.reference.sources import package_text

FILE = "catalogue.csv"
LINE = "line"


@cache
def catalogue_records() -> Mapping[str, Mapping[str, str]]:
    """Rows by plain scientific and trade name; scientific names go before trade names."""
    reader = csv.DictReader(io.StringIO(package_text(FILE)))
    rows = [MappingProxyType({**row, LINE: str(reader.line_num)}) for row in reader]
    found: dict[str, Mapping[str, str]] = {plain_name(r["scientific_name"]): r for r in rows}
    for row in rows:
        for name in row["common_names"].split(";"):
            if name.strip():
                found.setdefault(plain_name(name), row)
                found.setdefault(singular(plain_name(name)), row)
    return MappingProxyType(found)


def catalogue_record(name: str) -> Mapping[str, str] | None:
    """The row of a plain name, or nothing."""
    return catalogue_records().get(name)
