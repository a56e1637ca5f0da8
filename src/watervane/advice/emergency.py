"""What to do within the hour where it is known what is wrong: acts of the table of first aid.

So a tank's page and first aid say the same in the same order, and nothing harms under any cause
that stays open. What else is told here needs a reading: a second one, and salt against nitrite.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from watervane.advice.first_aid import acts_against
from watervane.records import Finding
from watervane.records.first_aid import AidAnswers
from watervane.reference.first_aid import aid_tables

# Causes of the table that stand behind the limit of a subject, and what it makes worth leaving.
CAUSES: Mapping[str, tuple[str, ...]] = {
    "ammonia": ("ammonia", "ammonium-acid"),
    "nitrite": ("nitrite",),
    "nitrate": ("old-drift",),
    "oxygen": ("low-oxygen", "filter-stopped"),
    "chlorine": ("chlorine",),
    "co2": ("co2",),
    "temperature-above": ("hot",),
    "temperature-below": ("cold",),
    "temperature_change": ("water-jump",),
    "ph-above": ("water-jump", "ammonia"),
    "ph-below": ("old-drift", "ammonium-acid"),
    "ph_change": ("water-jump",),
}
LEFT: Mapping[str, tuple[str, ...]] = {
    "ammonia": ("ph-up", "filter-clean"),
    "nitrite": ("filter-clean",),
    "nitrate": ("big-change",),
    "chlorine": ("big-change",),
    "temperature-above": ("ice",),
    "temperature-below": ("ice",),
    "temperature_change": ("ice", "big-change"),
    "ph-above": ("big-change", "ph-down"),
    "ph-below": ("big-change", "ph-up"),
    "ph_change": ("big-change", "ph-up", "ph-down"),
}
_TESTED: Mapping[str, tuple[str, str]] = {
    "ammonia": ("ammonia", "some"),
    "nitrite": ("nitrite", "some"),
    "chlorine": ("chlorine", "some"),
    "temperature-above": ("temperature", "high"),
    "temperature-below": ("temperature", "low"),
}
_ONCE_MORE = ("ammonia", "nitrite", "nitrate", "ph-above", "ph-below")
_PH_LEVELS = (("low", -1.0), ("middle", 7.0), ("high", 7.5))


def within_the_hour(subjects: Iterable[str], ph: float | None = None) -> tuple[Finding, ...]:
    """Steps for an emergency, in order.

    Parameters
    ----------
    subjects
        Whose acute limits are passed, see `subject_of`.
    ph
        Of the water, where it is told. [-]
    """
    known = list(dict.fromkeys(subjects))
    tables = aid_tables()
    tests = dict(_TESTED[each] for each in known if each in _TESTED)
    told = "" if ph is None else [level for level, least in _PH_LEVELS if ph >= least][-1]
    if told:
        tests["ph"] = told
    causes = [cause for each in known for cause in CAUSES.get(each, ())]
    acts = acts_against(causes, AidAnswers(tests=tests), tables) if causes else ("mains", "watch")
    found = [Finding(f"aid-act-{key}", "problem", {"ph": told}) for key in acts]
    left = dict.fromkeys(key for each in known for key in LEFT.get(each, ()))
    found += [Finding(f"aid-left-{key}", "caution") for key in left]
    if "nitrite" in known:
        found.append(Finding("hour-chloride", "info"))
    if any(each in _ONCE_MORE for each in known):
        found.append(Finding("hour-read-again", "info"))
    return (*found, Finding("aid-vet", "caution"))


def subject_of(subject: str, side: str) -> str:
    """A limit's subject as `within_the_hour` knows it: with its side where both are dangerous."""
    return f"{subject}-{side}" if subject in ("temperature", "ph") else subject
