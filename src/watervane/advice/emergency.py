"""What to do within the hour, in an order that harms under none of the likely causes.

Common practice, no source; each line is a key, its sentence is made by `wording`.
"""

from __future__ import annotations

from collections.abc import Mapping

from watervane.records import Finding

_FIRST, _LAST = ("hour-mains", "hour-surface"), ("hour-watch", "hour-veterinarian")
_BY_SUBJECT: Mapping[str, tuple[str, ...]] = {
    "ammonia": ("hour-no-food", "hour-clear", "hour-change", "hour-no-ph-up", "hour-read-again"),
    "nitrite": ("hour-no-food", "hour-change", "hour-chloride", "hour-read-again"),
    "oxygen": ("hour-clear", "hour-no-food", "hour-change-oxygen"),
    "chlorine": ("hour-condition",),
    "co2": ("hour-gas-off",),
    "temperature": ("hour-heater", "hour-slowly"),
    "temperature_change": ("hour-slowly",),
    "ph": ("hour-ph-slowly", "hour-read-again"),
    "ph_change": ("hour-ph-slowly",),
    "nitrate": ("hour-change", "hour-read-again"),
}


def within_the_hour(subject: str, share: float, low_ph: bool) -> tuple[Finding, ...]:  # noqa: FBT001 - a fact
    """Steps for an emergency, in order.

    Parameters
    ----------
    subject
        Whose acute limit is passed.
    share
        Of the water the chosen way changes first; a third where it changes none.
    low_ph
        Whether the water is acid, so that most ammonia is harmless ammonium until pH rises.
    """
    keys = [*_FIRST, *_BY_SUBJECT.get(subject, ("hour-change", "hour-read-again")), *_LAST]
    if not low_ph:
        keys = [key for key in keys if key != "hour-no-ph-up"]
    told = {"percent": round(100.0 * (share or 1.0 / 3.0))}
    return tuple(
        Finding(key, "problem", told if key == "hour-change" else {}) for key in dict.fromkeys(keys)
    )
