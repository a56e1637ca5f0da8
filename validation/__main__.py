"""The command: run every log that can be run and write the page with its pictures."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from validation.figures import draw
from validation.kept_logs import kept_logs
from validation.log_section import Views
from validation.page import page
from validation.startups import rows, start
from validation.views import half_view, prior_view

DOCS = Path(__file__).resolve().parents[1] / "docs"
START_TEMPERATURES_C = (13.0, 20.0)


def main() -> None:
    """Read the options, run, write."""
    options = argparse.ArgumentParser(prog="python -m validation", description=__doc__)
    options.add_argument("--members", type=int, default=600, help="of each forecast")
    options.add_argument("--seed", type=int, default=1, help="of all random numbers")
    options.add_argument("--out", type=Path, default=DOCS, help="folder of page and pictures")
    told = options.parse_args()
    logs = kept_logs()
    views: dict[str, Views] = {}
    for log in logs:
        if log.lacking:
            continue
        _say(f"{log.name}: from the prior, then from the first half")
        views[log.name] = {
            "prior": prior_view(log, told.members, told.seed),
            "half": half_view(log, told.members, told.seed),
        }
        for which, view in views[log.name].items():
            draw(log, view, told.out / "validation" / f"{log.name}-{which}.svg")
    _say("published start-up times")
    starts = [start(t, told.members, told.seed) for t in START_TEMPERATURES_C]
    scope = f"Made with {told.members} members and seed {told.seed}.\n"
    text = page(logs, views, rows(starts), scope)
    (told.out / "validation.md").write_text(text, encoding="utf-8")
    _say(f"wrote {told.out.name}/validation.md")


def _say(line: str) -> None:
    sys.stderr.write(f"{line}\n")
    sys.stderr.flush()


if __name__ == "__main__":
    main()
