"""A kept log goes through from file to page, the same each time."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from validation.figures import draw
from validation.kept_logs import KeptLog, kept_logs
from validation.log_section import log_section
from validation.page import page
from validation.startups import Start, left_out, rows
from validation.views import half_view, prior_view

MEMBERS = 40


def shortest() -> KeptLog:
    runnable = [log for log in kept_logs() if not log.lacking]
    return min(runnable, key=lambda log: len(log.tank.readings))


@pytest.mark.slow
def test_a_log_runs_end_to_end_and_leaves_the_future_out(tmp_path: Path) -> None:
    log = shortest()
    views = {"prior": prior_view(log, MEMBERS, 1), "half": half_view(log, MEMBERS, 1)}
    assert views["prior"].hindsight.forecast.diagnostics.readings_used == 0
    used = views["half"].hindsight.forecast.diagnostics.readings_used
    own = [r for r in log.tank.readings if not r.of_source_water]
    assert 0 < used < len(own)
    assert used == sum(r.at <= log.middle for r in own)
    assert all(row.reading.at > log.middle for row in views["half"].unseen)
    assert all(row.row for row in views["prior"].rows)
    for view in views.values():
        assert np.isfinite(view.hindsight.levels).all()
        draw(log, view, tmp_path / "picture.svg")
        assert (tmp_path / "picture.svg").read_text(encoding="utf-8").startswith("<svg")
    told = log_section(log, views, ["a reason"])
    assert told.count("| used |") == sum(r.reading.at <= log.middle for r in views["prior"].rows)
    again = {"prior": prior_view(log, MEMBERS, 1), "half": half_view(log, MEMBERS, 1)}
    assert log_section(log, again, ["a reason"]) == told
    whole = page([log], {log.name: views}, [], "Made with few members.\n")
    assert told.split("\n###", maxsplit=1)[0] in whole


def test_published_start_ups_are_judged_by_the_members() -> None:
    days = np.full(100, 30.0)
    early = Start(20.0, days, days + 8.0, 1.0)
    cold = Start(13.0, days, np.full(100, 200.0), 0.5)
    found = {row.published: row.verdict for row in rows([early, cold])}
    assert [v for k, v in found.items() if ": ammonia oxidation" in k] == ["inside the 90 % range"]
    assert [v for k, v in found.items() if ": nitrite oxidation" in k] == ["inside the 90 % range"]
    assert [v for k, v in found.items() if "full nitr" in k] == ["outside the 90 % range"]
    assert [v for k, v in found.items() if "complete" in k] == ["the prior is slower"]
    assert [v for k, v in found.items() if "order" in k] == ["differs"]
    assert len(found) == len(rows([early, cold]))
    assert left_out()
