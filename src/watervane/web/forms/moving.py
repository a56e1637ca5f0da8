"""The form for moving colonies: what is moved, and how the media travel."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from watervane.records import Finding
from watervane.records.questions import RESETTLE
from watervane.records.resettling import CARRIED, MOVES, ColonyMove
from watervane.web.forms.fields import Field, asked, filled_in, options
from watervane.web.forms.numbers import Typed
from watervane.wording import phrase

NAMES = ("what", "volume", "carried", "hours", "warmth", "share", "bed", "old-water")
LARGER, LEND = "larger-tank", "lend"
BED = ("along", "behind")
LONGEST_H, COLDEST_C, WARMEST_C, LARGEST_L = 72.0, -30.0, 60.0, 10000.0
USUAL: Mapping[str, str] = {
    "what": LARGER,
    "carried": CARRIED[1],
    "hours": "1",
    "warmth": "20",
    "share": "100",
    "bed": BED[0],
    "old-water": "0",
}


@dataclass(frozen=True, slots=True)
class TypedMove:
    """A move as typed, and what is wrong with it; ``move`` is none where something is."""

    move: ColonyMove | None
    wrong: Mapping[str, Sequence[Finding]]


def typed_move(typed: Mapping[str, str]) -> TypedMove:
    """Read a move.

    Parameters
    ----------
    typed
        By the name of the field; what is empty is as usual.
    """
    told = Typed({name: typed.get(name, "").strip() or USUAL.get(name, "") for name in NAMES})
    kind = told.choice("what", MOVES, LARGER)
    move = ColonyMove(
        kind,
        told.choice("carried", CARRIED, CARRIED[1]),
        told.needed("hours", 0.0, LONGEST_H),
        told.needed("warmth", COLDEST_C, WARMEST_C),
        told.needed("share", 1.0 if kind == LEND else 0.0, 100.0) / 100.0,
        told.choice("bed", BED, BED[0]) == BED[0],
        told.needed("old-water", 0.0, 100.0) / 100.0,
        told.needed("volume", 1.0, LARGEST_L) if kind == LARGER else None,
    )
    return TypedMove(None if told.wrong else move, told.wrong)


def move_fields(
    typed: Mapping[str, str], wrong: Mapping[str, Sequence[Finding]]
) -> tuple[Field, ...]:
    """The form, as it was sent or with what is usual."""
    fields = (
        asked(RESETTLE, "what", "pick", options=options(RESETTLE, "what", MOVES)),
        _number("volume", hint=True),
        asked(RESETTLE, "carried", "pick", options=options(RESETTLE, "carried", CARRIED)),
        _number("hours"),
        _number("warmth"),
        _number("share", hint=True),
        asked(RESETTLE, "bed", "pick", options=options(RESETTLE, "bed", BED)),
        _number("old-water", hint=True),
    )
    shown = {**USUAL, **{name: typed[name] for name in NAMES if typed.get(name, "").strip()}}
    return filled_in(fields, shown, wrong)


def moved_as(move: ColonyMove) -> dict[str, str]:
    """A move as it would be typed."""
    return {
        "what": move.kind,
        "volume": "" if move.volume_l is None else f"{move.volume_l:g}",
        "carried": move.carried,
        "hours": f"{move.hours:g}",
        "warmth": f"{move.warmth_c:g}",
        "share": f"{100.0 * move.share:g}",
        "bed": BED[0] if move.bed else BED[1],
        "old-water": f"{100.0 * move.old_water:g}",
    }


def _number(name: str, *, hint: bool = False) -> Field:
    more = {"hint": phrase(f"form-resettle-{name}-hint")} if hint else {}
    return asked(RESETTLE, name, "number", short=True, **more)
