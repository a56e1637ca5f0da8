"""Which entries say the same, in whatever words and on whatever line they were told."""

from __future__ import annotations

import dataclasses
from collections import Counter
from collections.abc import Hashable, Iterable, Sequence
from datetime import UTC
from typing import TypeVar

from watervane.records import Entry, Event, Habit, Reading

Said = Event | Habit | Reading
Item = TypeVar("Item")


def content(what: Said) -> Hashable:
    """What an entry says, for comparing: its words and its line in a file left out."""
    if isinstance(what, Reading):
        value = what.value
        bounds = (value.kind, value.low, value.high, value.basis)
        whence = (what.kit, what.of_source_water, what.diluted, what.note)
        return "reading", what.at.astimezone(UTC), what.hour_known, what.quantity, bounds, whence
    if isinstance(what, Habit):
        return "habit", content(what.template), what.every_days, what.start, what.until
    told = {f.name: getattr(what, f.name) for f in dataclasses.fields(what)}
    told = {name: value for name, value in told.items() if name not in ("line", "raw", "at")}
    return type(what).__name__, what.at.astimezone(UTC), repr(sorted(told.items()))


def held_of(entries: Sequence[Entry]) -> Counter[Hashable]:
    """Contents that a tank holds: what stands, and what was corrected since, but nothing undone."""
    by_key = {entry.key: entry for entry in entries}
    kept: set[str] = set()
    for entry in entries:
        key = entry.key if entry.standing else None
        while key is not None and key not in kept:
            kept.add(key)
            key = by_key[key].corrects if key in by_key else None
    return Counter(content(entry.what) for entry in entries if entry.key in kept)


def surplus(
    told: Iterable[tuple[Said, Item]], held: Counter[Hashable]
) -> tuple[list[Item], list[Item]]:
    """What is told beyond what is held, and what was held already: two of one kind are two."""
    left = held.copy()
    new, known = [], []
    for what, item in told:
        said = content(what)
        if left[said] > 0:
            left[said] -= 1
            known.append(item)
        else:
            new.append(item)
    return new, known
