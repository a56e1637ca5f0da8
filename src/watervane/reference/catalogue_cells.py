"""Cells of a table of animals, judged all at once: each mistake with its line and column."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from watervane.reference.catalogue_words import (
    CONFIDENCES,
    GRADES,
    NEEDED,
    NUMBERS,
    ONE_WORD,
    RANGES,
    SEVERAL_WORDS,
)

CHECKED_WORDS = {**ONE_WORD, "confidence": CONFIDENCES, "grade": GRADES}


@dataclass(frozen=True, slots=True)
class CellProblem:
    """A cell that cannot stand.

    ``key`` names what is wrong: ``missing``, ``word``, ``number``, ``outside``, ``order``,
    ``half``, ``twice``, ``cells``, ``columns``; ``allowed`` are the words or bounds that would do.
    """

    line: int
    column: str
    typed: str
    key: str
    allowed: tuple[str, ...] = ()


def cell_problems(record: Mapping[str, str], line: int) -> Iterator[CellProblem]:
    """Everything wrong in one row; an empty cell is unknown, and right wherever it may be."""
    for column in NEEDED:
        if not record.get(column):
            yield CellProblem(line, column, "", "missing", ONE_WORD.get(column, ()))
    for column, words in CHECKED_WORDS.items():
        typed = record.get(column, "")
        if typed and typed not in words:
            yield CellProblem(line, column, typed, "word", words)
    for column, words in SEVERAL_WORDS.items():
        for typed in split_cell(record.get(column, "")):
            if typed not in words:
                yield CellProblem(line, column, typed, "word", words)
    for column, bounds in NUMBERS.items():
        yield from _number_problems(record, column, bounds, line)
    for columns, bounds in RANGES.items():
        yield from _range_problems(record, columns, bounds, line)


def split_cell(cell: str) -> tuple[str, ...]:
    """The words of a cell that may hold several."""
    return tuple(word for word in (part.strip() for part in cell.split(";")) if word)


def number_or_none(cell: str) -> float | None:
    """A finite number, or ``None`` for any other text."""
    try:
        number = float(cell)
    except ValueError:
        return None
    return number if math.isfinite(number) else None


def _number_problems(
    record: Mapping[str, str], column: str, bounds: tuple[float, float], line: int
) -> Iterator[CellProblem]:
    typed = record.get(column, "")
    if not typed:
        return
    number = number_or_none(typed)
    if number is None or (column == "group_min" and number != int(number)):
        yield CellProblem(line, column, typed, "number")
    elif not bounds[0] <= number <= bounds[1]:
        yield CellProblem(line, column, typed, "outside", tuple(f"{end:g}" for end in bounds))


def _range_problems(
    record: Mapping[str, str], columns: tuple[str, ...], bounds: tuple[float, float], line: int
) -> Iterator[CellProblem]:
    typed = [record.get(column, "") for column in columns]
    if not any(typed):
        return
    if not all(typed):
        empty = columns[typed.index("")]
        yield CellProblem(line, empty, "", "half", columns)
        return
    wrong = [
        problem for column in columns for problem in _number_problems(record, column, bounds, line)
    ]
    yield from wrong
    if not wrong:
        numbers = [float(cell) for cell in typed]
        if numbers != sorted(numbers):
            yield CellProblem(line, columns[0], ", ".join(typed), "order", columns)
