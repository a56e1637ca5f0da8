"""The command is started as a keeper would, and a failure is no measurement."""

from __future__ import annotations

from pathlib import Path

import pytest
from benchmarks.fresh_process import TANK_FILE, CommandFailedError, started


def test_help_is_measured_and_compiles_nothing(tmp_path: Path) -> None:
    found = started(["--help"], tmp_path, tmp_path / "code")
    assert found.seconds > 0.0
    assert found.memory_gb > 0.0
    assert found.programs == ()


def test_the_invented_tank_is_in_order(tmp_path: Path) -> None:
    assert started(["check", str(TANK_FILE)], tmp_path, tmp_path / "code").seconds > 0.0


def test_a_command_that_fails_is_told_with_what_it_said(tmp_path: Path) -> None:
    with pytest.raises(CommandFailedError, match=r"nowhere\.tank\.toml"):
        started(["forecast", str(tmp_path / "nowhere.tank.toml")], tmp_path, tmp_path / "code")
