"""What to know of the steps that were chosen: how slowly, how much chloride, and not for whom."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Any

from watervane.advice.menu import HELD_CHLORIDE_MG_PER_L, Setting
from watervane.chemistry.salts import SALTS, dose_for_chloride_g
from watervane.limits import PROTECTED_BY_CHLORIDE, Limit, allowed_change
from watervane.records import Act, Finding, Today
from watervane.reference import animal_needs

SALT = "sodium-chloride"
LEAST_RISE_MG_PER_L = 5.0  # less chloride helps nobody
UNKNOWN = "unknown"
HARDLY = (UNKNOWN, "hardly")


def with_notes(today: Today, setting: Setting, limits: Iterable[Limit]) -> Today:
    """The day with what to know of its steps, and the figures of its emergency put in.

    Parameters
    ----------
    today
        With its steps.
    setting
        Of the tank.
    limits
        Of the animals present.
    """
    per_hour = allowed_change(limits, "temperature_change_k")
    acts = today.chosen.acts if today.chosen is not None else ()
    notes = [note for act in acts for note in _of_act(act, setting, per_hour, today.warmth_c)]
    hour = [one for each in today.emergency for one in _of_hour(each, setting, per_hour)]
    return replace(today, notes=tuple(notes), emergency=tuple(hour))


def salt_words(setting: Setting, salt_g_per_l: float) -> dict[str, Any]:
    """What salt brings, who bears hardly any, and for whom chloride was not shown to help.

    Parameters
    ----------
    setting
        Of the tank.
    salt_g_per_l
        Of plain salt. [g/L]
    """
    brought = salt_g_per_l / float(dose_for_chloride_g(SALTS[SALT], 1.0, 1.0))
    return {
        "grams_per_l": float(f"{salt_g_per_l:.2g}"),
        "grams": float(f"{salt_g_per_l * setting.volume_l:.2g}"),
        "now_mg_per_l": round(setting.chloride_mg_per_l),
        "chloride_mg_per_l": round(setting.chloride_mg_per_l + brought),
        "hardly": tuple(
            n for n in setting.animals if animal_needs(n, setting.own).group("salt group") in HARDLY
        ),
        "unhelped": tuple(
            name
            for name in setting.animals
            if animal_needs(name, setting.own).group("nitrite group") not in PROTECTED_BY_CHLORIDE
        ),
    }


def _of_act(
    act: Act, setting: Setting, per_hour: float | None, warmth_c: float
) -> Iterator[Finding]:
    if act.kind == "salt":
        yield from _salted(salt_words(setting, act.amount / setting.volume_l))
    if act.kind in ("warm", "cool") and per_hour:
        hours = max(1, math.ceil(abs(act.amount - warmth_c) / per_hour))
        told = {"now_c": round(warmth_c, 1), "per_hour_c": per_hour, "hours": hours}
        yield Finding("note-warmth", "caution", told)


def _salted(words: Mapping[str, object]) -> Iterator[Finding]:
    yield Finding("note-salt-brings", "info", words)
    if words["hardly"]:
        yield Finding("note-salt-hardly", "caution", words)
    if words["unhelped"]:
        yield Finding("note-salt-unhelped", "caution", words)


def _of_hour(step: Finding, setting: Setting, per_hour: float | None) -> Iterator[Finding]:
    """One step of the hour with this tank's figures; salt only where it can help."""
    if step.key in ("aid-act-cool", "aid-act-warm") and per_hour:
        yield step
        yield Finding("hour-slowly-rate", "caution", {"per_hour_c": per_hour})
    elif step.key == "hour-chloride":
        rise = HELD_CHLORIDE_MG_PER_L - setting.chloride_mg_per_l
        grams = float(dose_for_chloride_g(SALTS[SALT], max(rise, 0.0), 1.0))
        words = salt_words(setting, grams)
        helped = len(words["unhelped"]) < len(setting.animals)
        if rise > LEAST_RISE_MG_PER_L and helped:
            yield replace(step, key="hour-salt", arguments=words)
            yield from tuple(_salted(words))[1:]
    else:
        yield step
