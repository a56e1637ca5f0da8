"""The working order of a water change: what is unplugged, how warm, how slowly, what comes when."""

from __future__ import annotations

from watervane.records import Today
from watervane.wording.amounts import number, out_of_twenty
from watervane.wording.templates import phrase
from watervane.wording.today import WORTH_TELLING, numbered

COLD_TAP_C = 12.0  # where nobody told the tap's: one in winter (house estimate)
HARDLY_C = 0.5
# A jump of one or two in pH, in steps of half of one an hour or less (house estimates).
HOURS_FOR_COMFORT, HOURS_AGAINST_HARM = 2, 4


def order_sentences(today: Today, tap_c: float | None = None) -> list[str]:
    """How to change water without harm, numbered; nothing where none is to be changed.

    ``tap_c`` is the warmth of the source water where it is told. [degC]
    """
    changes = [act for act in today.chosen.acts if act.brings_water] if today.chosen else []
    if not changes:
        return []
    share = max(act.amount for act in changes)
    poured_c = COLD_TAP_C if tap_c is None else tap_c
    step = share * (poured_c - today.warmth_c)
    told = {"tank_c": number(today.warmth_c, 3), "tap_c": number(poured_c, 3)}
    told["step_c"] = number(abs(step), 2)
    warmth = "warmth-alike" if abs(step) < HARDLY_C else "warmth-up" if step > 0.0 else "warmth"
    if tap_c is None and step <= -HARDLY_C:
        warmth = "warmth-untold"
    pour, slowly = _pouring(today)
    restart = "restart" if pour == "pour" else "restart-meanwhile"
    keys = ["heater", warmth, "condition", pour, restart, "count"]
    return numbered([phrase(f"order-{key}", **told, **slowly) for key in keys])


def _pouring(today: Today) -> tuple[str, dict[str, object]]:
    """In some hours where pH would else jump; what a limit of a jump bears is by the hour."""
    chances = {} if today.chosen is None else today.chosen.by_subject
    harm = max(chances.get(f"{tier}/ph_change", 0.0) for tier in ("acute", "chronic"))
    any_of_it = max(harm, chances.get("comfort/ph_change", 0.0))
    if any_of_it < WORTH_TELLING:
        return "pour", {}
    hours = HOURS_AGAINST_HARM if harm >= WORTH_TELLING else HOURS_FOR_COMFORT
    return "pour-hours", {"hours": hours, "share": out_of_twenty(any_of_it)}
