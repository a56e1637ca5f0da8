"""The watch in sentences."""

from __future__ import annotations

from datetime import timedelta

from watervane.records.watching import Drift, Watch
from watervane.wording.amounts import listed, number
from watervane.wording.dates import weekday_date
from watervane.wording.shown import ION_PER_N, both_bases
from watervane.wording.templates import finding_text, phrase

OLD = timedelta(days=45)
LEAST_READ = 3  # readings of a kind after which most slides are found, see docs/evidence/watch.md
UNITS = {"nitrate": "mg N/L", "ammonia": "mg N/L", "kh": "dKH", "temperature": "°C"}


def drift_sentence(drift: Drift) -> str:
    """What leaves its course, in one sentence."""
    return phrase(
        f"watch-{drift.kind}",
        seen=_level(drift.quantity, drift.seen),
        expected=_level(drift.quantity, drift.expected),
        day=weekday_date(drift.last_read),
        since=weekday_date(drift.since),
    )


def _level(quantity: str, level: float) -> str:
    """Of nitrogen on both bases: a kit may show either."""
    return both_bases(quantity, level) if quantity in ION_PER_N else number(level)


def drift_details(drift: Drift) -> list[str]:
    """How fast, and what to look at."""
    found = []
    if drift.by_week is not None:
        rate = f"{number(abs(drift.by_week))} {UNITS[drift.quantity]}"
        found.append(phrase("watch-by-week", rate=rate))
    return [*found, phrase(f"watch-look-{drift.kind}")]


def quiet_sentence(watch: Watch | None) -> str:
    """The strongest drift, for a page that does not shout; empty where there is none."""
    return drift_sentence(watch.drifts[0]) if watch is not None and watch.drifts else ""


def watch_sentences(watch: Watch) -> list[str]:
    """All that is told besides the drifts: what the tap explains, what was compared, how sure."""
    found = [finding_text(each) for each in watch.explained]
    parts = [
        phrase("watch-compared-one", count=count, name=_named(kind))
        for kind, count in watch.compared.items()
        if count
    ]
    if not parts:
        return [*found, phrase("watch-nothing-yet")]
    found.append(phrase("watch-compared", parts=listed(parts)))
    if is_old(watch):
        found.append(phrase("watch-old"))
    return [*found, phrase("watch-rate")]


def is_thin(watch: Watch) -> bool:
    """Whether no kind was read often enough since a forecast for a drift to show."""
    return max(watch.compared.values(), default=0) < LEAST_READ


def is_old(watch: Watch) -> bool:
    """Whether nothing was read of late."""
    return watch.last_read is not None and watch.as_of - watch.last_read > OLD


def _named(kind: str) -> str:
    quantity = {"kh-sliding": "KH", "temperature-wanders": "warmth"}
    return quantity.get(kind, kind.split("-", maxsplit=1)[0])
