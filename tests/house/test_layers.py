"""Imports point down: the contracts of pyproject.toml hold, and a planted import breaks them."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from source_tree import PACKAGE, ROOT

LINT = Path(sys.executable).with_name("lint-imports")


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


def test_every_import_points_down(kept: Path) -> None:
    done = lint(PACKAGE.parent, kept)
    assert done.returncode == 0, done.stdout + done.stderr
    assert " 0 broken" in done.stdout


@pytest.mark.parametrize(
    ("module", "line", "contract"),
    [
        ("units/planted.py", "import watervane.records", "Every import points down"),
        ("records/planted.py", "import watervane.reference", "Every import points down"),
        ("chemistry/planted.py", "import watervane.process", "Every import points down"),
        ("charts/planted.py", "import watervane.wording", "Every import points down"),
        ("exchange/planted.py", "import watervane.charts", "Every import points down"),
        ("planted.py", "import watervane.units", "Every import points down"),
        ("advice/planted.py", "import watervane.engine", "Every import points down"),
        ("forecast/planted.py", "import watervane.advice", "Every import points down"),
        ("advice/planted.py", "import rich", "The engine and all below"),
        ("engine/planted.py", "import rich", "The engine and all below"),
        ("forecast/planted.py", "def late():\n    import typer", "The engine and all below"),
        ("chemistry/planted.py", "import jax", "Limits, chemistry and all below run"),
        ("limits/planted.py", "import jax", "Limits, chemistry and all below run"),
        ("limits/planted.py", "import watervane.process", "Every import points down"),
        ("reference/planted.py", "import numpy", "Tables, units and records"),
        ("charts/planted.py", "import watervane.process", "Files, pictures and sentences"),
        ("cli/planted.py", "import watervane.engine", "The command line and the pages parse"),
        ("app/planted.py", "import watervane.journal", "The command line and the pages parse"),
        ("exchange/planted.py", "import sqlalchemy", "Only the journal speaks"),
    ],
)
def test_a_planted_import_breaks_its_contract(
    module: str, line: str, contract: str, tmp_path: Path, kept: Path
) -> None:
    shutil.copytree(
        PACKAGE, tmp_path / "watervane", ignore=shutil.ignore_patterns("__pycache__", "data")
    )
    (tmp_path / "watervane" / module).write_text(line + "\n", encoding="utf-8")
    done = lint(tmp_path, kept)
    assert done.returncode == 1, done.stdout + done.stderr
    broken = [told for told in done.stdout.splitlines() if told.endswith(" BROKEN")]
    assert any(told.startswith(contract) for told in broken), done.stdout
