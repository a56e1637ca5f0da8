"""Which rooms hold the wishes back, with the tank's own figures."""

from __future__ import annotations

from collections.abc import Mapping

from watervane.planning.choosing.program import best, better
from watervane.planning.choosing.scene import Room
from watervane.planning.choosing.standing import Standing
from watervane.records import OneMore, RoomUsed, Worth

NO_GAIN = Worth(0.0, 0.0, 0.0)


def rooms_used(standing: Standing, counts: Mapping[str, int], worth: Worth) -> tuple[RoomUsed, ...]:
    """Every room: how full it is, whether it binds, what one more of each kind asks.

    A room binds where the same program without its limit meets the wishes better. Where no room
    does so alone, the least set of rooms is looked for that does together.

    Parameters
    ----------
    standing
        Program and rooms.
    counts
        The best numbers, by name.
    worth
        How far they meet the wishes.
    """
    program = standing.program
    alone = {}
    for index, room in enumerate(standing.rooms):
        if program.is_idle(index):
            continue
        lifted = best(program.without_room(index)).worth
        if better(lifted, worth):
            alone[room.name] = _more(lifted, worth)
    together = () if alone else _least_set(standing, worth)
    names = tuple(standing.rooms[index].name for index in together)
    gain = _more(best(program.without_room(*together)).worth, worth) if together else NO_GAIN
    found = []
    for room in standing.rooms:
        binds = room.name in alone or room.name in names
        raw = standing.raw(room, counts)
        found.append(
            RoomUsed(
                room=room.name,
                unit=room.unit,
                limit=room.told(room.limit),
                used=room.told(raw),
                binds=binds,
                together=tuple(n for n in names if n != room.name) if room.name in names else (),
                gain=gain if room.name in names else alone.get(room.name, NO_GAIN),
                one_more=_one_more(standing, room, counts, raw) if binds else (),
            )
        )
    return tuple(found)


def _more(one: Worth, other: Worth) -> Worth:
    return Worth(one.there - other.there, one.met - other.met, one.full - other.full)


def _least_set(standing: Standing, worth: Worth) -> tuple[int, ...]:
    """Rooms that only bind together: all of them, less each that is not needed for it."""
    program = standing.program
    kept = [index for index in range(len(standing.rooms)) if not program.is_idle(index)]
    if not better(best(program.without_room(*kept)).worth, worth):
        return ()
    for index in list(kept):
        fewer = [each for each in kept if each != index]
        if better(best(program.without_room(*fewer)).worth, worth):
            kept = fewer
    return tuple(kept)


def _one_more(
    standing: Standing, room: Room, counts: Mapping[str, int], raw: float
) -> tuple[OneMore, ...]:
    """Kinds of which more are wished for, and what one more of each, or a group, is short of."""
    program = standing.program
    found = []
    present = {standing.names.index(name) for name, count in counts.items() if count}
    for index, name in enumerate(standing.names):
        count, cost = counts.get(name, 0), room.costs[name]
        barred = any(
            (a == index and b in present) or (b == index and a in present)
            for a, b in program.quarrels
        )
        if count >= program.most[index] or cost <= 0.0 or (barred and not count):
            continue
        more = 1 if count else program.least[index]
        told = room.scale * cost * more
        found.append(OneMore(name, more, told, room.lacking(raw + cost * more)))
    return tuple(found)
