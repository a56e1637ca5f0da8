"""The command as a keeper starts it: a process of its own, with and without compiled programs."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

TANK_FILE = Path(__file__).parent / "invented.tank.toml"
ROOT = Path(__file__).resolve().parents[1]
# 3 warns that the dates should not be leaned on; the work is the same.
WORKED = (0, 3)


class CommandFailedError(RuntimeError):
    """The command did not work; the message holds what it said."""


@dataclass(frozen=True)
class Start:
    """One run of the command.

    Parameters
    ----------
    seconds
        From start to end, Python's own start included. [s]
    memory_gb
        Largest of the process. [GB]
    programs
        Compiled programs left in the cache folder, by name.
    """

    seconds: float
    memory_gb: float
    programs: tuple[str, ...]


@dataclass(frozen=True)
class FreshStarts:
    """The command cold, warm, and asked for help only."""

    members: int
    days: int
    readings: int
    cold: Start
    warm: Start
    help_only: Start


def fresh_starts(members: int, days: int, repeats: int) -> FreshStarts:
    """Run the command in an empty cache folder, then again in the filled one."""
    told = ["forecast", str(TANK_FILE), "--days", str(days), "--members", str(members)]
    with tempfile.TemporaryDirectory() as code:
        with tempfile.TemporaryDirectory() as folder:
            started(told, Path(folder), Path(code))  # for the bytecode an installer leaves
        with tempfile.TemporaryDirectory() as folder:
            cold = started(told, Path(folder), Path(code))
            warm = [started(told, Path(folder), Path(code)) for _ in range(repeats)]
        with tempfile.TemporaryDirectory() as folder:
            helped = [started(["--help"], Path(folder), Path(code)) for _ in range(repeats)]
    readings = len(tomllib.loads(TANK_FILE.read_text(encoding="utf-8"))["reading"])
    return FreshStarts(members, days, readings, cold, _shortest(warm), _shortest(helped))


def started(arguments: Sequence[str], cache: Path, code: Path) -> Start:
    """Run the command once.

    Parameters
    ----------
    arguments
        Of the command.
    cache, code
        Folders of compiled programs, and of Python's own bytecode.

    Raises
    ------
    CommandFailedError
        If it ends with anything but a forecast.
    """
    told = [sys.executable, "-m", "benchmarks.one_start", sys.executable, "-m", "watervane"]
    done = subprocess.run(  # noqa: S603  (our own command)
        [*told, *arguments],
        cwd=ROOT,
        env=_environment(cache, code),
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode != 0:
        raise CommandFailedError(f"watervane {' '.join(arguments)}: {done.stderr}")
    found = json.loads(done.stdout)
    if found["code"] not in WORKED:
        raise CommandFailedError(f"watervane {' '.join(arguments)}: {found['said']}")
    names = sorted(each.name.rsplit("-", 2)[0] for each in cache.glob("*-program"))
    return Start(found["seconds"], found["memory_gb"], tuple(names))


def _environment(cache: Path, code: Path) -> dict[str, str]:
    told = {**os.environ, "WATERVANE_CACHE": str(cache), "PYTHONPYCACHEPREFIX": str(code)}
    told.pop("PYTHONDONTWRITEBYTECODE", None)
    return told


def _shortest(starts: list[Start]) -> Start:
    return min(starts, key=lambda start: start.seconds)
