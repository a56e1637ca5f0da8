"""What the page says of one log that was run."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from validation.counting import SCORED, Beside
from validation.kept_logs import KeptLog
from validation.sentences import (
    agreement,
    bulleted,
    day_of,
    interval_text,
    name_of,
    range_text,
    verdict,
)
from validation.views import View
from watervane.engine.score_summaries import summaries
from watervane.records import LAST_VALUE, OWN, PRIOR, TREND
from watervane.wording import finding_text
from watervane.wording.amounts import number

Views = Mapping[str, View]
NAMES = {OWN: "half", PRIOR: "prior", LAST_VALUE: "last value", TREND: "trend"}
VIEW_TITLES = {
    "prior": "From the prior alone",
    "half": "From the first half, scored on the rest",
}


def log_section(log: KeptLog, views: Views, reasons: Sequence[str]) -> str:
    """Set-up, both views with verdicts and pictures, reasons, and every reading.

    Parameters
    ----------
    log
        As kept.
    views
        ``prior`` and ``half``.
    reasons
        Known reasons why forecast and log may part.
    """
    taken = dict.fromkeys(finding_text(f) for f in log.findings)
    parts = [
        f"## {log.name}: {log.title}\n",
        f"{_set_up(log)}\n",
        "Taken for granted by the reader of logs:\n",
        bulleted(list(taken)) + "\n",
    ]
    for which, view in views.items():
        title = VIEW_TITLES[which].lower()
        parts += [
            f"### {log.name}: {title}\n",
            f"{agreement(view)}\n",
            bulleted(verdict(log, view)) + "\n",
            f"![{log.name}, {title}](validation/{log.name}-{which}.svg)\n",
        ]
    parts += [
        f"### {log.name}: what the first half taught\n",
        _taught(views),
        f"### {log.name}: known reasons for a misfit\n",
        bulleted(reasons) + "\n",
        f"### {log.name}: reading by reading\n",
        _table(log, views),
    ]
    return "\n".join(parts)


def _set_up(log: KeptLog) -> str:
    names = ("volume", "temperature", "ph", "kh", "seeded", "ammonia_source", "dosing")
    told = [f"{name.replace('_', ' ')}: {log.header[name]}" for name in names if name in log.header]
    return "; ".join(told) + "."


def _taught(views: Views) -> str:
    """Forecasts and rivals on the same later readings."""
    prior = {one.reading: one.row for one in views["prior"].unseen}
    pairs = []
    for one in views["half"].unseen:
        half, before = one.row, prior.get(one.reading)
        if half is not None and before is not None and half.quantity in SCORED:
            pairs.append(replace(half, marks={**half.marks, PRIOR: before.marks[OWN]}))
    heads = ("later readings", *(f"CRPS, {NAMES[n]}" for n in NAMES), "log score, half", "prior")
    lines = [f"| {' | '.join(heads)} |", "|---" * len(heads) + "|"]
    found = {(s.quantity, s.forecaster): s for s in summaries(pairs)}
    for quantity in dict.fromkeys(row.quantity for row in pairs):
        told = [found.get((quantity, name)) for name in NAMES]
        cells = [f"{name_of(quantity)}, {found[quantity, OWN].count}"]
        cells += ["none" if s is None else number(s.crps or 0.0) for s in told]
        cells += [f"{found[quantity, name].log_score:.2f}" for name in (OWN, PRIOR)]
        lines.append(f"| {' | '.join(cells)} |")
    return "\n".join(lines) + "\n"


def _met(row: Beside) -> str:
    if row.row is None:
        return "not scored"
    return "**no**" if row.narrowest is None else f"{100 * row.narrowest:.0f} %"


def _table(log: KeptLog, views: Views) -> str:
    heads = (
        *("day", "quantity", "read", "stands for"),
        *("prior: median (90 %)", "in", "half: median (90 %)", "in"),
    )
    lines = [f"| {' | '.join(heads)} |", "|---" * len(heads) + "|"]
    for prior, half in zip(views["prior"].rows, views["half"].rows, strict=True):
        cells = [
            str(day_of(log, prior.reading.at)),
            name_of(prior.reading.quantity),
            prior.reading.value.raw,
            interval_text(prior),
        ]
        for row in (prior, half):
            cells += [range_text(row, bare=True), _met(row)]
        if prior.reading.at <= views["half"].as_of:
            cells[-1] = "used"
        lines.append(f"| {' | '.join(cells)} |")
    return "\n".join(lines) + "\n"
