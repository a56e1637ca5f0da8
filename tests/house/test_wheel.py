"""The built wheel, installed elsewhere, carries its tables and runs."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import sysconfig
import venv
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import pytest
from source_tree import PACKAGE, ROOT, kept_files

from watervane import __version__

SMALL_TANK = """\
format = "watervane-tank/1"
[tank]
name = "Window sill"
filled = 2026-03-01
volume = "20 L"
[[event]]
every = "1 d"
from = 2026-03-02
kind = "feed"
amount = "1 pinch"
"""


@dataclass(frozen=True)
class Installed:
    """An environment that holds the wheel and, behind it, the packages of the tests."""

    wheel: Path
    python: Path
    command: Path
    elsewhere: Path

    def run(self, *arguments: str) -> str:
        """Run the installed command away from the sources; its standard output."""
        return _run(str(self.command), *arguments, folder=self.elsewhere)


def _run(*arguments: str, folder: Path) -> str:
    done = subprocess.run(
        arguments, cwd=folder, env=_plain_environment(), capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, f"{arguments}\n{done.stdout}\n{done.stderr}"
    return done.stdout


def _plain_environment() -> Mapping[str, str]:
    return {name: told for name, told in os.environ.items() if not name.startswith("PYTHON")}


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Installed:
    folder = tmp_path_factory.mktemp("wheel")
    pip = (sys.executable, "-m", "pip", "--disable-pip-version-check", "--no-input")
    build = ("wheel", "--no-deps", "--no-index", "--no-build-isolation", "--wheel-dir", "dist")
    _run(*pip, *build, str(ROOT), folder=folder)
    (wheel,) = (folder / "dist").glob("watervane-*.whl")
    home = folder / "environment"
    venv.create(home, with_pip=False)
    python = home / "bin" / "python"
    target = ("--python", str(python), "install", "--no-deps", "--no-index", str(wheel))
    _run(*pip, *target, folder=folder)
    # A plain path in a .pth file: what an editable install put beside it there is not followed.
    pure = Path(sysconfig.get_path("purelib", vars={"base": str(home)}))
    (pure / "packages_of_the_tests.pth").write_text(sysconfig.get_path("purelib") + "\n", "utf-8")
    elsewhere = folder / "elsewhere"
    elsewhere.mkdir()
    return Installed(wheel, python, home / "bin" / "watervane", elsewhere)


def test_the_wheel_holds_every_kept_file_of_the_package(installed: Installed) -> None:
    held = set(zipfile.ZipFile(installed.wheel).namelist())
    kept = {
        path.relative_to(PACKAGE.parent).as_posix()
        for path in kept_files()
        if path.is_relative_to(PACKAGE)
    }
    assert any(name.endswith(".toml") for name in kept)
    assert sorted(kept - held) == []


def test_the_wheel_holds_nothing_but_the_package(installed: Installed) -> None:
    tops = {name.split("/")[0] for name in zipfile.ZipFile(installed.wheel).namelist()}
    assert tops == {"watervane", f"watervane-{__version__}.dist-info"}


def test_the_licence_is_in_the_wheel(installed: Installed) -> None:
    names = zipfile.ZipFile(installed.wheel).namelist()
    assert any(name.endswith("LICENSE") for name in names)


def test_the_wheel_and_not_the_source_tree_is_run(installed: Installed) -> None:
    code = "import watervane; print(watervane.__file__)"
    used = Path(_run(str(installed.python), "-c", code, folder=installed.elsewhere).strip())
    assert used.is_relative_to(installed.python.parent.parent)


def test_the_installed_command_tells_its_version(installed: Installed) -> None:
    assert installed.run("--version").strip() == f"watervane {__version__}"


def test_the_installed_command_finds_its_sources(installed: Installed) -> None:
    assert "emerson1975" in installed.run("sources")
    assert "parameters/" in installed.run("sources", "kinetic_priors_home")


def test_the_installed_command_prints_the_schema(installed: Installed) -> None:
    schema = json.loads(installed.run("schema"))
    assert schema["properties"]["format"]


def test_the_installed_command_checks_a_small_tank(installed: Installed) -> None:
    file = installed.elsewhere / "small.tank.toml"
    file.write_text(SMALL_TANK, encoding="utf-8")
    assert "small.tank.toml" in installed.run("check", file.name)
    assert file.read_text(encoding="utf-8") == SMALL_TANK


def test_the_installed_command_sets_a_sheet_in_its_own_letters(installed: Installed) -> None:
    installed.run("first-aid", "--sheet", "aid.pdf", "--page", "aid.html")
    assert (installed.elsewhere / "aid.pdf").read_bytes().startswith(b"%PDF-")
    assert "<ol" in (installed.elsewhere / "aid.html").read_text(encoding="utf-8")
    names = zipfile.ZipFile(installed.wheel).namelist()
    fonts = "watervane/report/fonts/"
    assert {f"{fonts}LICENSE.txt", f"{fonts}SourceSansPro-Regular.otf"} <= set(names)
