"""Which sources a long run rests on: all that its module imports, near or far.

Left out are the floors on which nothing is computed (records, units, readers of tables): a field
added there changes no run. Shipped tables by which water is made or judged are taken as they are.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

from evidence.keeping import PACKAGE, ROOT

COMPUTED = (
    "advice",
    "chemistry",
    "engine",
    "forecast",
    "inference",
    "kits",
    "limits",
    "planning",
    "process",
)
KEEPING = ("keeping", "resting", "sections", "figures")  # what keeps and draws changes no run
TABLES = PACKAGE / "reference" / "data", PACKAGE / "process" / "data"
# Of these no water is made, nor is it judged by them: words, plans, doses by label, trouble.
ASIDE = ("catalogue", "dose_kinds", "not_dosed", "parasites", "sources", "starts", "trouble_")


def rests_on(*modules: Path) -> list[Path]:
    """Sources and tables of runs.

    Parameters
    ----------
    modules
        In which the runs are written.

    Returns
    -------
    list[Path]
        The modules, those they import near or far, and the tables.
    """
    found: set[Path] = set()
    waiting = list(modules)
    while waiting:
        file = waiting.pop()
        if file not in found:
            found.add(file)
            waiting += imported(file)
    tables = (f for t in TABLES for f in t.iterdir() if f.is_file() and not _aside(f))
    return sorted(found) + sorted(tables)


def _aside(table: Path) -> bool:
    return table.name.startswith(ASIDE)


def imported(module: Path) -> list[Path]:
    """Modules of ours that a module names wherever in it, but for floors left out."""
    tree = ast.parse(module.read_text(encoding="utf-8"))
    files = (_file(name) for node in ast.walk(tree) for name in _names(node))
    return [file for file in files if file is not None]


def _names(node: ast.AST) -> Iterator[str]:
    if isinstance(node, ast.Import):
        yield from (each.name for each in node.names)
    if isinstance(node, ast.ImportFrom) and node.module:
        yield node.module
        yield from (f"{node.module}.{each.name}" for each in node.names)


def _file(name: str) -> Path | None:
    parts = name.split(".")
    if parts[0] == "watervane" and (len(parts) < 2 or parts[1] not in COMPUTED):
        return None
    if parts[0] not in ("watervane", "evidence"):
        return None
    if parts[0] == "evidence" and parts[-1] in KEEPING:
        return None
    place = (PACKAGE.parent if parts[0] == "watervane" else ROOT).joinpath(*parts)
    for file in (place.with_suffix(".py"), place / "__init__.py"):
        if file.is_file():
            return file
    return None
