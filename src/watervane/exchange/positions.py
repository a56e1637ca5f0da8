"""Where each key of a TOML text stands: the standard reader does not tell."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator

import tree_sitter_toml
from tree_sitter import Language, Node, Parser

Path = tuple[str | int, ...]
Spot = tuple[int, int]  # line and column, both counted from 1

_LANGUAGE = Language(tree_sitter_toml.language())
_KEYS = ("bare_key", "quoted_key", "dotted_key")


class Positions:
    """Line and column by the path of keys and list indices that leads to a value."""

    def __init__(self, spots: dict[Path, Spot] | None = None) -> None:
        self._spots = spots or {}

    def of(self, path: Path) -> tuple[int | None, int | None]:
        """Place of a value, or of the nearest table around it."""
        for length in range(len(path), 0, -1):
            spot = self._spots.get(path[:length])
            if spot is not None:
                return spot
        return None, None


def positions_of(text: str) -> Positions:
    """Find the place of every key of a text that is valid TOML."""
    return Positions(_Walk().spots(text))


class _Walk:
    def __init__(self) -> None:
        self._found: dict[Path, Spot] = {}
        self._elements: dict[Path, int] = {}  # array of tables -> elements so far

    def spots(self, text: str) -> dict[Path, Spot]:
        root = Parser(_LANGUAGE).parse(text.encode()).root_node
        for node in root.children:
            if node.type == "pair":
                self._pair(node, ())
            elif node.type in ("table", "table_array_element"):
                self._table(node)
        return self._found

    def _table(self, node: Node) -> None:
        children = node.children
        keys = next((_words(c) for c in children if c.type in _KEYS), None)
        if keys is None:
            return
        if node.type == "table":
            path = self._resolved(keys)
        else:
            parent = (*self._resolved(keys[:-1]), keys[-1])
            index = self._elements.get(parent, 0)
            self._elements[parent] = index + 1
            self._put(parent, node)
            path = (*parent, index)
        self._put(path, node)
        for child in children:
            if child.type == "pair":
                self._pair(child, path)

    def _resolved(self, keys: list[str]) -> Path:
        """A header's keys with the index of the latest element of each list on the way."""
        path: Path = ()
        for key in keys:
            path = (*path, key)
            if path in self._elements:
                path = (*path, self._elements[path] - 1)
        return path

    def _pair(self, node: Node, base: Path) -> None:
        children = node.children
        if not children or children[0].type not in _KEYS:
            return
        path = base
        for key in _words(children[0]):
            path = (*path, key)
            self._put(path, node)
        self._value(children[-1], path)

    def _value(self, node: Node, path: Path) -> None:
        if node.type == "inline_table":
            for child in node.children:
                if child.type == "pair":
                    self._pair(child, path)
        elif node.type == "array":
            skipped = ("[", "]", ",", "comment")
            elements = (c for c in node.children if c.type not in skipped)
            for index, child in enumerate(elements):
                self._put((*path, index), child)
                self._value(child, (*path, index))

    def _put(self, path: Path, node: Node) -> None:
        if path not in self._found:
            row, column = node.start_point
            self._found[path] = (row + 1, column + 1)


def _words(node: Node) -> list[str]:
    return list(_key_parts(node))


def _key_parts(node: Node) -> Iterator[str]:
    if node.type == "dotted_key":
        for child in node.children:
            if child.type in _KEYS:
                yield from _key_parts(child)
        return
    text = (node.text or b"").decode()
    if node.type == "bare_key":
        yield text
    else:
        yield next(iter(tomllib.loads(f"{text} = 0")))
