"""Which entries stand, after all that corrected or undid others.

Undoing takes effect from the newest entry backwards: an undo that was undone itself has none, and
undoing a correction lets what it corrected stand again. Of two corrections of the same entry,
which only a merge can bring about, the later stands.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Protocol

from watervane.journal.tables import UNDO


class Link(Protocol):
    """An entry that names an earlier one."""

    @property
    def number(self) -> int: ...

    @property
    def key(self) -> str: ...

    @property
    def kind(self) -> str: ...

    @property
    def corrects(self) -> str: ...


@dataclass(frozen=True, slots=True)
class Lineage:
    """Keys of the entries that fell, and whose place each correction took."""

    undone: frozenset[str]
    replaced: frozenset[str]
    place_of: Mapping[str, str]

    def stands(self, key: str) -> bool:
        """Whether nothing later undid or replaced an entry."""
        return key not in self.undone and key not in self.replaced

    def first(self, key: str) -> str:
        """The entry at the beginning of a chain of corrections."""
        while key in self.place_of:
            key = self.place_of[key]
        return key


def lineage(links: Iterable[Link]) -> Lineage:
    """Sort out the entries of one tank that name others."""
    undone: set[str] = set()
    replaced: set[str] = set()
    place_of: dict[str, str] = {}
    for link in sorted(links, key=lambda link: -link.number):
        if link.key in undone:
            continue
        if link.kind == UNDO:
            undone.add(link.corrects)
        elif link.corrects in replaced:
            replaced.add(link.key)
        else:
            replaced.add(link.corrects)
            place_of[link.key] = link.corrects
    return Lineage(frozenset(undone), frozenset(replaced), place_of)
