"""What a numpydoc docstring says about units: [brackets] beside the names they belong to."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from source_tree import Documented, Function, parsed, place, public_fields, public_nodes
from unit_names import unit_of_bracket

BRACKET = re.compile(r"\[([^\[\]\n]{1,40})\]")
_HEADER = re.compile(r"^(\w[\w ]*)\n-{3,}$", re.MULTILINE)


@dataclass(frozen=True)
class Told:
    """A name, the bracket a docstring puts to it, and where."""

    name: str
    bracket: str
    place: str
    unit: str | None


def told_units(path: Path) -> Iterator[Told]:
    """Every bracket of a file that stands for one named parameter, result or field."""
    tree = parsed(path)
    for node in public_nodes(tree):
        where = place(path, node.lineno)
        for name, bracket in _told(node):
            yield Told(name, bracket, where, unit_of_bracket(bracket))
        if isinstance(node, ast.ClassDef):
            for member in node.body:
                if isinstance(member, Function):
                    for name, bracket in _told(member):
                        at = place(path, member.lineno)
                        yield Told(name, bracket, at, unit_of_bracket(bracket))
    for name, line, text in public_fields(tree):
        for bracket in BRACKET.findall(text):
            yield Told(name, bracket, place(path, line), unit_of_bracket(bracket))


def _told(node: ast.ClassDef | Function) -> Iterator[tuple[str, str]]:
    sections = split_sections(docstring(node))
    for heading in ("Parameters", "Attributes"):
        for names, text in _entries(sections.get(heading, "")):
            brackets = BRACKET.findall(text)
            if brackets:
                yield from ((name, brackets[0]) for name in names)
    if isinstance(node, Function):
        summary = BRACKET.findall(sections[""].splitlines()[0]) if sections[""] else []
        result = BRACKET.findall(sections.get("Returns", ""))
        # Several brackets belong to the parts of a tuple, not to the function's name.
        if len(result or summary) == 1:
            yield node.name, (result or summary)[0]


def docstring(node: Documented) -> str:
    """The docstring without its indentation, or nothing."""
    return ast.get_docstring(node) or ""


def split_sections(text: str) -> dict[str, str]:
    """The text before the first heading under ``""``, then each section by its heading."""
    found = list(_HEADER.finditer(text))
    starts = [match.start() for match in found] + [len(text)]
    sections = {"": text[: starts[0]].strip()}
    for match, end in zip(found, starts[1:], strict=True):
        sections[match.group(1)] = text[match.end() : end].strip("\n")
    return sections


def _entries(section: str) -> Iterator[tuple[list[str], str]]:
    """The entries of a section: names, and all that is said of them."""
    entry: list[str] = []
    for line in [*section.splitlines(), "end"]:
        if line and not line[0].isspace():
            if entry:
                names = entry[0].split(" : ")[0]
                yield [name.strip() for name in names.split(",")], "\n".join(entry)
            entry = [line]
        else:
            entry.append(line)
