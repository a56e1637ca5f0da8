"""What a file and the journal say otherwise than when they were last in step."""

from __future__ import annotations

import dataclasses
from collections import Counter
from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from typing import Any

from watervane.app.sameness import Said, content
from watervane.records import Clash, Habit, Reading, Tank

LOG = ("events", "habits", "readings", "owner")


@dataclass(frozen=True, slots=True)
class Apart:
    """What is to be taken from the file, and what both changed; ``description`` is the new one."""

    added: tuple[Said, ...]
    changed: tuple[tuple[Said, Said], ...]
    removed: tuple[Said, ...]
    description: Tank | None
    clashes: tuple[Clash, ...]


def log_of(tank: Tank) -> tuple[Said, ...]:
    """All entries of a tank's log."""
    return (*tank.events, *tank.habits, *tank.readings)


def described(tank: Tank) -> dict[str, Any]:
    """What a tank is, its log and owner left out."""
    fields = (field.name for field in dataclasses.fields(tank))
    return {name: getattr(tank, name) for name in fields if name not in LOG}


def apart(base: Tank | None, here: Tank, there: Tank) -> Apart:
    """What the file ``there`` changed since ``base`` that the journal ``here`` did not.

    Without a base, as for a file that was put beside a tank of its name, all that one of them
    has alone is new, and what a tank is must not differ.
    """
    ours, theirs = Counter(map(content, log_of(here))), Counter(map(content, log_of(there)))
    before = Counter(map(content, log_of(base))) if base else ours & theirs
    gone_here = before - ours
    came_here = ours - before
    added = _items(log_of(there), theirs - before)
    removed = _items(log_of(base) if base else (), before - theirs)
    pairs, added, removed = _pairs(added, removed)
    clashes: list[Clash] = []
    changed = []
    for old, new in pairs:
        if gone_here[content(old)] > 0:  # changed or undone in the journal, too
            gone_here[content(old)] -= 1
            if came_here[content(new)] > 0:
                came_here[content(new)] -= 1  # in the same way
            else:
                clashes.append(_clash(old, new, here, came_here))
        else:
            changed.append((old, new))
    fresh = []
    for what in added:
        if came_here[content(what)] > 0:
            came_here[content(what)] -= 1  # told to both
        else:
            fresh.append(what)
    lost = []
    for what in removed:
        if gone_here[content(what)] > 0:
            gone_here[content(what)] -= 1
            other = _successor(what, here, came_here)
            if other is not None:  # corrected in the journal, removed in the file
                clashes.append(Clash("removed", said(other), said(what)))
        else:
            lost.append(what)
    description, more = _described(base, here, there)
    return Apart(tuple(fresh), tuple(changed), tuple(lost), description, (*clashes, *more))


def _items(log: Sequence[Said], counts: Counter[Hashable]) -> list[Said]:
    left = counts.copy()
    found = []
    for what in reversed(log):
        if left[content(what)] > 0:
            left[content(what)] -= 1
            found.append(what)
    return found[::-1]


def _pairs(
    added: list[Said], removed: list[Said]
) -> tuple[list[tuple[Said, Said]], list[Said], list[Said]]:
    """Pairs of one entry before and after a change; those of one moment first."""
    pairs: list[tuple[Said, Said]] = []
    left = list(added)
    remaining = []
    for old in removed:
        alike = [new for new in left if _subject(new) == _subject(old)]
        alike.sort(key=lambda new: abs((_at(new) - _at(old)).total_seconds()))
        near = alike[0] if alike else None
        same_words = [new for new in alike if _shape(new) == _shape(old)]
        best = near if near is not None and _at(near) == _at(old) else next(iter(same_words), None)
        if best is None:
            remaining.append(old)
        else:
            left.remove(best)
            pairs.append((old, best))
    return pairs, left, remaining


def _at(what: Said) -> Any:
    return what.template.at if isinstance(what, Habit) else what.at


def _subject(what: Said) -> tuple[object, ...]:
    if isinstance(what, Reading):
        return Reading, what.quantity, what.of_source_water
    if isinstance(what, Habit):
        return Habit, type(what.template)
    return (type(what),)


def _shape(what: Said) -> object:
    """An entry without its moment: what was only moved to another hour keeps it."""
    said_of = content(what)
    return (*said_of[:1], *said_of[2:]) if isinstance(said_of, tuple) else said_of


def _successor(old: Said, here: Tank, came: Counter[Hashable]) -> Said | None:
    """What the journal has in the place of an entry, as far as it can be told."""
    alike = (
        what
        for what in log_of(here)
        if _subject(what) == _subject(old) and came[content(what)] > 0 and _at(what) == _at(old)
    )
    return next(alike, None)


def _clash(old: Said, new: Said, here: Tank, came: Counter[Hashable]) -> Clash:
    other = _successor(old, here, came)
    return Clash("changed", said(other) if other is not None else "", said(new))


def said(what: Said) -> str:
    """An entry in its own words, or its fields where it has none."""
    happened = what.template if isinstance(what, Habit) else what
    day = f"{happened.at:%Y-%m-%d}"
    if isinstance(what, Reading):
        return f"{day} {what.quantity} {what.value.raw or what.value.low}"
    words = getattr(happened, "raw", "") or getattr(happened, "text", "")
    if not words:
        fields = dataclasses.fields(happened)
        told = {f.name: getattr(happened, f.name) for f in fields}
        hidden = ("at", "hour_known", "line", "note", "raw")
        words = ", ".join(
            f"{name} {value}" for name, value in told.items() if name not in hidden and value
        )
    return f"{day} {type(happened).__name__.lower()} {words}".strip()


def _described(base: Tank | None, here: Tank, there: Tank) -> tuple[Tank | None, list[Clash]]:
    """The description with what the file changed, and the fields that both changed."""
    ours, theirs = described(here), described(there)
    before = described(base) if base is not None else None
    changes, clashes = {}, []
    for name, value in theirs.items():
        if value == ours[name]:
            continue
        if before is not None and value == before[name]:
            continue
        if before is not None and ours[name] == before[name]:
            changes[name] = value
        else:
            clashes.append(Clash("description", f"{name}: {ours[name]}", f"{name}: {value}"))
    description = dataclasses.replace(here, **changes) if changes else None
    return description, clashes
