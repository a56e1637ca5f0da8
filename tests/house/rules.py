"""The rules of the house as functions: a folder in, a list of breaches out, each with its place.

The checks run them on the real tree and, to see that they can fail, on a small one with a
breach planted in it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from pathlib import Path

from docstrings import docstring, told_units
from glossary import Row
from source_tree import (
    body_lines,
    boundary_names,
    functions,
    parsed,
    place,
    public_nodes,
    python_files,
)
from unit_names import alike, unit_of_name

MODULE_LINES = 400
BODY_LINES = 60
NAMELESS = {"utils", "util", "helpers", "helper", "misc", "common"}


def long_modules(folder: Path) -> list[str]:
    """Modules past the hard stop."""
    counted = {path: len(path.read_text("utf-8").splitlines()) for path in python_files(folder)}
    return [
        f"{place(path, lines)}: {lines} lines, the hard stop is {MODULE_LINES}"
        for path, lines in counted.items()
        if lines > MODULE_LINES
    ]


def long_functions(folder: Path) -> list[str]:
    """Functions whose bodies are past the hard stop, docstrings not counted."""
    return [
        f"{place(path, function.lineno)}: {function.name} has {body_lines(function)} body lines, "
        f"the hard stop is {BODY_LINES}"
        for path in python_files(folder)
        for function in functions(parsed(path))
        if body_lines(function) > BODY_LINES
    ]


def modules_without_a_subject(folder: Path) -> list[str]:
    """Modules and packages named after no subject."""
    return [
        f"{place(path, 1)}: name it after its subject"
        for path in python_files(folder)
        if {part.removesuffix(".py").strip("_") for part in path.relative_to(folder).parts}
        & NAMELESS
    ]


def undocumented(folder: Path) -> list[str]:
    """Modules, public classes and public functions without a docstring.

    A method is explained by its class, a protocol's too; a module that is only a list of names
    needs none.
    """
    breaches = []
    for path in python_files(folder):
        tree = parsed(path)
        if tree.body and not docstring(tree):
            breaches.append(f"{place(path, 1)}: the module says nothing of itself")
        breaches += [
            f"{place(path, node.lineno)}: {node.name} has no docstring"
            for node in public_nodes(tree)
            if not docstring(node)
        ]
    return breaches


def names_with_units(folder: Path) -> dict[str, str]:
    """Every public parameter and field whose name ends on a unit, with its first place."""
    found: dict[str, str] = {}
    for path in python_files(folder):
        if path.name.startswith("_") and path.name != "__init__.py":
            continue  # a module that is private altogether
        for each in boundary_names(path):
            if unit_of_name(each.name) is not None:
                found.setdefault(each.name, each.place)
    return found


def names_without_row(folder: Path, rows: Mapping[str, Row]) -> list[str]:
    """Names with a unit that the glossary does not explain."""
    return [
        f"{where}: `{name}` [{unit_of_name(name)}] has no row in glossary.md"
        for name, where in names_with_units(folder).items()
        if name not in rows
    ]


def rows_without_name(rows: Iterable[Row], texts: Iterable[str]) -> list[str]:
    """Rows of quantities that no longer stand anywhere in the code."""
    words = set(re.findall(r"\w+", "\n".join(texts)))
    return [
        f"glossary.md:{row.line}: `{row.name}` is gone" for row in rows if row.name not in words
    ]


def units_that_differ(folder: Path) -> list[str]:
    """Docstring brackets that contradict the suffix of the name they explain."""
    breaches = []
    for path in python_files(folder):
        for told in told_units(path):
            suffix = unit_of_name(told.name)
            if suffix and told.unit and not alike(suffix, told.unit):
                breaches.append(
                    f"{told.place}: {told.name} ends on {suffix}, its docstring says "
                    f"[{told.bracket}]"
                )
    return breaches
