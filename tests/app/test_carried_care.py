"""Care and moves begin from the members of the worker's last forecast: nothing is fitted."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from watervane.app.care_ports import CareRequest
from watervane.app.job_ports import WorkRequest
from watervane.app.resettling import MoveRequest
from watervane.bootstrap_care import care_ports
from watervane.bootstrap_jobs import CarriedOn, job_ports
from watervane.bootstrap_kept_members import keep_members, kept_members
from watervane.exchange import read_tank_file_with_remarks
from watervane.records.resettling import ColonyMove

DEMO = Path(__file__).parents[2] / "src/watervane/cli/demo_data/reading-room.tank.toml"
NOW = datetime(2026, 3, 24, 20, tzinfo=UTC)


@pytest.mark.slow
def test_the_last_forecast_s_members_are_taken_over(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("WATERVANE_CACHE", str(tmp_path))
    tank, _ = read_tank_file_with_remarks(DEMO)
    carried, stages = CarriedOn(keep_members, kept_members), list[str]()
    another_process = CarriedOn(kept=kept_members)
    care = care_ports(another_process.latest)

    def progress(stage: str, share: float) -> None:
        del share
        stages.append(stage)

    request = WorkRequest(members=60, threads=1)
    job_ports(carried).foretell("one", tank, request, NOW, progress, lambda _: None)
    assert "weighing" in stages
    stages.clear()
    asked = CareRequest(members=20, threads=1, carried_from="one")
    found = care.schedule(tank, asked, NOW, progress)
    assert found.diagnostics.members == 60
    move = MoveRequest(ColonyMove("filter", share=0.5), members=20, threads=1, carried_from="one")
    moved = care.resettle(tank, move, NOW, progress)
    assert moved.diagnostics.members == 60
    assert stages
    assert "weighing" not in stages
    (file,) = (tmp_path / "members").iterdir()
    assert file.stat().st_size < 2e6, "small enough to be written after each forecast"
    file.write_bytes(file.read_bytes()[:200])
    assert another_process.latest("one") is None, "what is not whole is fitted anew"
