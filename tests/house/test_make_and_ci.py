"""Two commands set everything up; the machine that checks runs the same ones."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from source_tree import ROOT

MAKEFILE = (ROOT / "Makefile").read_text(encoding="utf-8")
TARGETS = re.search(r"^\.PHONY: (.*)$", MAKEFILE, re.MULTILINE)
CI = ROOT / ".ci" / "run"


def run(*arguments: str) -> str:
    """Standard output of a command that must succeed, run in the repository."""
    quiet = {name: told for name, told in os.environ.items() if not name.startswith("MAKE")}
    done = subprocess.run(
        arguments, cwd=ROOT, env=quiet, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def planned(target: str) -> str:
    """Every command a target would run on a machine that has nothing yet."""
    return run("make", "--dry-run", "--always-make", target)


def targets() -> list[str]:
    """The targets that are no files."""
    assert TARGETS is not None
    return TARGETS[1].split()


@pytest.mark.parametrize("target", targets())
def test_every_target_is_told_by_help_and_can_be_planned(target: str) -> None:
    assert planned(target)
    assert target == "help" or f"\n{target} " in "\n" + run("make", "help")


def test_help_is_what_make_alone_does() -> None:
    assert run("make") == run("make", "help")


def test_the_demo_sets_up_from_the_run_time_lock_alone() -> None:
    plan = planned("demo")
    assert "--require-hashes --requirement requirements.lock" in plan
    assert "requirements-dev.lock" not in plan
    assert "watervane club" in plan


def test_the_tests_set_up_from_the_development_lock() -> None:
    plan = planned("test")
    assert "--require-hashes --requirement requirements-dev.lock" in plan
    for tool in ("ruff check", "ruff format --check", "mypy", "lint-imports", "-m pytest"):
        assert tool in plan


def test_every_install_is_hashed_or_our_own() -> None:
    installs = re.findall(r"pip .*\binstall\b.*", planned("test") + planned("demo"))
    assert installs
    for line in installs:
        assert "--require-hashes" in line or ("--no-deps" in line and "--editable ." in line)


def test_modules_that_make_runs_exist() -> None:
    run_by_make = set(re.findall(r"python -m (\w+)", MAKEFILE)) - {"pip", "pytest", "venv"}
    missing = {name for name in run_by_make if not (ROOT / name / "__main__.py").is_file()}
    assert missing == set()


def test_ci_is_a_sound_script_that_ends_in_make_test() -> None:
    text = CI.read_text(encoding="utf-8")
    assert os.access(CI, os.X_OK)
    run("bash", "-n", str(CI))
    assert "set -euo pipefail" in text
    assert text.rstrip().splitlines()[-1] == "make test"


def test_hooks_are_valid_and_use_our_own_environment() -> None:
    hooks = ROOT / ".pre-commit-config.yaml"
    run(str(Path(sys.executable).with_name("pre-commit")), "validate-config", str(hooks))
    text = hooks.read_text(encoding="utf-8")
    assert re.findall(r"- repo: (\S+)", text) == ["local"]
    entries = re.findall(r"entry: (\S+)", text)
    assert entries
    assert all(entry.startswith(".venv/bin/") for entry in entries)


def test_the_files_that_are_begun_first_are_there() -> None:
    named = re.findall(r'"(tests/[\w/.]+)"', (ROOT / "tests" / "conftest.py").read_text("utf-8"))
    assert len(named) > 1
    assert [name for name in named if not (ROOT / name).exists()] == []
