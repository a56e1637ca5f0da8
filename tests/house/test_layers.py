"""Imports point down: the contracts of pyproject.toml hold, and a planted import breaks them."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from source_tree import PACKAGE, ROOT

LINT = Path(sys.executable).with_name("lint-imports")


PLANTED = [
    ("units/", "import watervane.records", "Every import points down"),
    ("records/", "import watervane.reference", "Every import points down"),
    ("chemistry/", "import watervane.process", "Every import points down"),
    ("charts/", "import watervane.wording", "Every import points down"),
    ("exchange/", "import watervane.charts", "Every import points down"),
    ("", "import watervane.units", "Every import points down"),
    ("advice/", "import watervane.engine", "Every import points down"),
    ("forecast/", "import watervane.advice", "Every import points down"),
    ("advice/", "import rich", "The engine and all below"),
    ("engine/", "import rich", "The engine and all below"),
    ("forecast/", "def late():\n    import typer", "The engine and all below"),
    ("chemistry/", "import jax", "Limits, chemistry and all below run"),
    ("limits/", "import jax", "Limits, chemistry and all below run"),
    ("limits/", "import watervane.process", "Every import points down"),
    ("reference/", "import numpy", "Tables, units and records"),
    ("charts/", "import watervane.process", "Files, pictures and sentences"),
    ("cli/", "import watervane.engine", "The command line and the pages parse"),
    ("app/", "import watervane.journal", "The command line and the pages parse"),
    ("exchange/", "import sqlalchemy", "Only the journal speaks"),
]


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where imports of files that did not change are kept."""
    return tmp_path_factory.mktemp("kept")


def lint(folder: Path, kept: Path) -> subprocess.CompletedProcess[str]:
    """Run the contracts on the package that lies in ``folder``."""
    return subprocess.run(
        [str(LINT), "--cache-dir", str(kept), str(ROOT / "pyproject.toml")],
        cwd=folder,
        env={"PYTHONPATH": str(folder), "PATH": "/usr/bin:/bin", "NO_COLOR": "1"},
        capture_output=True,
        text=True,
        check=False,
    )


def planted(place: int) -> str:
    """Name of the module that holds a planted import."""
    return f"planted_{place}"


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory, kept: Path) -> str:
    """What the contracts say of a package with all planted imports, each in its own module."""
    folder = tmp_path_factory.mktemp("planted")
    copied = shutil.ignore_patterns("__pycache__", "data")
    shutil.copytree(PACKAGE, folder / "watervane", ignore=copied)
    for place, (room, line, _) in enumerate(PLANTED):
        file = folder / "watervane" / room / f"{planted(place)}.py"
        file.write_text(line + "\n", encoding="utf-8")
    done = lint(folder, kept)
    assert done.returncode == 1, done.stdout + done.stderr
    return done.stdout


def test_every_import_points_down(kept: Path) -> None:
    done = lint(PACKAGE.parent, kept)
    assert done.returncode == 0, done.stdout + done.stderr
    assert " 0 broken" in done.stdout


@pytest.mark.parametrize("place", range(len(PLANTED)), ids=lambda i: " ".join(PLANTED[i][:2]))
def test_a_planted_import_breaks_its_contract(place: int, told: str) -> None:
    room, line, contract = PLANTED[place]
    importing = ".".join(["watervane", *room.split("/")[:-1], planted(place)])
    broken = told.partition("Broken contracts")[2]
    (found,) = re.findall(
        rf"^{re.escape(contract)}.*\n-+\n((?:.*\n)*?)(?=.*\n---|\Z)", broken, re.MULTILINE
    )
    # A module in no room is itself what is named: it has no floor.
    breach = f"{importing} -> {line.split()[-1]} (l." if room else f"- {importing}\n"
    assert breach in found, told
