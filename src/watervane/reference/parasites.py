"""How long parasites of fish take for one round of their life, by warmth."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from watervane.reference.sources import TableError, package_text
from watervane.reference.tables import check_origin, number_in, read_records

COLUMNS = (
    *("id", "name", "scientific", "usual", "temperature_c", "days_low", "days_high"),
    *("source", "quality", "note"),
)


@dataclass(frozen=True, slots=True)
class Parasite:
    """One kind.

    ``usual`` tells whether a quarantine is made to outlast it unseen; ``points`` are warmth and
    the shortest and longest round of its life known there. [degC], [d]
    """

    id: str
    name: str
    scientific: str
    usual: bool
    points: tuple[tuple[float, float, float], ...]
    source: str
    quality: str
    note: str = ""

    def round_d(self, temperature_c: float) -> tuple[float, float]:
        """The shortest and longest round at a warmth: straight in the logarithm of days. [d]

        Colder and warmer than the table knows, its ends stand.
        """
        found = []
        for end in (1, 2):
            below = [p for p in self.points if p[0] <= temperature_c]
            above = [p for p in self.points if p[0] >= temperature_c]
            if not below or not above:
                found.append((above or below)[0 if above else -1][end])
                continue
            left, right = below[-1], above[0]
            span = right[0] - left[0]
            share = 0.0 if span == 0.0 else (temperature_c - left[0]) / span
            logs = math.log(left[end]), math.log(right[end])
            found.append(math.exp(logs[0] + share * (logs[1] - logs[0])))
        return found[0], found[1]


@cache
def parasites() -> Mapping[str, Parasite]:
    """All kinds, in the order of the table.

    Raises
    ------
    TableError
        Where a row is wrong.
    """
    found: dict[str, Parasite] = {}
    for line, row in read_records(package_text("parasites.csv"), "parasites.csv", COLUMNS):
        place = f"parasites.csv:{line}"
        check_origin(row["source"], row["quality"], place)
        point = tuple(
            number_in(row, name, place) for name in ("temperature_c", "days_low", "days_high")
        )
        before = found.get(row["id"])
        points = () if before is None else before.points
        if not 0.0 < point[1] < point[2] or (points and point[0] <= points[-1][0]):
            raise TableError(f"{place}: days rise from low to high, and warmth from row to row")
        found[row["id"]] = Parasite(
            row["id"],
            row["name"],
            row["scientific"],
            row["usual"] == "yes",
            (*points, (point[0], point[1], point[2])),
            row["source"],
            row["quality"],
            row["note"] if before is None else before.note,
        )
    return MappingProxyType(found)
