"""Which entries stand, after all that corrected or undid others.

An undo that was undone itself has no effect, and undoing a correction lets what it corrected stand
again. What only a merge can bring about is decided so that it does not matter which journal was
merged into which: of two corrections of the same entry the one written later stands, with all that
corrected it since; an entry corrected in one journal and undone in the other stands corrected.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from watervane.journal.tables import UNDO


class Link(Protocol):
    """An entry that names an earlier one."""

    @property
    def key(self) -> str: ...

    @property
    def kind(self) -> str: ...

    @property
    def corrects(self) -> str: ...

    @property
    def written_at(self) -> datetime: ...


@dataclass(frozen=True, slots=True)
class Lineage:
    """Keys of the entries that fell, and whose place each correction took.

    ``rivals`` are pairs of corrections of the same entry, the one that stands first;
    ``revived`` pairs of a correction that stands and the undone entry it corrects.
    """

    undone: frozenset[str]
    replaced: frozenset[str]
    place_of: Mapping[str, str]
    rivals: tuple[tuple[str, str], ...] = ()
    revived: tuple[tuple[str, str], ...] = ()

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
    told = {link.key: link for link in links}
    undone = _undone(told)
    corrected: dict[str, list[Link]] = defaultdict(list)
    revived: list[tuple[str, str]] = []
    for link in told.values():
        if link.kind == UNDO or link.key in undone:
            continue
        if link.corrects in undone:
            revived.append((link.key, link.corrects))
        corrected[_lasting(link.corrects, told, undone)].append(link)
    replaced = set(corrected)
    place_of: dict[str, str] = {}
    rivals: list[tuple[str, str]] = []
    for key, corrections in corrected.items():
        stands, *others = sorted(corrections, key=_age, reverse=True)
        place_of[stands.key] = key
        rivals += [(stands.key, other.key) for other in others]
        _fell(others, corrected, replaced)
    return Lineage(
        frozenset(undone),
        frozenset(replaced),
        place_of,
        tuple(sorted(rivals)),
        tuple(sorted(revived)),
    )


def _undone(told: Mapping[str, Link]) -> set[str]:
    """What an undo names that has effect; the last of a chain of them has."""
    undoing: dict[str, list[str]] = defaultdict(list)
    for link in told.values():
        if link.kind == UNDO:
            undoing[link.corrects].append(link.key)

    def is_undone(key: str) -> bool:
        return any(not is_undone(undo) for undo in undoing.get(key, ()))

    return {key for key in undoing if is_undone(key)}


def _lasting(key: str, told: Mapping[str, Link], undone: set[str]) -> str:
    """The entry whose place a correction of ``key`` takes: undone corrections are passed over."""
    while key in undone and key in told:
        key = told[key].corrects
    return key


def _age(link: Link) -> tuple[datetime, str]:
    return link.written_at, link.key


def _fell(losers: list[Link], corrected: Mapping[str, list[Link]], replaced: set[str]) -> None:
    waiting = list(losers)
    while waiting:
        fallen = waiting.pop()
        replaced.add(fallen.key)
        waiting += corrected.get(fallen.key, ())
