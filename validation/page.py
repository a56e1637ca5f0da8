"""The page: every kept log, its forecasts and what they were worth."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence

from validation.counting import SCORED, tally
from validation.kept_logs import DATA, KeptLog
from validation.log_section import VIEW_TITLES, Views, log_section
from validation.sentences import bulleted, judged, name_of
from validation.startups import (
    AMMONIA_DOWN_MG_N_PER_L,
    NITRITE_DOWN_MG_N_PER_L,
    Row,
    left_out,
)
from watervane.records import COVERED
from watervane.wording.amounts import listed

INTRODUCTION = """\
# Validation: forecast against measurement

`make validation` writes this page anew, figures and verdicts included, from the data kept in
`validation/data`. It sets forecasts beside what keepers of real tanks read off their kits, and
beside published start-up times. No prior was tuned to any of these logs, and none was chosen for
its result: the ones not run are listed with the reason.

What the data are and under which terms they are kept is told in
[keeper-logs](../validation/data/keeper-logs/README.md) and
[startup_milestones](../validation/data/startup_milestones/README.md). The readings are colours
judged by eye, without a laboratory behind them.

How a log is scored:

- *From the prior alone*: the tank is run from filling, no reading is used, and all are scored.
- *From the first half*: readings up to the middle of the log weigh the members; only later
  readings are scored.
- What the keeper did (doses, water changes) is known to both: the question is what the water does
  under it.
- Each forecast is turned into the chance of everything the kit could have shown, by the models
  that weigh readings (steps, steady error of the kit, untold basis, stray readings): this is what
  `watervane score` does. A reading lies *in* a range by its place among those chances, a coarse
  step in part, so a right forecast has 50, 80 and 90 of 100 inside. CRPS is how far a reading lay
  from its forecast, width and all. Readings of one log hang together, so their number overstates
  what they prove.
- Two rivals know as much as the forecast: the last value carried on, and the trend of the last
  four readings ([cli.md](cli.md) describes them).
- The column *stands for* takes readings without a stated basis as the ion; the forecasts weigh
  both. Temperature is not scored, since the readings themselves set the heater; GH neither,
  since nothing is foretold of it.
- Days are those of the log; hours are guessed by the reader of logs.
"""

LEFT_OUT = """\
## What the model leaves out

- Nothing is bound by gravel or soil, and no soil gives ammonia off; zeolite binds where a log
  doses it, and none of these does.
- Rock and wood have no area of their own but the one guessed for decor; coral sand dissolves at
  one pace whatever its grain.
- What lives in a bottle of bacteria nobody knows: from next to nothing to half a colony is taken.
- Kits that clear their colour at very high nitrite, and kits that read chloramine and bound
  ammonia as ammonia, are only known as outliers.
"""


def page(
    logs: Sequence[KeptLog], views: Mapping[str, Views], milestones: Sequence[Row], scope: str
) -> str:
    """The whole page.

    Parameters
    ----------
    logs
        All kept logs.
    views
        By log name, of those that were run.
    milestones
        Published start-up times beside the prior's.
    scope
        How many members and which seed, in words.
    """
    run = [log for log in logs if log.name in views]
    reasons = tomllib.loads((DATA / "reasons.toml").read_text(encoding="utf-8"))
    not_run = [f"{log.name}, {log.title}: {'; '.join(log.lacking)}." for log in logs if log.lacking]
    parts = [
        INTRODUCTION,
        scope,
        "## All logs at a glance\n",
        _glance(run, views),
        *(_totals(run, views, which) for which in VIEW_TITLES),
        _good_and_bad(run, views),
        LEFT_OUT,
        "## Logs that are not run\n",
        bulleted(not_run) + "\n",
        *(log_section(log, views[log.name], reasons[log.name]) for log in run),
        _milestones(milestones),
    ]
    return "\n".join(parts)


def _glance(logs: Sequence[KeptLog], views: Mapping[str, Views]) -> str:
    heads = (
        *("log", "view", "readings scored", *(f"in {100 * level:.0f} %" for level in COVERED)),
        *("verdict", "effective members"),
    )
    lines = [f"| {' | '.join(heads)} |", "|---" * len(heads) + "|"]
    for log in logs:
        for which, view in views[log.name].items():
            told = view.tally()
            made = view.hindsight.forecast.diagnostics
            carried = f"{made.effective_members:.0f} of {made.prior_members} ({made.health})"
            cells = (
                log.name,
                which,
                str(told.count),
                *(f"{count:.0f}" for count in told.inside),
                judged(told),
                carried if made.readings_used else "no reading used",
            )
            lines.append(f"| {' | '.join(cells)} |")
    return "\n".join(lines) + "\n"


def _good_and_bad(logs: Sequence[KeptLog], views: Mapping[str, Views]) -> str:
    found: dict[str, list[str]] = {}
    for log in logs:
        for which, view in views[log.name].items():
            poor = view.hindsight.forecast.diagnostics.health == "poor"
            name = f"{log.name} {which}{' (on few members)' if poor else ''}"
            found.setdefault(judged(view.tally()), []).append(name)
    lines = [
        f"Readings lie in the ranges {verdict}: {listed(of)}." for verdict, of in found.items()
    ]
    return bulleted(lines) + "\n"


def _totals(logs: Sequence[KeptLog], views: Mapping[str, Views], which: str) -> str:
    rows = [row for log in logs for row in views[log.name][which].unseen]
    told = tally(rows)
    by_quantity = []
    for quantity in SCORED:
        one = tally([row for row in rows if row.reading.quantity == quantity])
        if one.count:
            by_quantity.append(f"{name_of(quantity)} {one.inside[-1]:.0f} of {one.count}")
    shares = [
        f"{count / max(told.count, 1):.0%} in the {level:.0%} range".replace("%", " %")
        for count, level in zip(told.inside, COVERED, strict=True)
    ]
    return (
        f"{VIEW_TITLES[which]}, all logs together: of {told.count} readings {listed(shares)}. "
        f"In the 90 % range by quantity: {', '.join(by_quantity)}.\n"
    )


def _milestones(rows: Sequence[Row]) -> str:
    about = (
        "An invented tank (60 L, six small fish, about 0.06 g of food a day, unseeded) is run from "
        "the prior. The day counted is the one after the last on which the daily mean is over "
        f"{AMMONIA_DOWN_MG_N_PER_L} (ammonia) or {NITRITE_DOWN_MG_N_PER_L} (nitrite) mg N/L. The "
        "published systems are filters with a steady stream of ammonia, and the members' ranges "
        "are wide, so this compares the order of size and no more.\n"
    )
    heads = ("published", "measured", "foretold, median (90 %)", "verdict", "source")
    lines = [
        "## Published start-up times\n",
        about,
        f"| {' | '.join(heads)} |",
        "|---" * len(heads) + "|",
        *(
            f"| {r.published} | {r.measured} | {r.foretold} | {r.verdict} | {r.citation} |"
            for r in rows
        ),
        "\nKept too, but about running filters or other measures, so beside no start:\n",
        bulleted(left_out()),
    ]
    return "\n".join(lines) + "\n"
