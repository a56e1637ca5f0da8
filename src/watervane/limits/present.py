"""Which limits hold for the animals present, with the keeper's own figures in place."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from functools import cache

from watervane.limits.criteria import criteria_for
from watervane.limits.edits import edited
from watervane.limits.levels import level_of
from watervane.limits.limit import Constant, Limit
from watervane.limits.nitrite import PROTECTED
from watervane.limits.ranges import range_limits
from watervane.records import LimitEdit, Tank
from watervane.reference import Needs, OwnRow, Row, animal_needs, animals_with_needs, load_table
from watervane.reference.animal_limits import GROUPS, UNKNOWN

FISH = ("sensitive", "ordinary", "hardy")
# An animal no table knows is held to every group's limits, besides those of its own.
_KINDS = ("fish", "crustacean", "mollusc", "amphibian")
_PREFIX = "limit_"


def limits_for(
    animals: Iterable[str],
    *,
    injected: bool = False,
    injected_co2_mg_per_l: float | None = None,
    edits: Sequence[LimitEdit] = (),
    own: Sequence[OwnRow] = (),
) -> tuple[Limit, ...]:
    """Every limit that holds for the animals present; none where there are no animals.

    Parameters
    ----------
    animals : iterable of str
        As their keeper names them. One that no table knows is held to the strictest of all
        groups, and to a third of the lowest level that harmed any tested fish.
    injected : bool
        Whether the keeper declares that carbon dioxide is injected for plants. That moves the
        limits of comfort for it and for the swing of pH, none of harm.
    injected_co2_mg_per_l : float or None [mg CO2/L]
        What the keeper means to hold; the usual 30 where not told, never over the chronic limit.
    edits : sequence of LimitEdit
        The keeper's own figures.
    own : sequence of OwnRow
        The keeper's own rows of animals; they go before ours.

    Raises
    ------
    UnknownNameError
        For an edit of a limit there is not.
    ValueError
        For an edit whose figure cannot be a level.
    """
    present = [animal_needs(name, own) for name in dict.fromkeys(animals)]
    if not present:
        return ()
    usual = list(_all(present))
    if injected:
        everyone = tuple(needs.asked for needs in present)
        usual += _injection(everyone, injected_co2_mg_per_l)
    found = _merged(usual)
    return edited(found, edits, limit_keys()) if edits else found


def limits_in(tank: Tank, animals: Iterable[str]) -> tuple[Limit, ...]:
    """Limits of animals in a tank, as its keeper declares it and with the keeper's own figures."""
    return limits_for(
        animals,
        injected=tank.co2_injected,
        injected_co2_mg_per_l=tank.co2_target_mg_per_l,
        edits=tank.limit_edits,
        own=tank.own_animals,
    )


@cache
def every_limit() -> tuple[Limit, ...]:
    """Every limit there is, whatever the animals."""
    everyone = [
        *animals_with_needs(),
        "an animal nobody has heard of",
    ]
    return limits_for(everyone)


@cache
def limit_keys() -> tuple[str, ...]:
    """Keys of every limit there is."""
    return tuple(dict.fromkeys(limit.key for limit in every_limit()))


def _all(present: Sequence[Needs]) -> Iterator[Limit]:
    everyone = tuple(needs.asked for needs in present)
    for row in load_table("limits"):
        if row.extra["tier"]:
            members = everyone if row.extra["group"] == "all" else _members(present, row)
            if members:
                yield _of_row(row, members)
    strangers = tuple(n.asked for n in present if n.group("ammonia group") == UNKNOWN)
    by_chloride = tuple(
        needs.asked
        for needs in present
        if needs.group("nitrite group") == UNKNOWN or needs.group("nitrite group") in PROTECTED
    )
    shells = any(needs.group("ammonia group") in (UNKNOWN, "mollusc") for needs in present)
    yield from criteria_for(everyone, strangers, by_chloride, shells=shells)
    for needs in present:
        yield from range_limits(needs)


def _members(present: Sequence[Needs], row: Row) -> tuple[str, ...]:
    group, quantity = row.extra["group"], row.quantity
    return tuple(needs.asked for needs in present if group in _groups(needs, quantity))


def _groups(needs: Needs, quantity: str) -> tuple[str, ...]:
    """Groups whose limits of a quantity an animal is held to."""
    table = "nitrite group" if quantity.startswith("nitrite") else "ammonia group"
    own = needs.group(table)
    if own == UNKNOWN:
        return (UNKNOWN, *GROUPS[table], *_KINDS)
    return (own, "fish") if own in FISH else (own,)


def _of_row(row: Row, animals: tuple[str, ...]) -> Limit:
    return Limit(
        key=row.id.removeprefix(_PREFIX),
        quantity=row.quantity,
        tier=row.extra["tier"],
        side=row.extra["side"],
        exposure_hours=float(row.extra["exposure_hours"]),
        level=level_of(row),
        source=row.source,
        where=row.where,
        quality=row.quality,
        note=row.note,
        group=row.extra["group"],
        animals=animals,
    )


def _injection(animals: tuple[str, ...], target: float | None) -> Iterator[Limit]:
    """What declared injection puts in place: it comes last, so it takes the usual one's place."""
    rows = {row.id: row for row in load_table("limits")}
    told, ceiling = rows["co2_comfort_injected"], rows["limit_co2_chronic"].value
    level = told.value if target is None else min(max(target, told.value), ceiling)
    usual = _of_row(rows["limit_co2_comfort"], animals)
    yield replace(
        usual,
        level=Constant(level),
        source=told.source if target is None else "keeper",
        where=told.where,
        quality=told.quality,
        note=told.note,
    )
    swing, wider = rows["limit_ph_change_comfort"], rows["limit_ph_change_chronic"]
    yield replace(
        _of_row(wider, animals), key=swing.id.removeprefix(_PREFIX), tier=swing.extra["tier"]
    )


def _merged(limits: Iterable[Limit]) -> tuple[Limit, ...]:
    """One limit a key, for all the animals it was listed for; the last level counts."""
    found: dict[str, Limit] = {}
    for limit in limits:
        before = found[limit.key].animals if limit.key in found else ()
        found[limit.key] = replace(limit, animals=tuple(dict.fromkeys((*before, *limit.animals))))
    return tuple(found.values())
