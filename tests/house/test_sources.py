"""Whatever names a publication names one the sources table holds."""

from __future__ import annotations

import ast
import csv
import importlib
import inspect
import pkgutil
from collections.abc import Mapping
from pathlib import Path

import pytest
from source_tree import PACKAGE, ROOT, parsed, place, python_files

import watervane
from watervane.reference import SourcedFunction, sourced_functions, sources

Marked = Mapping[str, SourcedFunction]
# Columns and keywords that hold a key of the sources table.
KEYED_COLUMN = "source"
CSV_FILES = sorted({*PACKAGE.rglob("*.csv"), *(ROOT / "tests" / "published").glob("*.csv")})


@pytest.fixture(scope="module")
def marked() -> Marked:
    """Every function marked with a source, all modules of the package imported."""
    for found in pkgutil.walk_packages(watervane.__path__, "watervane."):
        # A migration runs where its tool has set the stage, and holds no formula.
        if not found.name.endswith("__main__") and ".migrations" not in found.name:
            importlib.import_module(found.name)
    return sourced_functions()


def test_some_functions_are_marked(marked: Marked) -> None:
    assert len(marked) > 20


def test_every_marked_function_names_a_known_source(marked: Marked) -> None:
    unknown = [
        f"{name}: {citation.key}"
        for name, function in marked.items()
        for citation in function.citations
        if citation.key not in sources()
    ]
    assert unknown == []


def test_every_validity_range_is_of_a_parameter(marked: Marked) -> None:
    strangers = [
        f"{name}: {parameter}"
        for name, function in marked.items()
        for parameter in function.valid
        if parameter not in inspect.signature(function.function).parameters
    ]
    assert strangers == []


def test_every_validity_range_has_room(marked: Marked) -> None:
    empty = [
        f"{name}: {parameter} {low}..{high}"
        for name, function in marked.items()
        for parameter, (low, high) in function.valid.items()
        if not low < high
    ]
    assert empty == []


def test_every_key_written_in_the_code_is_known() -> None:
    """A ``sourced("key")`` in a branch nobody imports, or a finding's ``source="key"``."""
    unknown = []
    for path in python_files(ROOT / "src"):
        for node in ast.walk(parsed(path)):
            if not isinstance(node, ast.Call):
                continue
            called = node.func.id if isinstance(node.func, ast.Name) else ""
            given = list(node.args[:1]) if called == "sourced" else []
            if called == "Finding":
                given += [word.value for word in node.keywords if word.arg == KEYED_COLUMN]
            for argument in given:
                key = argument.value if isinstance(argument, ast.Constant) else None
                if isinstance(key, str) and key not in sources():
                    unknown.append(f"{place(path, node.lineno)}: {key}")
    assert unknown == []


@pytest.mark.parametrize("path", CSV_FILES, ids=lambda path: str(path.relative_to(ROOT)))
def test_every_table_row_names_a_known_source(path: Path) -> None:
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert rows or not path.is_relative_to(PACKAGE), f"{path} has no rows"
    unknown = [
        f"{place(path, number)}: {row[KEYED_COLUMN]!r}"
        for number, row in enumerate(rows, start=2)
        if KEYED_COLUMN in row and row[KEYED_COLUMN] not in sources()
    ]
    assert unknown == []
