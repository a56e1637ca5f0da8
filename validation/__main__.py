"""Set forecasts beside keepers' logs and write docs/validation.md: ``python -m validation``."""

from __future__ import annotations

import math
import tomllib
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from watervane.engine.hindsight import Hindsight, hindsight
from watervane.exchange import read_keeper_log
from watervane.inference.kits import reading_interval
from watervane.records import AnimalsIn, Dose, Feed, Reading, Tank

HERE = Path(__file__).parent
PAGE = HERE.parent / "docs" / "validation.md"
LOGS = HERE / "data" / "keeper-logs"
MEMBERS, SEED = 300, 1
NITROGEN = ("ammonia", "nitrite", "nitrate")


@dataclass(frozen=True)
class Row:
    """One reading beside what was foretold."""

    reading: Reading
    quantiles: tuple[float, float, float, float, float]
    inside: dict[int, bool]


def has_a_source(tank: Tank) -> bool:
    """Whether anything in the log makes ammonia: without that there is nothing to foretell."""
    fed = any(isinstance(e, Feed | AnimalsIn) for e in tank.events)
    dosed = any(
        isinstance(e, Dose) and (e.mass_g or e.target_mg_n_per_l or e.added_mg_n_per_l) is not None
        for e in tank.events
    )
    return fed or dosed or bool(tank.habits)


def rows_after(seen: Hindsight, tank: Tank) -> list[Row]:
    """Readings later than the forecast, and whether their step meets the bands."""
    rows = []
    for reading, levels in zip(seen.readings, seen.levels, strict=True):
        if reading.at <= seen.forecast.as_of or reading.quantity not in (*NITROGEN, "ph"):
            continue
        low, high = reading_interval(reading, tank.kits.get(reading.kit or ""))
        quantiles = tuple(float(q) for q in np.quantile(levels, (0.05, 0.25, 0.5, 0.75, 0.95)))
        inside = {
            90: low <= quantiles[4] and high >= quantiles[0],
            50: low <= quantiles[3] and high >= quantiles[1],
        }
        rows.append(Row(reading, quantiles, inside))  # type: ignore[arg-type]
    return rows


def section(path: Path) -> str:
    """What the page says of one log."""
    header = tomllib.loads(path.with_suffix(".toml").read_text(encoding="utf-8"))
    tank, _ = read_keeper_log(path, path.with_suffix(".toml"))
    title = f"## {header['id']}: {header['title']}\n\n"
    doubts = f"Known doubts: {header['doubts']}\n"
    moments = sorted({r.at for r in tank.readings if r.quantity in NITROGEN})
    if not has_a_source(tank):
        return title + f"Not run: the log tells no amount of food, animals or ammonia. {doubts}"
    if len(moments) < 4:
        return title + f"Not run: fewer than four moments with nitrogen readings. {doubts}"
    half = moments[len(moments) // 2 - 1]
    days = max(1, math.ceil((moments[-1] - half).total_seconds() / 86400.0) + 1)
    seen = hindsight(tank, as_of=half, horizon_days=days, members=MEMBERS, seed=SEED)
    rows = rows_after(seen, tank)
    return title + told(seen, rows) + table(rows) + "\n" + doubts


def told(seen: Hindsight, rows: list[Row]) -> str:
    """The figures of one log in a sentence or two."""
    made = seen.forecast.diagnostics
    met = {level: sum(r.inside[level] for r in rows) for level in (50, 90)}
    misses = sorted({r.reading.quantity for r in rows if not r.inside[90]})
    missed = f" Missed: {', '.join(misses)}." if misses else ""
    return (
        f"Foretold from {made.readings_used} readings in the first half of the log; "
        f"effective members {made.effective_members:.0f} of {made.prior_members} "
        f"({made.health}). Of {len(rows)} later readings {met[90]} meet the 90 % band and "
        f"{met[50]} the 50 % band.{missed}\n\n"
    )


def table(rows: list[Row]) -> str:
    """Readings and bands, a line each."""
    lines = [
        "| day | quantity | read | p05 | p50 | p95 | meets 90 % |",
        "|---|---|---|---|---|---|---|",
    ]
    if not rows:
        return ""
    first = min(r.reading.at for r in rows)
    for row in rows:
        after = (row.reading.at - first).total_seconds() / 86400.0
        p05, _, p50, _, p95 = (f"{q:.3g}" for q in row.quantiles)
        yes = "yes" if row.inside[90] else "no"
        raw = row.reading.value.raw or "-"
        lines.append(
            f"| {after:.1f} | {row.reading.quantity} | {raw} | {p05} | {p50} | {p95} | {yes} |"
        )
    return "\n".join(lines) + "\n"


def main() -> None:
    """Run every log and write the page."""
    sections = [section(path) for path in sorted(LOGS.glob("*.csv"))]
    PAGE.write_text(
        f"""# Forecasts beside real logs

Written by `make validation` from the logs in `validation/data` ({MEMBERS} members, seed {SEED}).
Each log that tells what made its ammonia is foretold from the first half of its readings; the
second half is then set beside the forecast. *Meets* means that the interval the reading stands
for (its kit's step) touches the band. Bands are of the water itself, in mg N/L or pH; `day` counts
from the first reading shown. No prior was tuned to any of these logs. Days are the log's own, a
reading's hour is often unknown.

"""
        + "\n".join(sections),
        encoding="utf-8",
    )


if __name__ == "__main__":
    main()
