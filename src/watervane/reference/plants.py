"""Water plants by how much nitrogen they take: slow, rooted, stems, floating."""

from __future__ import annotations

from functools import cache

from watervane.reference.names import UnknownNameError, plain_name, singular
from watervane.reference.tables import Row, load_table


def plant_uptake(name: str) -> Row:
    """Nitrogen that a plant takes in good light, by the floor or surface it covers [mg/m2/d].

    Parameters
    ----------
    name : str
        A class (``slow``, ``rooted``, ``stems``, ``floating``), a genus, a species or a trade
        name; of a species that has no entry its genus counts.

    Raises
    ------
    UnknownNameError
        With the nearest names.
    """
    wanted = plain_name(name)
    known = _by_name()
    for candidate in (wanted, singular(wanted), *wanted.split(" ")[:1]):
        if candidate in known:
            return known[candidate]
    raise UnknownNameError("plant", name, known)


def plant_classes() -> tuple[Row, ...]:
    """The classes, from the slowest on."""
    return load_table("plants")


@cache
def _by_name() -> dict[str, Row]:
    found: dict[str, Row] = {}
    for row in load_table("plants"):
        for name in (row.extra["name"], *row.extra["aliases"].split(";")):
            found.setdefault(plain_name(name), row)
            found.setdefault(singular(plain_name(name)), row)
    return found
