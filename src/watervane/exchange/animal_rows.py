"""A keeper's own rows of the catalogue, `[[animal]]` of a tank file."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from watervane.exchange.animal_vocabulary import ANIMAL, columns_of, key_of
from watervane.exchange.forms import Context, Flag, Key, ListOf, Number
from watervane.exchange.problems import Place, shown
from watervane.exchange.table_reader import Values, read_table
from watervane.records import OwnAnimal, Span
from watervane.reference import CellProblem, animal_form, read_own_rows
from watervane.reference.catalogue_own import OWN_COLUMNS

_TEXT_LIST = ";"
# What a row may still suffer from once each of its values was read.
_KEYS = {
    "missing": "animal-row-new",
    "outside": "animal-row-outside",
    "order": "animal-row-order",
    "half": "animal-row-half",
}


def read_own_rows_of_file(raw: Any, place: Place, context: Context) -> tuple[OwnAnimal, ...]:
    """The rows, each judged by itself and then beside what the catalogue holds."""
    if not isinstance(raw, list):
        place.problem("not-double-brackets", name="animal")
        return ()
    found: list[OwnAnimal] = []
    seen: set[str] = set()
    for number, told in enumerate(raw):
        there = place.at(number, "[[animal]]")
        before = place.problems.count
        row = _row(read_table(told, ANIMAL, there, context))
        if place.problems.count > before:
            continue
        known = animal_form(row.name)
        name = known.name if known.matched == "name" else row.name.casefold()
        if name in seen:
            there.at("name").problem("animal-row-twice", name=there.name, value=shown(row.name))
        seen.add(name)
        for problem in _problems(row):
            _report(problem, row, there)
        found.append(row)
    return tuple(found)


def _row(values: Values) -> OwnAnimal:
    cells: dict[str, str] = {}
    name = values.get("name", "")
    if animal_form(name).matched != "name":
        values = _with_all_lengths(values)
    for key, value in values.items():
        if key == "name":
            continue
        ends = (value.low, value.high) if isinstance(value, Span) else (value,)
        cells |= {c: _cell(end) for c, end in zip(columns_of(key), ends, strict=True)}
    return OwnAnimal(name, cells)


def _with_all_lengths(values: Values) -> Values:
    """Of a new animal a range without its usual length, or the other way round, tells both."""
    told = dict(values)
    if "adult_length" in told and "usual_length" not in told:
        told["usual_length"] = 0.5 * (told["adult_length"].low + told["adult_length"].high)
    elif "usual_length" in told and "adult_length" not in told:
        told["adult_length"] = Span.exact(told["usual_length"])
    return told


def _cell(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return repr(float(f"{value:.9g}")).removesuffix(".0")
    return _TEXT_LIST.join(value) if isinstance(value, list) else str(value)


def _problems(row: OwnAnimal) -> tuple[CellProblem, ...]:
    known = animal_form(row.name)
    name = known.name if known.matched == "name" else row.name
    told = {c: row.cells[c] for c in OWN_COLUMNS if c in row.cells}
    header = ["scientific_name", *told]
    return read_own_rows(header, [(0, [name, *told.values()])])[1]


def _report(problem: CellProblem, row: OwnAnimal, place: Place) -> None:
    columns = [problem.column, *problem.allowed]
    key = next((key_of(c) for c in columns if c in row.cells), key_of(problem.column))
    told = {"name": f"{place.name}, {key}", "value": shown(problem.typed or row.name)}
    known = list(problem.allowed)
    if problem.key == "missing":
        place.at("name").problem(_KEYS["missing"], **told | {"missing": key})
    else:
        place.at(key).problem(_KEYS[problem.key], **told, known=known)


def own_animal_values(row: OwnAnimal) -> dict[str, Any]:
    """Values by key of one row, as `written_value` takes them."""
    return {"name": row.name, **dict(_values(row.cells))}


def _values(cells: Mapping[str, str]) -> Iterator[tuple[str, Any]]:
    for key in ANIMAL.keys:
        told = [cells[column] for column in columns_of(key.name) if column in cells]
        if len(told) == 2:
            yield key.name, Span(float(told[0]), float(told[1]))
        elif told:
            yield key.name, _value(key, told[0])


def _value(key: Key, cell: str) -> Any:
    if isinstance(key.form, Flag):
        return cell == "yes"
    if isinstance(key.form, ListOf):
        return cell.split(_TEXT_LIST)
    if isinstance(key.form, Number):
        return int(cell) if key.form.whole else float(cell)
    return float(cell) if columns_of(key.name) != (key.name,) else cell
