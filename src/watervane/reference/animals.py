"""Animals: which body form a name has, how long they grow, what a length weighs."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Protocol

from watervane.reference.catalogue_records import catalogue_record, catalogue_records
from watervane.reference.names import UnknownNameError, plain_name, singular
from watervane.reference.tables import Row, load_table
from watervane.units import Span

KEEPER = "keeper"
DEFAULT_FORM = "slender fish"
MUCH_LIKE = 0.78  # of one, as `difflib` measures it


@dataclass(frozen=True, slots=True)
class Animal:
    """A kind of animal as the tables know it.

    ``matched`` tells how the name was found: ``name``, ``genus``, ``word`` or ``none``;
    with ``none`` an unknown fish of slender form is assumed.
    """

    name: str
    form: str
    adult_length_cm: Span
    matched: str
    typical_length_cm: float


class OwnRow(Protocol):
    """A keeper's own row: its name, and what it tells by column of the catalogue."""

    @property
    def name(self) -> str: ...
    @property
    def cells(self) -> Mapping[str, str]: ...


@dataclass(frozen=True, slots=True)
class BodyForm:
    """Wet mass [g] of a length [cm]: ``a * length ** b``."""

    name: str
    a: Row
    b: Row


def animal_form(name: str, own: Sequence[OwnRow] = ()) -> Animal:
    """The animal behind a name keepers write, scientific or common, singular or plural.

    A row of the keeper's own goes before all, cell by cell. A species that was reviewed for the
    catalogue has its length and form from there, whichever table knows the name; the table of
    usual lengths tells of whole genera alone.
    Never fails: an unknown name gives a slender fish with ``matched == "none"``, so that
    a tank file with a rare species still runs and says what was assumed.
    """
    row = own_row(name, own) if own else None
    return _shipped(name) if row is None else _with_own(row)


def strangers_among(names: Iterable[str], own: Sequence[OwnRow] = ()) -> tuple[str, ...]:
    """Those of some names that no table knows, each once: of the catalogue, by genus, the keeper's.

    Parameters
    ----------
    names
        As keepers write them.
    own
        The keeper's own rows of animals.
    """
    each = dict.fromkeys(names)
    return tuple(name for name in each if animal_form(name, own).matched == "none")


def meant_instead(name: str) -> str | None:
    """The animal that a name no row has is most likely a slip for; none where it looks like none.

    A genus with a word behind it is no slip.

    Parameters
    ----------
    name
        As a keeper wrote it.
    """
    near = None if _shipped(name).matched == "name" else near_animal(name)
    if near is None or name.strip().lower().startswith(near):
        return None
    return near.capitalize() if " " in near else near


def own_row(name: str, own: Sequence[OwnRow]) -> OwnRow | None:
    """The keeper's own row behind a name, if there is one.

    A row of an animal of ours is found by every name that ours is found by. Of a new animal its
    name and trade names count, alone or as words of a longer name, unless all of the longer one
    is the name of another.
    """
    wanted, shipped = plain_name(name), _shipped(name)
    spelt = {wanted, singular(wanted)}
    for row in own:
        if spelt & _names_of(row):
            return row
    for row in own:
        ours = _shipped(row.name)
        if ours.matched == "name" and shipped.matched != "none" and ours.name == shipped.name:
            return row
    if shipped.matched == "name":
        return None
    words = f" {singular(wanted)} "
    return next((r for r in own if any(f" {n} " in words for n in _names_of(r))), None)


def _names_of(row: OwnRow) -> set[str]:
    plain = {plain_name(each) for each in (row.name, *row.cells.get("common_names", "").split(";"))}
    return {form for each in plain if each for form in (each, singular(each))}


def _with_own(row: OwnRow) -> Animal:
    ours, cells = _shipped(row.name), row.cells
    known = ours.matched == "name"
    low, high = ours.adult_length_cm.low, ours.adult_length_cm.high
    usual = float(cells.get("adult_cm", ours.typical_length_cm))
    span = Span(float(cells.get("adult_low_cm", low)), float(cells.get("adult_high_cm", high)))
    name = ours.name if known else row.name
    return Animal(name, cells.get("form", ours.form), span, "name", usual)


def _shipped(name: str) -> Animal:
    wanted = plain_name(name)
    found = _named(wanted) or _named(singular(wanted))
    if found is not None:
        return found
    table, words = _animals_by_name(), wanted.split()
    genera = _animals_by_genus()
    if words and words[0] in genera:
        return _animal(genera[words[0]], "genus")
    for length in range(len(words), 0, -1):
        for start in range(len(words) - length, -1, -1):
            candidate = singular(" ".join(words[start : start + length]))
            if candidate in table:
                return _animal(table[candidate], "word")
    return Animal(wanted, DEFAULT_FORM, Span(2.0, 15.0), "none", 5.0)


def near_animal(name: str) -> str | None:
    """The name of the tables that is most like one they do not know, if any is much like it.

    Two thirds alike, as most words are to some other, is too little: a rare species must not
    lead to another one.
    """
    wanted = singular(plain_name(name[:80]))
    known = {**_animals_by_name(), **catalogue_records()}
    close = difflib.get_close_matches(wanted, known, n=1, cutoff=MUCH_LIKE)
    return close[0] if close else None


@cache
def body_form(form: str) -> BodyForm:
    """Length-to-mass law of a body form.

    Raises
    ------
    UnknownNameError
        If there is no such form.
    """
    rows = [
        row for row in load_table("body_forms") if plain_name(row.extra["form"]) == plain_name(form)
    ]
    if len(rows) != 2:
        raise UnknownNameError("body form", form, body_forms())
    a, b = sorted(rows, key=lambda row: row.id[-1])
    return BodyForm(a.extra["form"], a, b)


def body_forms() -> tuple[str, ...]:
    """Names of all body forms."""
    return tuple(dict.fromkeys(row.extra["form"] for row in load_table("body_forms")))


def wet_mass_g(name: str, length_cm: float | None = None, own: Sequence[OwnRow] = ()) -> float:
    """Wet mass of one animal [g].

    Parameters
    ----------
    name : str
        Species, genus or common name.
    length_cm : float, optional
        Length as its form is measured (fish: mouth to tail tip); the usual adult
        length where not told. [cm]
    own : sequence of OwnRow
        The keeper's own rows.
    """
    animal = animal_form(name, own)
    law = body_form(animal.form)
    length = animal.typical_length_cm if length_cm is None else _positive(length_cm)
    return float(law.a.value * length**law.b.value)


def wet_mass_span_g(name: str, length_cm: float | None = None) -> Span:
    """Wet mass of one animal from the lean to the stout of its form [g].

    Without a length the usual range of adult lengths widens the span.
    """
    animal = animal_form(name)
    law = body_form(animal.form)
    if length_cm is None:
        shortest, longest = animal.adult_length_cm.low, animal.adult_length_cm.high
    else:
        shortest = longest = _positive(length_cm)
    low = law.a.value if law.a.low is None else law.a.low
    high = law.a.value if law.a.high is None else law.a.high
    return Span(low * shortest**law.b.value, high * longest**law.b.value)


def _positive(length_cm: float) -> float:
    if not 0.0 < length_cm < 1e4:
        raise ValueError(f"a length of {length_cm:g} cm is impossible")
    return length_cm


def _animal(row: Row, matched: str) -> Animal:
    record = catalogue_record(plain_name(row.extra["name"]))
    if record is not None and record["scientific_name"] == row.extra["name"]:
        return _catalogued(record, matched)  # one reviewed value decides
    low = row.value if row.low is None else row.low
    high = row.value if row.high is None else row.high
    return Animal(row.extra["name"], row.extra["form"], Span(low, high), matched, row.value)


def _named(name: str) -> Animal | None:
    row, record = _animals_by_name().get(name), catalogue_record(name)
    if row is None:
        return None if record is None else _catalogued(record)
    genus = plain_name(row.extra["name"])
    alias_of_genus = " " not in genus and name != genus
    return _animal(row, "name") if record is None or not alias_of_genus else _catalogued(record)


def _catalogued(record: Mapping[str, str], matched: str = "name") -> Animal:
    low, usual, high = (float(record[c]) for c in ("adult_low_cm", "adult_cm", "adult_high_cm"))
    return Animal(record["scientific_name"], record["form"], Span(low, high), matched, usual)


@cache
def _animals_by_name() -> dict[str, Row]:
    table: dict[str, Row] = {}
    for row in load_table("animals"):
        for name in (row.extra["name"], *row.extra["aliases"].split(";")):
            table.setdefault(plain_name(name), row)
    return table


@cache
def _animals_by_genus() -> dict[str, Row]:
    table: dict[str, Row] = {}
    for row in load_table("animals"):
        table.setdefault(plain_name(row.extra["name"]).split()[0], row)
    return table
