"""What the page says of one log that was run."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from validation.kept_logs import KeptLog
from validation.scoring import SCORED, sharpness
from validation.sentences import (
    agreement,
    amount,
    bulleted,
    day_of,
    interval_text,
    name_of,
    range_text,
    verdict,
)
from validation.views import View
from watervane.wording import finding_text

Views = Mapping[str, View]
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
    """Both views on the same later readings: how far off, and how wide."""
    lines = [
        "| later readings | median off by, prior | half | 90 % band wide, prior | half |",
        "|---|---|---|---|---|",
    ]
    as_of = views["half"].as_of
    for quantity in SCORED:
        prior, half = (
            [r for r in v.rows if r.reading.quantity == quantity and r.reading.at > as_of]
            for v in (views["prior"], views["half"])
        )
        if not half:
            continue
        before, after = sharpness(prior), sharpness(half)
        cells = [
            f"{name_of(quantity)}, {after.count}",
            *(amount(s.off, quantity) for s in (before, after)),
            *(amount(s.width, quantity) for s in (before, after)),
        ]
        lines.append(f"| {' | '.join(cells)} |")
    return "\n".join(lines) + "\n"


def _table(log: KeptLog, views: Views) -> str:
    heads = (
        *("day", "quantity", "read", "stands for"),
        *("prior: median (90 %)", "meets", "half: median (90 %)", "meets"),
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
            met = "50 %" if row.meets(50) else "90 %" if row.meets(90) else "**no**"
            cells += [range_text(row, bare=True), met]
        if prior.reading.at <= views["half"].as_of:
            cells[-1] = "used"
        lines.append(f"| {' | '.join(cells)} |")
    return "\n".join(lines) + "\n"
