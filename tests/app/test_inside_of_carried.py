"""The real worker's engine looks inside the members of its last forecast, once."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from watervane.app.job_ports import WorkRequest
from watervane.bootstrap_jobs import job_ports
from watervane.exchange import read_tank_file_with_remarks

DEMO = Path(__file__).parents[2] / "src/watervane/cli/demo_data/reading-room.tank.toml"
NOW = datetime(2026, 3, 24, 20, tzinfo=UTC)


@pytest.mark.slow
def test_ledger_and_colonies_are_of_the_forecast_s_own_moment_and_told_once() -> None:
    tank, _ = read_tank_file_with_remarks(DEMO)
    jobs, stages = job_ports(), list[str]()

    def progress(stage: str, share: float) -> None:
        assert 0.0 <= share <= 1.0
        stages.append(stage)

    request = WorkRequest(members=60, threads=1)
    look = jobs.look_inside
    assert look is not None
    assert look("one", progress) is None
    forecast = jobs.foretell("one", tank, request, NOW, progress, lambda _: None)
    assert look("other", progress) is None
    jobs.foretell("one", tank, request, NOW + timedelta(hours=1), progress, lambda _: None)
    inside = look("one", progress)
    assert inside is not None
    ledger, colonies = inside
    assert ledger.as_of == colonies.as_of == forecast.as_of + timedelta(hours=1)
    assert "booking" in stages
    assert max(one.most_unaccounted for one in ledger.stretches) < 1e-9
    assert len(colonies.times) == 31
    assert look("one", progress) is None
